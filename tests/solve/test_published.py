"""What was published stays where nothing speaks against it, to the minute; what changes is priced as the score says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.costs import changes
from rotation.costs import scores as all_scores
from rotation.plan import Plan
from rotation.problem import Problem, Published, PublishedWay
from rotation.rules.checked import broken
from rotation.solve import Limits, solve
from tests.rules.halves import HOMES, days
from tests.solve.homes import any_home, at_home, home

PRICE = 5000
THAWS = HOMES["hungry"]


def published(problem: Problem, plan: Plan, by: int = 0) -> Problem:
    """Return the problem with a plan as published, all minutes `by` later than in it."""
    bakes = tuple(
        Published(bake.bread, bake.process, bake.day, PRICE, (("mix", bake.step("mix").start + by),), 1000)  # type: ignore[union-attr]
        for bake in plan.bakes
        if bake.under_way is None
    )
    finishes = {finish.take_out: finish for finish in plan.finishes}
    ways = tuple(
        PublishedWay(
            out.bread, out.route, problem.day_of(out.at),
            (finishes[out.id].stay.start if out.id in finishes else out.at) + by,
            finishes[out.id].ready if out.id in finishes else out.ready, 900,
        )
        for out in plan.take_outs
        if out.who is not None
    )  # fmt: skip
    weights = replace(problem.weights, changed_by_day=(4000,) * problem.days)
    return replace(problem, published=bakes, published_ways=ways, weights=weights)


@pytest.mark.parametrize("house", [any_home(9), THAWS])
def test_a_published_plan_is_found_again_and_costs_no_change(house: Problem) -> None:
    first = solve(house, Limits(days=0.3, minutes=1.0))
    again = published(house, first)
    plan = solve(again, Limits(days=0.3, minutes=1.0))
    assert broken(again, plan) == ()
    assert changes.score(again, plan) == 0
    starts = [(bake.bread, step.start) for bake in plan.bakes for step in bake.steps if step.name == "mix"]
    assert starts == [(bake.bread, step.start) for bake in first.bakes for step in bake.steps if step.name == "mix"]
    assert first.take_outs or first.bakes


@pytest.mark.parametrize("house", [any_home(9), THAWS])
def test_moves_cost_what_the_score_says_and_the_bound_holds(house: Problem) -> None:
    first = solve(house, Limits(days=0.3, minutes=1.0))
    moved = published(house, first, by=7)  # off the grid: nothing can keep its minute
    plan = solve(moved, Limits(days=0.3, minutes=1.0))
    assert broken(moved, plan) == ()
    ways = len([out for out in plan.take_outs if out.who is not None])
    assert changes.score(moved, plan) >= 1000 * len(plan.bakes) + 900 * ways > 0
    assert plan.total == sum(value for _, value in all_scores(moved, plan))
    bound = plan.tiers[-1].bound
    assert bound is not None
    as_before = replace(first, terms=all_scores(moved, first))
    assert bound <= min(plan.total, as_before.total)


def test_a_choice_of_days_knows_the_hours_at_which_what_was_told_can_be_in_the_oven() -> None:
    house = at_home(home(2, 2, 1, 3, tail=1, loaves_a_week=9, guests=False))
    first = days(house)
    chosen = [run for index, run in enumerate(first.choices.runs) if first.values[first.choices.run[index]]]
    other = next(
        run
        for run in first.choices.runs
        for of in chosen
        if run.slot == of.slot and (run.stay.last < of.stay.first or of.stay.last < run.stay.first)
    )
    told = Published(other.bread, other.process, other.day, 10**6, (("oven", other.stay.first),), 10**6)
    again = days(replace(house, published=(told,)))
    kept = [run for i, run in enumerate(again.choices.runs) if again.values[again.choices.run[i]]]
    (found,) = [run for run in kept if run.slot == other.slot]
    assert found.stay.first <= other.stay.first <= found.stay.last
