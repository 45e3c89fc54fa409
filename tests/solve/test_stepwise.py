"""A choice of days some days at a time."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from rotation.problem import Problem
from rotation.rules.checked import broken
from rotation.solve import limits
from rotation.solve.goals import cost
from rotation.solve.held import Held
from rotation.solve.planner import Planner
from rotation.solve.relaxation import Relaxation
from rotation.solve.stepwise import AHEAD, Part, box, later_missed, parts, without_later
from tests.solve.homes import home


@pytest.mark.parametrize("days", range(1, 90))
def test_parts_meet_and_end_with_the_last_day(days: int) -> None:
    found = list(parts(days))
    assert found[0].held == 0
    assert found[-1].end == days
    for before, after in itertools.pairwise(found):
        assert after.held == before.end - AHEAD
        assert after.end > before.end
    assert len(found) == 1 or days > 2 * AHEAD


def test_a_week_is_one_part_and_two_are_two() -> None:
    assert list(parts(11)) == [Part(0, 11)]
    assert list(parts(18)) == [Part(0, 10), Part(6, 18)]


def test_the_last_part_leaves_all_open_and_costs_all() -> None:
    choices = Planner(home(3, 2, tail=2), limits("quick"), lambda _: None).days.held()[0]
    goal, whole = cost(choices.model), Part(0, choices.problem.days)
    bounds = np.array(choices.model.bounds, dtype=float)
    lower, upper = box(choices, whole, {})
    assert (lower == bounds[:, 0]).all()
    assert (upper == bounds[:, 1]).all()
    assert without_later(choices, whole, goal) == goal


def test_the_first_days_are_a_shorter_plan_and_then_held() -> None:
    """In a part nothing is begun, eaten or priced later; of the next one its first days are as they were."""
    problem = home(8, 2, tail=2)
    choices = Planner(problem, limits("quick"), lambda _: None).days.held()[0]
    goal = cost(choices.model)
    with later_missed(choices, 5):
        relaxation = Relaxation(choices.model, without_later(choices, Part(0, 5), goal), box(choices, Part(0, 5), {}))
        assert relaxation.solve(math.inf) < math.inf
    values = relaxation.values()
    late = [variable for run, variable in zip(choices.runs, choices.run, strict=True) if run.day >= 5]
    late += [variable for way, variable in zip(choices.ways, choices.way, strict=True) if way.take_day >= 5]
    late += [v for (_, meal), v in choices.eaten.items() if problem.day_of(at(problem, meal)) >= 5]
    assert late
    assert not values[late].any()
    assert values[choices.run].any()
    held = dict(enumerate(values.tolist()))
    lower, upper = box(choices, Part(3, 10), held)
    for run, variable in zip(choices.runs, choices.run, strict=True):
        if run.day < 3:
            assert lower[variable] == upper[variable] == round(values[variable])
        else:
            assert upper[variable] == 1


def at(problem: Problem, id_: str) -> int:
    """Return the minute of a meal."""
    return next(meal.at for meal in problem.meals if meal.id == id_)


def test_a_search_begun_some_days_at_a_time_gives_a_plan_that_holds() -> None:
    problem = home(14, 1, tail=4)
    planner = Planner(problem, limits("quick"), lambda _: None)
    held = planner.days.held(traced=True)
    ready = Held(*held)
    ready.strengthen()
    planner.search.first(ready)
    assert planner.best.plan is not None
    assert not broken(problem, planner.best.plan)
