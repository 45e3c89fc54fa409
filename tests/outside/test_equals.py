"""One plan among equals in tiny homes: HiGHS, over the list of all patterns, finds none as good before it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.solve import Limits, solve
from tests.outside.equals import Equals
from tests.outside.test_small_optima import OPEN
from tests.outside.tiny_homes import tiny_home

PROOF = Limits(days=60, minutes=20, rounds=60, ties=5)
QUICK = (0, 10, 11, 19, 26, 28, 44)
"""Homes of few patterns; in some, several plans are as good."""


def late(seed: int, limits: Limits) -> list[str]:
    """Return the places in which a plan that is as good has less, all before being the same."""
    problem = tiny_home(seed)
    plan = solve(problem, limits)
    assert plan.canonical == (limits.ties > 0 and seed not in OPEN)
    return [name for name, value, least in Equals(problem).first(plan) if value > least]


@pytest.mark.parametrize("seed", QUICK)
def test_no_plan_as_good_comes_before_the_one_that_is_said_to_be_the_first(seed: int) -> None:
    assert late(seed, PROOF) == []


def test_what_is_found_first_is_told_apart() -> None:
    """So the test above can fail."""
    assert late(11, replace(PROOF, ties=0)) != []


@pytest.mark.long
@pytest.mark.parametrize("seed", sorted({*range(68)} - {*QUICK, *OPEN}))
def test_no_plan_as_good_comes_before_it_at_length(seed: int) -> None:
    assert late(seed, PROOF) == []
