"""What is there to bake with: counted or written, bought, taken off as it is mixed, undone with what it came from."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from rotation import buying
from rotation.errors import BadInput
from rotation.household.reading import read_home
from rotation.pantry import there
from rotation.stockroom import freezer
from tests.commands.conftest import Run
from tests.doing.conftest import Say

FLOUR = 800 / 1.63
"""Grams in a milk loaf of 800 g, of 100 flour, 60 water, 2 salt and 1 yeast."""

Pantry = Callable[..., dict[str, float]]


@pytest.fixture
def pantry(rotation: Run, home: Path) -> Pantry:
    """Say something to `rotation buy`, at a time of Saturday; return the grams there are then."""

    def grams(*words: str, at: str = "08:00") -> dict[str, float]:
        ran = rotation("buy", *words, "--household", home, "--now", f"2027-03-06T{at}", "--json")
        assert ran.code == 0, ran.err
        document: Mapping[str, Any] = json.loads(ran.out)
        return {one["name"]: one["grams"] for one in document["there"]}

    return grams


def write(home: Path, there_grams: str) -> None:
    file = home / "household.toml"
    text = file.read_text(encoding="utf-8").partition("[pantry]")[0]
    file.write_text(f"{text}[pantry]\nthere_grams = {there_grams}\n", encoding="utf-8")


def test_what_is_mixed_is_taken_off_and_given_back_with_its_step(say: Say, pantry: Pantry, home: Path) -> None:
    write(home, '{ "wheat flour" = 1000, salt = 100 }')
    assert pantry() == {"wheat flour": 1000, "salt": 100}
    say("done sat-mix", "15:35")
    assert pantry(at="16:00") == pytest.approx({"wheat flour": 1000 - FLOUR, "salt": 100 - FLOUR / 50}, abs=0.06)
    say("done sat-shape", "16:40")
    assert pantry(at="16:40")["wheat flour"] == pytest.approx(1000 - FLOUR, abs=0.06), "shaping takes nothing"
    say("done sat-shape --undo", "16:41")
    say("done sat-mix --undo", "16:42")
    assert pantry(at="16:45") == {"wheat flour": 1000, "salt": 100}
    say("done sat-oven --at 18:15", "18:20")
    assert pantry(at="18:30")["wheat flour"] == pytest.approx(1000 - FLOUR, abs=0.06), "so it was mixed"


def test_a_count_counts_whatever_was_before_it(say: Say, pantry: Pantry, home: Path) -> None:
    write(home, '{ "wheat flour" = 1000 }')
    say("done sat-mix", "15:35")
    assert pantry("--there", "wheat flour=0.3 kg", at="16:00") == {"wheat flour": 300}
    assert pantry("--bought", "wheat flour=2 lb", at="16:10")["wheat flour"] == pytest.approx(1207.2, abs=0.1)
    write(home, '{ "wheat flour" = 900 }')
    assert pantry(at="17:00") == {"wheat flour": 900}, "written anew is counted anew"
    write(home, '{ "wheat flour" = 900, salt = 50 }')
    assert pantry(at="17:10") == {"wheat flour": 900, "salt": 50}


def test_what_was_written_long_ago_does_not_come_back(say: Say, pantry: Pantry, home: Path) -> None:
    write(home, '{ "wheat flour" = 1000 }')
    pantry("--there", "wheat flour=600 g", at="15:00")
    say("done sat-mix", "15:35")
    assert pantry(at="16:00")["wheat flour"] == pytest.approx(600 - FLOUR, abs=0.06)


def test_bought_is_all_of_the_list_once_and_taken_back(rotation: Run, pantry: Pantry, home: Path) -> None:
    bought = pantry("--bought")
    assert bought["wheat flour"] == pytest.approx(FLOUR, abs=0.1)
    assert rotation("buy", "--household", home, "--now", "2027-03-06T08:05").out.startswith("Nothing to buy until")
    assert pantry("--bought") == bought, "there is nothing more on the list"
    assert pantry("--undo") == {}
    ran = rotation("buy", "--undo", "--household", home, "--now", "2027-03-06T08:05")
    assert (ran.code, "nothing was bought or counted" in ran.err) == (2, True)


def test_there_is_never_less_than_nothing(say: Say, pantry: Pantry, home: Path) -> None:
    pantry("--there", "wheat flour=10 g", at="15:00")
    say("done sat-mix", "15:35")
    assert pantry(at="16:00") == {"wheat flour": 0}


def test_what_was_mixed_beyond_what_was_known_is_no_debt(say: Say, pantry: Pantry, home: Path) -> None:
    pantry("--there", "wheat flour=10 g", at="15:00")
    say("done sat-mix", "15:35")
    assert pantry("--bought", "wheat flour=675 g", at="16:00") == {"wheat flour": 675}
    say("done sat-mix --undo", "16:10")
    assert pantry(at="16:15") == {"wheat flour": 685}, "taken back, it took nothing"


@pytest.mark.parametrize(("words", "wrong"), [
    (["--there", "sat=3"], 'no formula has "sat". Do you mean "salt"?'),
    (["--there", "salt=some"], '"some" is not a mass'),
    (["--there", "salt"], "is not a mass"),
    (["--there", "salt=-5"], "-5 g cannot be"),
    (["--bought", "salt=9999999"], "cannot be"),
    (["salt=3"], "go with either --bought or --there"),
    (["--there"], "go with either --bought or --there"),
    (["--bought", "--undo"], "only one can be said"),
])  # fmt: skip
def test_slips_are_told_and_nothing_is_recorded(rotation: Run, home: Path, words: list[str], wrong: str) -> None:
    ran = rotation("buy", *words, "--household", home, "--now", "2027-03-06T08:00")
    assert (ran.code, ran.out) == (2, "")
    assert wrong in ran.err
    house = read_home(home)
    now = datetime(2027, 3, 6, 9, tzinfo=house.zone)
    with freezer(house, now, readonly=True) as ledger:
        assert there(house, ledger, now) == {}


def test_one_request_counts_once(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    house = read_home(home)
    now = datetime(2027, 3, 6, 8, tzinfo=house.zone)
    with ThreadPoolExecutor(4) as pool:
        said = list(pool.map(lambda _: buying.bought(house, now, {"salt": 500.0}, "tap-1"), range(4)))
    assert said == [{"salt": 500.0}] * 4
    buying.taken_back(house, now, "tap-2")
    assert buying.taken_back(house, now, "tap-2") == ()
    assert buying.bought(house, now, {"salt": 500.0}, "tap-1") == {}, "sent again after it was taken back"
    with pytest.raises(BadInput, match="was used for buy bought"):
        buying.counted(house, now, {"salt": 1.0}, "tap-1")
    assert capsys.readouterr() == ("", "")
    with freezer(house, now, readonly=True) as ledger:
        assert there(house, ledger, now) == {}


def life(home: Path, seed: int, acts: int) -> None:
    """Say things at random, and keep the same account of flour with a pencil."""
    chance, house = random.Random(seed), read_home(home)
    now = datetime(2027, 3, 6, 9, tzinfo=house.zone)
    account: list[float] = []
    known = False
    for _ in range(acts):
        now += timedelta(minutes=chance.randint(1, 600))
        act, grams = chance.choice(("bought", "bought", "counted", "back")), float(chance.randint(0, 5000))
        if act == "bought":
            buying.bought(house, now, {"wheat flour": grams})
            account.append(grams)
        elif act == "counted":
            buying.counted(house, now, {"wheat flour": grams})
            account.append(-grams - 1)  # below zero: counted
        elif account:
            buying.taken_back(house, now)
            account.pop()
        last = max((number for number, one in enumerate(account) if one < 0), default=None)
        held = sum(account) if last is None else -account[last] - 1 + sum(account[last + 1 :])
        known |= bool(account)
        with freezer(house, now, readonly=True) as ledger:
            found = there(house, ledger, now)
        assert (found["wheat flour"].grams if account else found) == (pytest.approx(held) if account else {})
    assert known


@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.long), pytest.param(3, marks=pytest.mark.long)])
def test_sums_are_exact_whatever_is_said(home: Path, seed: int) -> None:
    life(home, seed, 40 if seed == 1 else 300)
