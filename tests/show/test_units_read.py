"""A household that reads degF finds the marks of its oven wherever one is set; inside nothing changes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from rotation.household import Household
from rotation.instructions import Instructions
from rotation.intake.notes import Notes
from rotation.intake.ovens import ovens
from rotation.intake.time import Clock
from rotation.show.lines import lines_of
from rotation.words import oven_at
from tests.intake.test_time import BERLIN
from tests.show.sample import plan, problem


def test_marks_of_an_oven_in_degf() -> None:
    (oven,) = problem().ovens
    marked = replace(oven, marked_degf=True)
    assert oven_at(230, replace(marked, fan_lower_degc=0)) == "450 degF"  # T11
    assert oven_at(150, replace(marked, fan_lower_degc=0)) == "300 degF"  # T11
    assert oven_at(220, replace(marked, fan_lower_degc=20)) == "425 degF (fan 400)"


def test_the_plan_and_its_entries_read_alike() -> None:
    house = replace(problem(), ovens=tuple(replace(oven, marked_degf=True) for oven in problem().ovens))
    said = " ".join(line.what for line in lines_of(house, plan(), {}))
    assert "OVEN ON 425 degF (fan 400)" in said
    assert " 425 degF (fan 400)" in " ".join(
        Instructions(house, plan(), {}).finish(plan().take_outs[0], plan().finishes[0])
    )


def test_the_setting_reaches_the_oven() -> None:

    people = [{"id": "jo", "bakes": True}]
    clock = Clock.of(datetime(2027, 3, 1, tzinfo=BERLIN), BERLIN, 2)
    for unit, marked in (("degC", False), ("degF", True)):
        home = Household.model_validate({"people": people, "shown": {"temperature": unit}})
        assert [oven.marked_degf for oven in ovens(home, {}, clock, Notes())] == [marked]
