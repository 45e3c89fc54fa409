"""Times of the trade, from the common practice of home bakers, held against the oven's turns and the rules' bounds."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from rotation.oven_turns import bake_turns
from rotation.plan import Plan
from rotation.problem import TABLE, Problem, Process
from rotation.rules import thawed, waits
from tests.rules.changes import sourdough, stepped, taken, waiting
from tests.rules.house import NIGHT, SUN, at, problem
from tests.rules.sample import plan

with (Path(__file__).parent / "data" / "references.csv").open(encoding="utf-8", newline="") as file:
    TRADE = {row["id"]: row for row in csv.DictReader(file)}


def loaves() -> Process:
    """Return a process of loaves with 20 minutes in a covered vessel and 10 beside the next one."""
    table = replace(NIGHT.treatment(TABLE), uncovered=10)
    return replace(NIGHT, treatments=(table,))


def oven_minutes(number: int) -> int:
    """Return the minutes after preheating until the last loaf is out, of one vessel in an oven with room for two."""
    return max(turn.out for turn in bake_turns(loaves(), ((TABLE, number),), problem().ovens[0]))


@pytest.mark.parametrize("number", range(1, 7))
def test_n_loaves_through_one_covered_vessel_take_20_n_and_10(number: int) -> None:
    # Source: data/references.csv T10, "common practice, no published source": n loaves take 20 n + 10 minutes.
    assert oven_minutes(number) == 20 * number + 10


def test_two_loaves_through_one_covered_vessel() -> None:
    # Source: data/references.csv T10, "common practice, no published source": two loaves take 50 minutes.
    assert oven_minutes(2) == int(TRADE["T10"]["value"])


def retard(minutes: int) -> tuple[Problem, Plan]:
    """Return the house with T02's limits for the cold retard, and the plan with a last loaf that rests so long."""
    low, high = int(TRADE["T02"]["low"]) * 60, int(TRADE["T02"]["high"]) * 60
    shaped = at(SUN, 8, 50) - minutes
    return waiting("shape", "oven", low, high), stepped("shape", start=shaped - 15, end=shaped)


@pytest.mark.parametrize(
    ("minutes", "named"),
    [(8 * 60 + 20, False), (8 * 60 + 15, True), (24 * 60, False), (48 * 60, False), (48 * 60 + 5, True)],
)
def test_cold_retard_keeps_its_limits(minutes: int, named: bool) -> None:
    # Source: data/references.csv T02, "common practice, no published source": 8 to 48 h. The first of two loads goes in
    # 20 minutes before the last: the least is the first one's, the most the last one's.
    found = [one for one in waits.check(*retard(minutes)) if one.where == "b1 oven"]
    assert bool(found) == named


@pytest.mark.parametrize(("hours", "named"), [(7.5, True), (8, False), (12, False), (12.5, True)])
def test_a_loaf_thaws_in_the_fridge_overnight(hours: float, named: bool) -> None:
    # Source: data/references.csv T04, "common practice, no published source": overnight, 8 to 12 h for a bagged loaf.
    routes = tuple(
        replace(route, thaw=(8 * 60, 12 * 60)) if route.id == "fridge" else route
        for route in problem().bread("sourdough").routes
    )
    into = plan().finishes[0].stay.start
    found = list(thawed.check(sourdough(routes=routes), taken("out", route="fridge", at=into - round(hours * 60))))
    assert bool(found) == named
