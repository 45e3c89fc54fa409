"""What to buy for a kept plan, by hand: ingredients less what is there, in packs, and loaves, before the shop shuts."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from rotation.bakers_math import weigh
from rotation.carried import Carried, to_text
from rotation.happened import Happened, What
from rotation.household.reading import read_home
from rotation.ledger import Happenings, Ledger
from rotation.plan import Feeding, Plan
from tests.commands.conftest import Run

TUESDAY = "2027-03-02T12:00"
ZONE = "+01:00"


def bake(home: Path, id_: str, bread: str, mix: str, pieces: int) -> dict[str, Any]:
    """Return a bake as a plan shows it, with a feed on the evening before."""
    process = read_home(home).breads[bread].processes[0]
    day, at = mix.split("T")
    steps = [{"name": stage.name, "start": f"{day}T{at}{ZONE}", "end": f"{day}T{at}{ZONE}", "who": "a"}
             for stage in process.stages]  # fmt: skip
    for step in steps:
        if step["name"] == "feed":
            step["start"] = step["end"] = f"{day[:-2]}{int(day[-2:]) - 1:02}T20:00{ZONE}"
    return {"id": id_, "bread": bread, "process": process.id, "pieces": pieces, "steps": steps}


def keep(home: Path, *bakes: dict[str, Any], bought: tuple[dict[str, Any], ...] = ()) -> None:
    document = {"schema": "rotation/plan/1", "horizon": {"end": "2027-03-09T00:00+01:00"}, "bakes": list(bakes),
                "bought": list(bought), "meals": [{"id": "m", "summary": "Supper"}]}  # fmt: skip
    (home / ".rotation").mkdir(exist_ok=True)
    with Ledger.open(home / ".rotation") as ledger:
        ledger.keep_plan(json.dumps(document), datetime(2027, 3, 1, tzinfo=UTC))


def pantry(home: Path, **written: str) -> None:
    """Write a pantry into the household's settings, in place of the one that is laid out."""
    file = home / "household.toml"
    kept = [line for line in file.read_text().splitlines() if line.split(" = ")[0] not in written]
    at = next(number for number, line in enumerate(kept) if line.startswith("[pantry]"))
    new = [f"{name} = {value}" for name, value in written.items()]
    file.write_text("\n".join([*kept[: at + 1], *new, *kept[at + 1 :]]) + "\n")


def bought(rotation: Run, home: Path, now: str = TUESDAY) -> Mapping[str, Any]:
    ran = rotation("buy", "--household", home, "--now", now, "--json")
    assert ran.code == 0, ran.err
    document: dict[str, Any] = json.loads(ran.out)
    assert document["schema"] == "rotation/buy/1"
    return document


def by_name(document: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    return {one["name"]: one for one in document["ingredients"]}


def test_all_that_the_bakes_to_come_weigh_is_wanted_but_water(rotation: Run, home: Path) -> None:
    keep(home, bake(home, "a", "tin", "2027-03-03T11:00", 2), bake(home, "b", "tin", "2027-03-06T09:00", 1))
    recipe = read_home(home).breads["tin"]
    want = weigh(recipe.formula, 3, recipe.piece_grams, recipe.process_loss_percent).whole
    found = by_name(bought(rotation, home))
    assert {name: one["buy_grams"] for name, one in found.items()} == {
        name: pytest.approx(grams, abs=0.11) for name, grams in want.items() if name != "water"
    }


def test_what_a_starter_is_fed_is_wanted_and_the_starter_itself_is_not(rotation: Run, home: Path) -> None:
    keep(home, bake(home, "a", "country", "2027-03-04T11:00", 2))
    recipe = read_home(home).breads["country"]
    weighed = weigh(recipe.formula, 2, recipe.piece_grams, recipe.process_loss_percent)
    found = by_name(bought(rotation, home))
    fed = sum(grams for build in weighed.builds for name, grams in build.fresh.items() if name != "water")
    mixed = sum(grams for name, grams in weighed.final.items() if name != "water")
    assert fed > 0
    assert sum(one["buy_grams"] for one in found.values()) == pytest.approx(fed + mixed, abs=0.5)
    assert not {build.name for build in weighed.builds} & set(found)
    later = by_name(bought(rotation, home, "2027-03-04T09:00"))
    assert sum(one["buy_grams"] for one in later.values()) == pytest.approx(mixed, abs=0.5), "it is fed by now"


def test_what_is_there_is_not_bought_and_packs_are_whole(rotation: Run, home: Path) -> None:
    keep(home, bake(home, "a", "tin", "2027-03-03T11:00", 2), bake(home, "b", "tin", "2027-03-06T09:00", 2))
    all_ = by_name(bought(rotation, home))
    flour = max(all_, key=lambda name: all_[name]["buy_grams"])
    need = all_[flour]["needed_grams"]
    pantry(home, there_grams=f'{{ "{flour}" = {need / 2 + 1}, salt = 500 }}', pack_grams=f'{{ "{flour}" = 1000 }}')
    found = by_name(bought(rotation, home))
    assert "salt" not in found
    packs = -(-(need / 2 - 1) // 1000)
    assert (found[flour]["packs"], found[flour]["buy_grams"]) == (packs, packs * 1000)
    assert found[flour]["first"]["at"].startswith("2027-03-06"), "the first bake has enough"
    pantry(home, there_grams=f'{{ "{flour}" = {need} }}')
    assert flour not in by_name(bought(rotation, home)), "to the gram"


def test_it_is_bought_before_the_shop_shuts(rotation: Run, home: Path) -> None:
    keep(home, bake(home, "a", "tin", "2027-03-08T07:00", 1))  # a Monday; the shop is shut on Sundays
    assert {one["by"] for one in by_name(bought(rotation, home)).values()} == {"2027-03-06T18:00+01:00"}
    late = by_name(bought(rotation, home, "2027-03-07T12:00"))
    assert {one["by"] for one in late.values()} == {None}
    said = rotation("buy", "--household", home, "--now", "2027-03-07T12:00").out
    assert said.startswith("now, the shop is shut")
    assert by_name(bought(rotation, home, "2027-03-08T08:00")) == {}, "it is mixed by now"


def test_the_shop_is_shut_only_after_it_closed(rotation: Run, home: Path) -> None:
    """It closes at 20:00 on Mondays; nobody knows when it opens."""
    tin = bake(home, "a", "tin", "2027-03-08T17:00", 1)
    tin["steps"][0]["end"] = f"2027-03-08T17:15{ZONE}"
    keep(home, tin)

    def said(clock: str) -> str:
        return rotation("buy", "--household", home, "--now", f"2027-03-08T{clock}").out

    def dues(clock: str) -> set[str]:
        file = home / "list.ics"
        rotation("buy", "--household", home, "--now", f"2027-03-08T{clock}", "--out", file)
        return {line for line in file.read_text().splitlines() if line.startswith("DUE")}

    assert said("10:00").startswith("today, before 17:00 ")
    assert dues("10:00") == {"DUE:20270308T160000Z"}
    assert said("17:20").startswith("now  "), "late, and still to be mixed"
    assert dues("17:20") == {"DUE:20270308T162000Z"}
    assert said("18:14").startswith("now  ")
    assert said("18:15").startswith("Nothing to buy"), "as long as `rotation now` asks for it"
    with Ledger.open(home / ".rotation") as ledger:
        at = datetime(2027, 3, 8, 16, 10, tzinfo=UTC)
        Happenings(ledger).record([Happened(id="x", thing="a@2027", step="mix", what=What.DONE, start=at, end=at)], at)
    assert said("17:20").startswith("Nothing to buy"), "it is mixed"


def test_a_bake_that_is_off_wants_nothing(rotation: Run, home: Path) -> None:
    keep(home, bake(home, "a", "tin", "2027-03-03T11:00", 2))
    with Ledger.open(home / ".rotation") as ledger:
        row = Happened(id="x", thing="a@2027", step="mix", what=What.SKIPPED)
        Happenings(ledger).record([row], datetime(2027, 3, 2, tzinfo=UTC))
    assert rotation("buy", "--household", home, "--now", TUESDAY).out.startswith("Nothing to buy until Tue 9 Mar")


def test_what_the_starter_is_fed_beside_any_bake_is_wanted_and_taken_off(rotation: Run, home: Path) -> None:
    start = datetime(2027, 3, 1, tzinfo=UTC)
    feeding = Feeding("starter-0303-2000", 3 * 1440 - 240, 3 * 1440 - 235, "jo")
    alone = to_text(Carried(start, 7, "home", Plan(feedings=(feeding,))))
    keep(home)
    with Ledger.open(home / ".rotation") as ledger:
        ledger.keep_plan(ledger.kept_plan() or "", start, alone)
    wanted = by_name(bought(rotation, home))
    assert wanted, "flour"
    assert {one["first"]["at"] for one in wanted.values()} == {"2027-03-03T21:00+01:00"}
    assert {one["first"]["bread"] for one in wanted.values()} == {"starter"}
    flour, grams = next((name, one["buy_grams"]) for name, one in wanted.items())
    assert 0 < grams < 200
    pantry(home, there_grams=f'{{ "{flour}" = 1000 }}')
    assert rotation("buy", "--there", f"{flour}=1 kg", "--household", home, "--now", TUESDAY).code == 0
    at = datetime(2027, 3, 3, 20, tzinfo=UTC)
    with Ledger.open(home / ".rotation") as ledger:
        row = Happened(id="x", thing=f"{feeding.id}@2027", step="feed", what=What.DONE, start=at, end=at, planned=alone)
        Happenings(ledger).record([row], at)
    document = bought(rotation, home, "2027-03-03T21:30")
    assert document["ingredients"] == []
    assert document["there"] == [{"name": flour, "grams": pytest.approx(1000 - grams, abs=0.11),
                                  "since": "2027-03-02T12:00+01:00"}]  # fmt: skip


def test_loaves_are_on_the_list_until_their_time(rotation: Run, home: Path) -> None:
    loaf = {"id": "bought:1", "loaves": 2, "buy_by": "2027-03-03T20:00+01:00", "meals": [{"id": "m"}]}
    keep(home, bought=(loaf,))
    assert rotation("buy", "--household", home, "--now", TUESDAY).out == (
        "by Wed 3 Mar 20:00     2 loaves of bread. For Supper.\n"
    )
    assert bought(rotation, home, "2027-03-03T20:01")["loaves"] == []


def test_tasks_are_due_when_the_shop_shuts(rotation: Run, home: Path, tmp_path: Path) -> None:
    loaf = {"id": "bought:1", "loaves": 1, "buy_by": "2027-03-03T20:00+01:00", "meals": []}
    keep(home, bake(home, "a", "tin", "2027-03-06T09:00", 1), bought=(loaf,))
    files = [tmp_path / "a.ics", tmp_path / "b.ics"]
    for file in files:
        assert rotation("buy", "--household", home, "--now", TUESDAY, "--out", file).code == 0
    text = files[0].read_text()
    assert text == files[1].read_text()
    assert text.count("BEGIN:VTODO") == text.count("STATUS:NEEDS-ACTION") > 1
    assert "SUMMARY:Buy 1 loaf of bread" in text
    assert "DUE:20270303T190000Z" in text


def test_a_bread_no_file_describes_is_said(rotation: Run, home: Path) -> None:
    keep(home, {"id": "x", "bread": "brioche", "process": "straight", "pieces": 1, "steps": []})
    assert "Not weighed: brioche." in rotation("buy", "--household", home, "--now", TUESDAY).out


def test_without_a_plan_one_is_asked_for(rotation: Run, home: Path) -> None:
    ran = rotation("buy", "--household", home, "--now", TUESDAY)
    assert (ran.code, ran.out) == (2, "")
    assert "Make one: rotation plan" in ran.err


def test_a_slip_in_the_pantry_is_found(rotation: Run, home: Path) -> None:
    pantry(home, there_grams="{ salz = 500 }")
    ran = rotation("buy", "--household", home, "--now", TUESDAY)
    assert ran.code == 2
    assert 'no formula has "salz"' in ran.err
