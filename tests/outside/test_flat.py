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
from tests.outside.tiny_homes import heated_by_a_mixed_bake, ready_at_once, tiny_home

PROOF = Limits(days=60, minutes=20, rounds=60)
QUICK = (2, 10, 15, 18, 22, 23, 26, 28, 29, 31, 32, 33, 36, 38, 42, 55, 56)
"""Homes of few patterns, so that listing them all is quick as well."""
AT_ONCE = (0, 3, 17, 23, 25, 32, 36, 40, 47, 54)
"""Homes in which both bakes are worth it, and ready at one moment."""
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


@pytest.mark.parametrize("seed", AT_ONCE)
def test_of_two_bakes_ready_at_one_moment_each_feeds_whom_it_is_good_for(seed: int) -> None:
    agree(ready_at_once(seed))


def test_a_mixed_bake_heats_what_goes_in_after_its_last_load() -> None:
    problem = heated_by_a_mixed_bake()
    agree(problem)
    assert Flat(problem).least() == (0, Listed(problem).least())


@pytest.mark.long
@pytest.mark.parametrize("seed", sorted({*range(200)} - {*AT_ONCE}))
def test_of_two_bakes_ready_at_one_moment_each_feeds_whom_it_is_good_for_at_length(seed: int) -> None:
    agree(ready_at_once(seed))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100))
def test_planner_and_flat_model_agree_at_length(seed: int) -> None:
    agree(tiny_home(seed), open_=seed in OPEN)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100))
def test_planner_and_flat_model_agree_on_guests_first_at_length(seed: int) -> None:
    agree(with_guests(tiny_home(seed)), open_=seed in OPEN)
