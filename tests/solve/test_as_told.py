"""What was told is planned first: it stays unless something else is better by more than the change costs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.plan import Plan
from rotation.problem import Problem, Published
from rotation.reasons.held import baked_as_told
from rotation.replanning import solved
from rotation.rules.checked import broken
from rotation.solve import limits, solve
from tests.solve.homes import at_home, home

WORK = limits("quick")
DAYS = 4
"""Days on which a change costs its whole price."""


def told(price: int, *, days: int = DAYS) -> Problem:
    """Return a home that would bake the tin on each day, and was told a wheat loaf on the third and nothing else."""
    made = at_home(home(4, 2, 1, 3, tail=1, loaves_a_week=9, guests=False))
    weights = replace(made.weights, changed_by_day=(price,) * days)
    return replace(made, weights=weights, published=(Published("wheat", "day", 2, price),))


def baked(plan: Plan, days: int = DAYS) -> set[tuple[str, int]]:
    return {(bake.bread, bake.day) for bake in plan.bakes if bake.day < days}


def test_as_told_is_what_was_told_and_nothing_else_on_the_days_that_count() -> None:
    problem = told(900)
    plan = solve(problem, WORK, shape=baked_as_told(problem))
    assert baked(plan) == {("wheat", 2)}
    assert broken(problem, plan) == ()


@pytest.mark.parametrize(("price", "kept"), [(10, False), (90_000, True)])
def test_it_stays_where_a_change_is_dear_and_not_where_something_better_is_cheap(price: int, kept: bool) -> None:
    problem = told(price)
    plan = solved(problem, WORK)
    assert broken(problem, plan) == ()
    assert (baked(plan) == {("wheat", 2)}) is kept
    assert plan.total <= solve(problem, WORK, shape=baked_as_told(problem)).total


def test_what_was_told_and_can_no_longer_be_is_planned_otherwise() -> None:
    problem = told(90_000)
    people = tuple(replace(one, free=tuple(span for span in one.free if span[0] > 3000)) for one in problem.people)
    away = replace(problem, people=people, published=(Published("wheat", "day", 0, 90_000),))
    plan = solved(away, WORK)
    assert broken(away, plan) == ()
    assert ("wheat", 0) not in baked(plan)


def test_days_on_which_a_change_costs_less_are_free() -> None:
    problem = told(900)
    fading = replace(problem, weights=replace(problem.weights, changed_by_day=(900, 900, 300, 300)))
    plan = solve(fading, WORK, shape=baked_as_told(fading))
    assert not baked(plan, 2)
    assert baked(plan) != {("wheat", 2)}
    assert broken(fading, plan) == ()
