"""The reference that knows what comes: the same chance, told a week before; and what is then done keeps the rules."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.household.reading import Home
from rotation.problem import Problem
from rotation.rehearsal.chance import Rates
from rotation.rehearsal.habits import UP_TO, Figures, Habit
from rotation.rehearsal.living import Life
from rotation.rehearsal.planned import Planner, small
from rotation.rehearsal.policy import INFORMED
from rotation.rehearsal.runs import PLANNER_DAYS, Stage, foretold, run
from rotation.rehearsal.scenarios import Scenario
from tests.rehearsal.test_living import world

HABIT = Habit(UP_TO, Figures(3, 7))


def test_all_is_told_a_week_before_and_nothing_is_other(bakers: Home, weeks_ahead: Problem) -> None:
    """Guests, moves and appetite are those of everybody, known in time; who was told later is told sooner."""
    plain, told = world(bakers, weeks_ahead, 3), foretold(*world(bakers, weeks_ahead, 3))
    sooner = {one.said: one.known for one in told[0].news}
    assert any(one.known > sooner[one.said] for one in plain[0].news if one.meal is not None)
    for one in told[0].news:
        if one.meal is not None:
            assert one.known <= max(0, one.meal.at - 1440 * PLANNER_DAYS)
    wanted = [{meal.meal.id: meal.wanted for meal in Life(*each, HABIT).live().meals} for each in (plain, told)]
    assert {id_: each for id_, each in wanted[0].items() if each} == wanted[1]
    known = {meal.id: meal.portions for meal in told[0].true.meals}
    assert all(known[id_] == each for id_, each in wanted[1].items())


@pytest.mark.long
def test_it_lives_and_knowing_more_costs_no_more_here(bakers: Home, weeks_ahead: Problem) -> None:
    """A short life of both; only what eats differs, since dough and lost loaves are told to nobody."""
    stage = Stage(bakers, weeks_ahead, 0, 1)
    rates = replace(Rates(), late=0, eaten=0, moved=0, guests=0, spread=0.5)
    scenario = Scenario("appetite alone", "", rates)
    effort = []
    for name in (INFORMED, "planner"):
        (week,) = run(stage, scenario, 101, Planner(bakers.settings, small(), name=name), PLANNER_DAYS)
        effort.append(week.effort)
        assert week.wanted
    assert effort[0] <= effort[1]
