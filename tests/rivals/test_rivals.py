"""Small homes, thrice: the planner, the flat model and the time-indexed programme, all proven, all checked.

Each was written apart from the others; on larger homes they race (tests/benchmarks/test_rivals.py).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.costs import scores
from rotation.problem import Kept, Problem
from rotation.rules.checked import broken
from rotation.solve import Limits, solve
from tests.rivals import by_cpsat, by_highs
from tests.rivals.reach import refuse_more
from tests.solve.homes import any_home, at_home, home

PROOF = Limits(days=30, minutes=20, rounds=10)
MUCH = 10**4
"""Seconds no proof of a home this small comes near."""


def agree(problem: Problem) -> None:
    """Hold the planner's optimum against the flat model's, and what lies on quarters of an hour against both."""
    plan, flat, indexed = solve(problem, PROOF), by_cpsat.solved(problem, MUCH, 1), by_highs.solved(problem, MUCH)
    assert plan.status == "optimal"
    assert flat.proven
    assert indexed.proven
    for found in (flat, indexed):
        assert found.plan is not None
        assert broken(problem, found.plan) == ()
        assert found.plan.terms == scores(problem, found.plan)
        assert found.steps[-1][1] == found.plan.total, "what the model counts is what we count"
    assert flat.plan is not None
    assert indexed.plan is not None
    assert flat.plan.total == plan.total == flat.bound
    assert indexed.plan.total >= plan.total


def weekend(problem: Problem, **more: object) -> Problem:
    """Return a home in which everybody is in, so that much is baked; with some other numbers."""
    return at_home(replace(problem, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(("days", "breads", "seed"), [(3, 2, 1), (3, 3, 2), (2, 3, 3)])
def test_planner_and_rivals_agree(days: int, breads: int, seed: int) -> None:
    agree(home(days, breads, seed=seed, tail=1))


def test_planner_and_rivals_agree_where_much_is_baked() -> None:
    agree(weekend(home(1, 3, tail=0, lots=0)))


def test_planner_and_rivals_agree_on_what_is_kept_for_bad_days() -> None:
    made = home(2, 2, tail=1, lots=2)
    forms = frozenset((bread.id, bread.forms[0].id) for bread in made.breads)
    agree(replace(made, reserve=(Kept(forms, 40, 90, 700),)))


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1, 9))
def test_planner_and_rivals_agree_at_length(seed: int) -> None:
    made = home(3, 1 + seed % 3, 1 + seed % 2, seed, tail=1, lots=seed % 4)
    agree(weekend(made) if seed % 3 == 0 else made)


def test_what_a_rival_does_not_know_is_refused() -> None:
    with pytest.raises(NotImplementedError, match="under way"):
        refuse_more(replace(home(2, 1, tail=0), box=any_home(3).box or any_home(0).box or any_home(1).box))
