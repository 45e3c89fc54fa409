"""Whole plans of small homes: they hold, add up, never claim too much, and come out the same every time."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from rotation.costs import scores
from rotation.plan import Plan
from rotation.problem import BOUGHT, Problem
from rotation.rules.checked import broken
from rotation.show.json_text import dumps
from rotation.show.plan_json import plan_json
from rotation.solve import Limits, solve
from tests.solve.homes import any_home, at_home, home

ROOT = Path(__file__).parents[2]
PROOF = Limits(days=30, minutes=10, rounds=20)


def judged(problem: Problem, limits: Limits | None = None) -> Plan:
    """Return the plan of a problem, all that may be said of any plan asserted."""
    plan = solve(problem, limits or Limits())
    assert broken(problem, plan) == ()
    assert plan.terms == scores(problem, plan)
    assert [tier.name for tier in plan.tiers] == ["wishes dropped", "strict portions short", "cost"]
    assert all(tier.bound <= tier.value for tier in plan.tiers)
    assert plan.tiers[-1].value == plan.total == sum(cost for _, cost in plan.terms)
    proven = all(tier.bound == tier.value for tier in plan.tiers)
    assert plan.status == ("optimal" if proven else "feasible")
    return plan


def as_text(problem: Problem, plan: Plan) -> str:
    return dumps(plan_json(problem, plan, "a home", checked=True, with_problem=True))


@pytest.mark.parametrize("seed", range(1, 6))
def test_a_plan_holds_and_adds_up(seed: int) -> None:
    judged(any_home(seed, days=3))


def test_bakes_beyond_the_usual_number_are_worth_their_price_or_left_out() -> None:
    made = home(4, 2, 2, seed=3, tail=1, loaves_a_week=12)
    free, two = judged(made), replace(made.weights, bakes_a_week=1, extra_bake=1)
    assert len(free.bakes) > 1
    paid = judged(replace(made, weights=two))
    assert dict(paid.terms)["rhythm"] == len(paid.bakes) - 1
    kept = judged(replace(made, weights=replace(two, extra_bake=10**6)))
    assert (len(kept.bakes), dict(kept.terms)["rhythm"]) == (1, 0)


@pytest.mark.long
@pytest.mark.parametrize("seed", [0, *range(6, 60)])
def test_a_plan_holds_and_adds_up_at_length(seed: int) -> None:
    judged(any_home(seed, days=3 + seed % 4))


def test_the_same_plan_every_time_byte_for_byte() -> None:
    """In this process twice, and in others with other seeds for the hashes of strings."""
    problem = any_home(1, days=3)
    once = as_text(problem, solve(problem))
    assert as_text(problem, solve(problem)) == once
    code = (
        "import sys; from tests.solve.homes import any_home; from tests.solve.test_plans import as_text, solve\n"
        "problem = any_home(1, days=3); sys.stdout.write(as_text(problem, solve(problem)))"
    )
    for seed in ("1", "2"):
        said = subprocess.run(
            [sys.executable, "-c", code], cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": seed}, check=True,
            capture_output=True,
        )  # fmt: skip
        assert said.stdout.decode() == once


@pytest.mark.parametrize("seed", [1, 2])
def test_either_solver_proves_the_same_cost(seed: int) -> None:
    problem = home(3, 2, seed=seed, tail=1)
    plans = [judged(problem, replace(PROOF, solver=solver)) for solver in ("highs", "cp-sat")]
    assert [plan.status for plan in plans] == ["optimal", "optimal"]
    assert plans[0].tiers == plans[1].tiers


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3, 20))
def test_either_solver_proves_the_same_cost_at_length(seed: int) -> None:
    problem = any_home(seed, days=3)
    plans = [judged(problem, replace(PROOF, solver=solver)) for solver in ("highs", "cp-sat")]
    if all(plan.status == "optimal" for plan in plans):
        assert plans[0].tiers == plans[1].tiers
    assert max(plan.tiers[-1].bound for plan in plans) <= min(plan.total for plan in plans)


def test_more_hands_never_cost_more() -> None:
    problem = home(3, 1, adults=2, tail=1)
    alone = judged(replace(problem, people=problem.people[:1]), PROOF)
    assert judged(problem, PROOF).tiers[-1].bound <= alone.total


def test_a_house_without_free_hands_buys_and_goes_short() -> None:
    made = home(3, 1, tail=1, guests=False, lots=0)
    problem = replace(made, people=tuple(replace(person, free=(), quick=()) for person in made.people))
    plan = judged(problem, PROOF)
    assert plan.status == "optimal"
    assert not plan.bakes
    assert plan.bought
    assert {serving.source for serving in plan.servings} <= {bought.id for bought in plan.bought}
    unmet = dict(plan.terms)["unmet"] // problem.weights.unmet_portion
    assert unmet == sum(meal.portions for meal in problem.meals) - sum(s.portions for s in plan.servings) > 0


def test_a_house_without_people_is_planned_too() -> None:
    made = home(2, 1, tail=1, lots=0)
    plan = judged(replace(made, people=(), shop=replace(made.shop, closes=())), PROOF)
    assert (plan.bakes, plan.servings, plan.bought) == ((), (), ())


def test_nothing_wanted_is_nothing_planned() -> None:
    made = home(2, 1, tail=1, lots=0)
    bread = replace(made.breads[0], worth=())
    plan = judged(replace(made, meals=(), breads=(bread,)), PROOF)
    assert (plan.total, plan.status, plan.bakes) == (0, "optimal", ())


def test_guests_nobody_can_feed_are_a_shortfall_before_all_cost() -> None:
    """Strict meals never get bought bread: what is short is a tier of its own, not a price."""
    made = home(3, 1, tail=1, lots=0, guests=False)
    first = min(made.meals, key=lambda meal: meal.at)
    problem = replace(made, meals=tuple(replace(meal, strict=meal is first) for meal in made.meals))
    plan = judged(problem, PROOF)
    assert {tier.name: tier.value for tier in plan.tiers}["strict portions short"] == first.portions
    assert not [serving for serving in plan.servings if serving.meal == first.id]


def test_strict_portions_come_before_any_cost() -> None:
    """One guest is fed by a bake that would cost far more than the guest's portion is worth."""
    made = at_home(home(3, 1, tail=1, lots=0, guests=False))
    guest = replace(made.meals[-1], id="guest", strict=True, portions=1)
    cheap = replace(made.weights, unmet_portion=1)
    plan = judged(replace(made, meals=(guest,), weights=cheap), PROOF)
    assert [serving.portions for serving in plan.servings if serving.meal == "guest"] == [1]
    assert plan.bakes or plan.take_outs


def test_bread_bought_feeds_nobody_who_must_not_eat_it() -> None:
    made = home(2, 1, tail=1, lots=0, guests=False)
    hands_off = tuple(replace(person, free=(), quick=()) for person in made.people)
    meals = tuple(replace(meal, without=frozenset({"sesame"})) for meal in made.meals)
    plan = judged(replace(made, people=hands_off, meals=meals), PROOF)
    assert not plan.bought
    assert BOUGHT not in {serving.source for serving in plan.servings}
