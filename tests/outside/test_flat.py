"""Tiny homes, thrice: the planner, one flat model of optional intervals (CP-SAT), and the list of all patterns (HiGHS).

Each was written apart from the others; they agree on every tier: wishes dropped, strict portions short, cost.
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
from tests.outside.tiny_homes import heated_by_a_mixed_bake, ready_at_once, tiny_home, with_guests
from tests.outside.wishes import with_wishes

PROOF = Limits(days=60, minutes=20, rounds=60)
QUICK = (2, 10, 15, 18, 22, 23, 26, 31, 32, 36, 38)
"""Homes of few patterns, so that listing them all is quick as well."""
AT_ONCE = (0, 3, 17, 23, 25, 32, 36, 40, 47, 54)
"""Homes in which both bakes are worth it, and ready at one moment."""
GUESTS = (0, 11, 14, 15, 19, 21, 22, 24, 33)
WISHED = (0, 1, 2, 11, 15, 17, 22, 31, 33)
"""Homes with guests and wishes of few patterns."""
AT_ODDS, AGAINST_GUESTS = 0, 17
"""Of them: one with wishes that exclude each other, one with a wish that leaves guests short."""

WISHES_OPEN = frozenset({50, 63, 89, 101, 151})
"""Not proven yet, the last but one not found either: one choice of days is given up whole where its minutes fail."""


def wished(seed: int) -> Problem:
    """Return a home with wishes, every other one with guests."""
    home = tiny_home(seed)
    return with_wishes(with_guests(home) if seed in WISHED or seed % 2 else home, seed)


def agree(problem: Problem, *, open_: bool = False) -> tuple[int, int, int]:
    """Hold the planner's plan and bounds against the flat model; return its tiers."""
    plan, least = solve(problem, PROOF), Flat(problem).tiers()
    assert broken(problem, plan) == ()
    (dropped, short, cost), bounds = least, [tier.bound for tier in plan.tiers]
    ours = tuple(tier.value for tier in plan.tiers)
    assert bounds[0] is not None
    assert bounds[0] <= dropped
    assert ours >= least
    if ours[:2] == (dropped, short) == (bounds[0], bounds[1]):
        assert bounds[2] is not None
        assert bounds[2] <= cost
    assert plan.status == "optimal" or open_
    assert ours == least or open_
    return least


@pytest.mark.parametrize("seed", QUICK)
def test_planner_flat_model_and_list_agree(seed: int) -> None:
    problem = tiny_home(seed)
    assert agree(problem) == Listed(problem).tiers()


@pytest.mark.parametrize("seed", GUESTS)
def test_planner_and_flat_model_agree_on_guests_first(seed: int) -> None:
    agree(with_guests(tiny_home(seed)))


@pytest.mark.parametrize("seed", AT_ONCE)
def test_of_two_bakes_ready_at_one_moment_each_feeds_whom_it_is_good_for(seed: int) -> None:
    agree(ready_at_once(seed))


def test_a_mixed_bake_heats_what_goes_in_after_its_last_load() -> None:
    problem = heated_by_a_mixed_bake()
    assert agree(problem) == Listed(problem).tiers()


@pytest.mark.parametrize("seed", WISHED)
def test_planner_flat_model_and_list_agree_on_wishes_before_guests(seed: int) -> None:
    problem = wished(seed)
    assert agree(problem) == Listed(problem).tiers()


def test_among_them_wishes_exclude_each_other_and_come_before_guests() -> None:
    """So the order of the tiers is computed, and not said."""
    problem = wished(AT_ODDS)
    alone = [Flat(replace(problem, wishes=(wish,))).tiers()[0] for wish in problem.wishes]
    assert (max(alone), Flat(problem).tiers()[0]) == (0, 2)
    problem = wished(AGAINST_GUESTS)
    kept, freely = Flat(problem).tiers(), Flat(replace(problem, wishes=())).tiers()
    assert kept[0] < len(problem.wishes)
    assert kept[1] > freely[1] == 0


def test_a_finish_that_is_hot_over_two_others_that_only_fit_warm_keeps_its_wish() -> None:
    assert agree(wished(89), open_=True)[0] == solve(wished(89), PROOF).tiers[0].value == 0


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


@pytest.mark.long
@pytest.mark.parametrize("seed", sorted({*range(160)} - {*WISHED}))
def test_planner_and_flat_model_agree_on_wishes_first_at_length(seed: int) -> None:
    agree(wished(seed), open_=seed in WISHES_OPEN)
