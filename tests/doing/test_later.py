""" "Not yet" offers what can be done, each planned and priced, and writes nothing until one is chosen."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rotation.ledger import Happenings, Ledger
from tests.commands.conftest import Run

Say = Callable[..., str]
Plan = Callable[[str], dict[str, Any]]
AT = "16:55"


def chosen(home: Path) -> list[str]:
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        return [row.said for row in Happenings(ledger).standing() if row.what == "changed"]


@pytest.fixture
def begun(say: Say) -> None:
    """Mix the dough of Saturday's bread as planned; at five to five it is to be shaped, and is not yet there."""
    say("done sat-mix --at 15:20", "16:50")


def under_way(document: dict[str, Any]) -> dict[str, Any]:
    (bake,) = [bake for bake in document["bakes"] if bake["under_way"]]
    return dict(bake)


@pytest.mark.usefixtures("begun")
def test_slow_dough_is_given_time_warmth_another_shape_or_up(say: Say, home: Path) -> None:
    said = say("later sat-shape", AT)
    assert "1 give it the time it wants, in the room: shape it 17:10, by 18:10 at the latest; costs nothing." in said
    assert "2 put it warmer, about 27 degC" in said
    assert re.search(r"3 into a tin: 1 Milk tin loaf, shape it 16:55, by 17:55 at the latest; \w+ \d+ effort", said)
    assert "4 make flatbread of it: 4 Milk flatbreads, shape it 16:55" in said
    assert "5 give it up: no loaf of it; costs" in said
    assert "into the fridge" not in said, "guests' food fills it"
    assert chosen(home) == []


@pytest.mark.usefixtures("begun")
def test_with_room_in_the_fridge_it_waits_there_until_a_stated_hour(say: Say, plan: Plan, home: Path) -> None:
    settings = home / "household.toml"
    settings.write_text(settings.read_text() + "\n[kitchen]\nfridge_spots_guests = 2\n", encoding="utf-8")
    said = say("later sat-shape", AT)
    assert re.search(r"3 cover it, into the fridge: shape it [\w :]+, by tomorrow 16:55 at the latest;", said)
    say("later sat-shape --take 3", AT)
    document = plan(AT)
    assert "Because sat-shape was not ready: it went into the fridge." in document["changed"]
    assert plan("17:00")["changed"] == "", "said once"
    step = under_way(document)["steps"][1]
    assert "2027-03-06T17:10" <= step["start"] <= "2027-03-07T16:55", "dough in the fridge goes on while it is warm"


@pytest.mark.usefixtures("begun")
@pytest.mark.parametrize(("number", "bread", "pieces"), [(3, "milk.tin", 1), (4, "milk.flatbread", 4)])
def test_another_shape_is_a_bread_of_its_own_to_the_end(
    say: Say, plan: Plan, number: int, bread: str, pieces: int
) -> None:
    say(f"later sat-shape --take {number}", AT)
    planned = under_way(plan(AT))
    assert (planned["bread"], planned["pieces"]) == (bread, pieces)
    assert planned["steps"][1]["start"][11:16] == AT
    say("done sat-shape --at 16:55", "17:06")
    planned = under_way(plan("17:06"))
    assert (planned["bread"], planned["pieces"]) == (bread, pieces)
    say(f"done sat-out --count {pieces}", "18:58")
    document = plan("19:00")
    assert [one["portions"] for one in document["bread_box"] if one["bread"] == bread] == [9 if pieces == 4 else 12]
    (brunch,) = [meal for meal in document["meals"] if meal["strict"] and meal["portions"] == 8]
    assert brunch["served"] == 8


@pytest.mark.usefixtures("begun")
def test_what_of_another_shape_is_frozen_is_a_bag_of_it(say: Say, plan: Plan) -> None:
    say("later sat-shape --take 4", AT)
    bake = under_way(plan(AT))
    bags = [one["pieces"] for one in bake["treatments"] if one["id"] == "baked"]
    assert bags == [1], "brunch eats three of four"
    say("done sat-out", "18:58")
    assert plan("19:00")["freezer"]
    assert "1 in: 1 of bag B (milk.flatbread)" in say("done sun-bag", "2027-03-07T07:10")
    assert "milk.flatbread, baked" in say("freezer list", "2027-03-07T07:15")
    assert [lot["bread"] for lot in plan("2027-03-07T07:20")["lots"] if lot["form"] == "baked"] == ["milk.flatbread"]


@pytest.mark.usefixtures("begun")
def test_what_is_given_up_is_gone_and_can_be_taken_back(say: Say, plan: Plan, home: Path) -> None:
    assert "rotation done sat-shape --undo" in say("later sat-shape --take 5", AT)
    assert chosen(home) == ["bin"]
    assert not [bake for bake in plan(AT)["bakes"] if bake["under_way"]]
    say("done sat-shape --undo", AT)
    assert chosen(home) == []
    assert under_way(plan(AT))["bread"] == "milk"


@pytest.mark.usefixtures("begun")
def test_of_a_step_the_last_choice_counts(say: Say, plan: Plan, home: Path) -> None:
    say("later sat-shape --take 3", AT)
    say("later sat-shape --take 1", AT)
    assert chosen(home) == ["wait"]
    assert under_way(plan(AT))["bread"] == "milk"


@pytest.mark.usefixtures("begun")
def test_a_bread_says_what_its_dough_may_become(say: Say, home: Path) -> None:
    bread = home / "breads" / "milk.toml"
    flat = "[becomes]\ntin = false\n[becomes.flatbread]\npieces = 6\n"
    bread.write_text(bread.read_text(encoding="utf-8") + flat, encoding="utf-8")
    said = say("later sat-shape", AT)
    assert "into a tin" not in said
    assert "make flatbread of it: 6 Milk flatbreads" in said


def test_what_has_not_begun_or_is_done_is_told(rotation: Run, say: Say, home: Path) -> None:
    ran = rotation("later", "sat-shape", "--household", home, "--now", "2027-03-06T16:55")
    assert (ran.code, "has begun" in ran.err) == (2, True)
    say("done sat-mix --at 15:20", "16:50")
    ran = rotation("later", "sat-mix", "--household", home, "--now", "2027-03-06T16:55")
    assert (ran.code, "is done" in ran.err) == (2, True)
    ran = rotation("later", "sat-shape", "--take", "9", "--household", home, "--now", "2027-03-06T16:55")
    assert (ran.code, "was not offered" in ran.err) == (2, True)


def test_dough_forgotten_past_the_hours_of_the_oven_is_late_and_never_impossible(say: Say, plan: Plan) -> None:
    """Mixed at 15:20 and not shaped by 20:50; the oven is off by 22:00, so it is baked late, on Sunday."""
    say("done sat-mix --at 15:20", "16:50")
    (bake,) = [bake for bake in plan("20:50")["bakes"] if bake["under_way"]]
    assert bake["late"] == ["shape", "oven"]
    assert bake["steps"][2]["start"][:10] == "2027-03-07"


def test_dough_in_time_for_an_oven_that_nobody_could_empty_in_time_is_late(say: Say, plan: Plan) -> None:
    """Shaped at 20:26 it might go in at 21:15; at 22:00, when it would be out, nobody has hands: in the morning."""
    say("done sat-shape", "2027-03-05T20:36")
    bake = under_way(plan("2027-03-05T20:36"))
    (oven,) = [step for step in bake["steps"] if step["name"] == "oven"]
    assert "2027-03-06T07:00" <= oven["start"][:16] <= "2027-03-06T08:30"


def test_a_plan_can_still_be_written_after_only_looking(say: Say, home: Path) -> None:
    """Looking takes the morning's thaw to be done, and the plan kept from Friday still has it to come."""
    (home / "calendars" / "bread").mkdir()
    settings = home / "household.toml"
    settings.write_text(settings.read_text() + '\n[entries]\npath = "calendars/bread"\n', encoding="utf-8")
    say("freezer count A 1", "2027-03-05T17:31")
    say("done sat-mix --at 15:20", "16:50")
    say("publish --dry-run", "16:52")
    say("later sat-shape", AT)
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert "thaw" in [row.step for row in Happenings(ledger).standing()]
    assert say("publish --dry-run", "16:57")
