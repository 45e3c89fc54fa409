"""Tiny homes, thrice: the planner, one flat model of optional intervals (CP-SAT), and the list of all patterns (HiGHS).

Each was written apart from the others; they agree on every tier.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.problem import Problem
from rotation.rules.checked import broken
from rotation.solve import Limits, solve
from tests.outside.flat import Flat
from tests.outside.listed import Listed
from tests.outside.test_small_optima import OPEN
from tests.outside.tiny_homes import tiny_home

PROOF = Limits(days=60, minutes=20, rounds=60)
QUICK = (2, 10, 15, 18, 22, 23, 26, 28, 29, 31, 32, 33, 36, 38, 42, 55, 56)
"""Homes of few patterns, so that listing them all is quick as well."""
GUESTS = (0, 1, 2, 11, 14, 15, 19, 21, 22, 24, 26, 29, 33)


def with_guests(problem: Problem) -> Problem:
    """Return a home whose second meal is strict, and wants more."""
    first, second, *others = problem.meals
    return replace(problem, meals=[first, replace(second, strict=True, portions=second.portions + 3), *others])


def agree(problem: Problem, *, open_: bool = False) -> None:
    """Hold the planner's plan and bounds against the flat model."""
    plan, (short, cost) = solve(problem, PROOF), Flat(problem).least()
    assert broken(problem, plan) == ()
    tiers = {tier.name: tier for tier in plan.tiers}
    assert tiers["strict portions short"].value == short
    bound = tiers["cost"].bound
    assert bound is not None
    assert bound <= cost <= plan.total
    assert open_ or plan.status == "optimal"
    assert open_ or plan.total == cost


@pytest.mark.parametrize("seed", QUICK)
def test_planner_flat_model_and_list_agree(seed: int) -> None:
    problem = tiny_home(seed)
    agree(problem)
    assert Flat(problem).least() == (0, Listed(problem).least())


@pytest.mark.parametrize("seed", GUESTS)
def test_planner_and_flat_model_agree_on_guests_first(seed: int) -> None:
    agree(with_guests(tiny_home(seed)))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100))
def test_planner_and_flat_model_agree_at_length(seed: int) -> None:
    agree(tiny_home(seed), open_=seed in OPEN)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100))
def test_planner_and_flat_model_agree_on_guests_first_at_length(seed: int) -> None:
    agree(with_guests(tiny_home(seed)), open_=seed in OPEN)
