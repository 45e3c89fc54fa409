"""The set of sixty: whatever its size, a home gets a plan that keeps every rule, at the cost that is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.costs import scores
from rotation.far import After, after, daily
from rotation.problem import Problem
from rotation.rules.checked import broken
from rotation.solve import limits, planner, solve
from rotation.solve.sketching import sketch
from tests.solve.homes import home
from tests.solve.sixty import COUNT, Case, case, problem


def check(of: Case) -> None:
    """Plan a case with little work, the days after four weeks as a sketch, and hold it to the rules."""
    near_days = min(of.days, 28)
    whole, near = problem(of), problem(of if of.days == near_days else Case(**{**vars(of), "days": near_days}))
    plan = solve(near, limits("quick"))
    assert broken(near, plan) == ()
    assert plan.terms == scores(near, plan)
    cost = plan.tiers[-1]
    assert cost.value == plan.total
    assert cost.bound is None or cost.bound <= cost.value
    if of.days > near_days:
        rest = after(whole, near, plan)
        found = After(rest, sketch(rest, near_days))
        assert daily.broken(rest, found.sketch) == ()


def test_the_set_is_as_wide_as_it_says() -> None:
    cases = [case(number) for number in range(COUNT)]
    assert {of.breads for of in cases} == set(range(1, 9))
    assert {of.people for of in cases} == set(range(1, 7))
    assert {of.ovens for of in cases} == {1, 2, 3}
    assert {min(of.days for of in cases), max(of.days for of in cases)} == {7, 84}
    assert max(of.lots for of in cases) > 150
    assert len({of.tight for of in cases}) == 3


@pytest.mark.parametrize("number", [0, 7])
def test_a_home_of_the_set_is_planned(number: int) -> None:
    check(case(number))


@pytest.mark.parametrize("number", [15, 19])
def test_a_first_plan_is_found_a_week_at_a_time(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """As for the largest homes: it keeps every rule, guests are fed, and no other way is asked for."""
    monkeypatch.setattr(planner, "MANY", 0)
    monkeypatch.setattr(planner, "dive", lambda *_: pytest.fail("not found a week at a time"))
    of = problem(case(number))
    plan = solve(of, replace(limits("quick"), days=0.0))
    assert broken(of, plan) == ()
    assert {tier.name: tier.value for tier in plan.tiers}["strict portions short"] == 0
    assert plan.bakes


@pytest.mark.long
@pytest.mark.parametrize("number", [number for number in range(1, COUNT) if number != 7 and number % 4 == 0])
def test_a_home_of_the_set_is_planned_at_length(number: int) -> None:
    check(case(number))


def _entries(of: Problem) -> int:
    """Return how many numbers the choice of days of a problem holds."""
    from rotation.grid import Grid
    from rotation.moments import Moments
    from rotation.solve.days import Days, Limits

    choices, _ = Days(of, Grid(of), Moments(of), Limits()).held()
    return sum(len(row.terms) for row in choices.model.rows)


def test_the_model_grows_with_the_days_and_no_faster() -> None:
    """Memory is that of the model: twice the days make a little more than twice the entries."""
    two, four, eight = (_entries(home(days, 2, tail=0)) for days in (14, 28, 56))
    assert four <= 2.2 * two
    assert eight <= 2.2 * four
