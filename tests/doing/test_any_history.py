"""Whatever was said and done, `now`, `buy`, `eaten` and the freezer's list can be asked, and their sums are exact."""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from rotation import buying, by_hand, doing
from rotation.eating import _days, _out_of_freezer, _past
from rotation.errors import BadInput
from rotation.household.reading import Home, read_home
from rotation.ledger import Kind, Ledger, Note
from rotation.naming import OUT
from rotation.pantry import wanted
from rotation.stockroom import freezer
from tests.commands.conftest import Run

BEGIN = datetime(2027, 3, 5, 17, 30)  # noqa: DTZ001 - the zone is the household's


def asked(rotation: Run, home: Path, now: datetime, *words: str) -> Mapping[str, Any]:
    """Ask for JSON, and now and then for words; return the first."""
    when = ("--household", home, "--now", now.isoformat(timespec="minutes"))
    ran = rotation(*words, "--json", *when)  # held to its schema
    assert ran.code == 0, (words, now, ran.err)
    if now.minute % 3 == 0:
        said = rotation(*words, *when)
        assert (said.code, bool(said.out)) == (0, True), (words, now, said.err)
    document: dict[str, Any] = json.loads(ran.out)
    return document


def act(chance: random.Random, house: Home, now: datetime) -> None:
    """Let one thing happen, or be refused."""
    step = chance.choice(("sat-thaw", "sat-mix", "sat-shape", "sat-oven", "sat-out", "sat-finish"))
    note = Note(now=now, at=now - timedelta(minutes=chance.choice((0, 0, 45, 600))), reason="because")
    bag, grams = chance.choice("ABC"), {"wheat flour": float(chance.randint(0, 900)), "salt": 20.0}
    acts = (
        lambda: doing.done(house, step, now, note.at, chance.choice((None, 0, 1)) if step == "sat-out" else None),
        lambda: doing.done(house, step, now),
        lambda: doing.as_planned(house, now),
        lambda: doing.skip(house, step, now),
        lambda: doing.undo(house, step, now),
        lambda: by_hand.add(house, "country", chance.randint(1, 3), note, "part-baked"),
        lambda: by_hand.take(house, "country", chance.randint(1, 2), note),
        lambda: by_hand.take(house, bag, 1, note),
        lambda: by_hand.count(house, bag, chance.randint(0, 4), Note(now=now)),
        lambda: by_hand.discard(house, bag, None, note),
        lambda: by_hand.undo(house, "", Note(now=now)),
        lambda: buying.bought(house, now, chance.choice((None, grams))),
        lambda: buying.counted(house, now, grams),
        lambda: buying.taken_back(house, now),
    )
    with suppress(BadInput):
        chance.choice(acts)()


def exact(rotation: Run, home: Path, house: Home, now: datetime) -> None:
    """Hold what is printed against the movements, and against the plan's own masses."""
    bags = asked(rotation, home, now, "freezer", "list")["lots"]
    moved = asked(rotation, home, now, "freezer", "history", "--last", "1000")["movements"]
    held: Counter[str] = Counter()
    for movement in moved:
        for bag in movement["bags"]:
            held[bag["id"]] += bag["pieces"]
    if moved:
        assert {bag["id"]: bag["pieces"] for bag in bags} == {id_: left for id_, left in held.items() if left}
    asked(rotation, home, now, "now")
    bought = asked(rotation, home, now, "buy")
    there = {one["name"]: one["grams"] for one in bought["there"]}
    with freezer(house, now, readonly=True) as ledger:
        plan = json.loads(ledger.kept_plan() or "")
    for one in bought["ingredients"]:
        needed = sum(
            grams
            for bake in plan["bakes"]
            for step, name, grams in wanted(house, bake["bread"], bake["process"], bake["pieces"],
                                            [step["name"] for step in bake["steps"]])
            if name == one["name"] and step in ("mix", "feed")
        )  # fmt: skip
        assert one["needed_grams"] == pytest.approx(needed, abs=0.06)
        assert one["there_grams"] == pytest.approx(there.get(one["name"], 0.0), abs=0.06)
        assert one["buy_grams"] == pytest.approx(one["needed_grams"] - one["there_grams"], abs=0.11)


@pytest.mark.parametrize("seed", [1, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 8))])
def test_lists_hold_after_any_history(rotation: Run, home: Path, seed: int) -> None:
    chance, house = random.Random(seed), read_home(home)
    now = BEGIN.replace(tzinfo=house.zone)
    for _ in range(6 if seed == 1 else 30):
        now += timedelta(minutes=chance.choice((1, 20, 90, 240, 900)))
        act(chance, house, now)
        exact(rotation, home, house, now)


def lived(chance: random.Random, house: Home, days: int, *, found_more: bool) -> datetime:
    """Let a freezer live for some days; return when they are over."""
    now = BEGIN.replace(tzinfo=house.zone, hour=12) - timedelta(days=days)
    (house.folder / ".rotation").mkdir(exist_ok=True)
    with Ledger.open(house.folder / ".rotation") as ledger:
        for _ in range(days):
            now += timedelta(days=1)
            note, bread = Note(now=now, reason="old"), chance.choice(("country", "milk"))
            lots = ledger.lots(now)
            held = sum(state.left for state in lots if state.lot.bread == "country")
            if not held or chance.random() < 0.2:
                later = now + timedelta(days=90)
                bag = by_hand.new_bag(house, "country", "part-baked", chance.randint(1, 6), now)
                assert bag.eat_first < later
                ledger.add(bag, note, baked=chance.random() < 0.5)
            elif chance.random() < 0.2:
                ledger.count("country", "part-baked", chance.randint(0, held + 2 * found_more), note)
            elif chance.random() < 0.1:
                ledger.discard(lots[0].lot.id, 1, note)
            elif chance.random() < 0.1:
                standing = [one for one in ledger.history() if one.kind is Kind.TAKEN and not one.undone]
                with suppress(BadInput):  # its letter may be on another bag by now
                    ledger.undo(standing[-1].id if standing else "none", note)
            elif bread == "country":
                ledger.take("country", "part-baked", chance.randint(1, held), note)
    return now


@pytest.mark.parametrize("seed", [1, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(2, 14))])
def test_what_is_eaten_adds_up_over_any_history(rotation: Run, home: Path, tmp_path: Path, seed: int) -> None:
    chance, house = random.Random(seed), read_home(home)
    days = chance.choice((3, 13, 16, 30, 80))
    now = lived(chance, house, days, found_more=seed % 2 == 0)
    when = ("--household", home, "--now", (now + timedelta(hours=20)).isoformat(timespec="minutes"))
    ran = rotation("eaten", "--json", *when)
    assert ran.code == (0 if days > 15 else 2), ran.err
    assert rotation("eaten", *when).code == ran.code
    if ran.code == 0:
        document = json.loads(ran.out)
        for day in document["weekdays"]:
            assert day["low"] <= day["portions"] <= day["high"]
            parts = sum(bread["portions"] for bread in day["breads"].values())
            if not document["ran_out"]:
                assert parts == pytest.approx(day["portions"], abs=0.02)
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        history = ledger.history()
        first = min((one.at for one in history), default=now).astimezone(house.zone).date() - timedelta(days=8)
        length = (now.date() - first).days + 10
        problem = _past(house, ledger, first, 28, now)
    parts_ = list(_out_of_freezer(house, history))
    eaten = sum(sum(day.eaten.values()) for day in _days(house, problem, parts_, history, first, length))
    gone = -sum(
        share.units
        for one in history
        if not one.undone and one.kind in (Kind.TAKEN, Kind.COUNTED)
        for share in one.shares
    )
    portions = gone * house.breads["country"].portions
    if seed % 2:
        assert eaten == pytest.approx(portions)
    else:
        assert eaten >= portions - 1e-6, "what a count finds again is no bread eaten, and none less than nothing"


def test_the_step_out_of_the_oven_wants_nothing(home: Path) -> None:
    house = read_home(home)
    steps = ["mix", "shape", "oven", OUT]
    assert {step for step, _, _ in wanted(house, "milk", "day", 1, steps)} == {"mix"}
