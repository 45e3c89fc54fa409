"""One plan among equals: whichever is found first, the same comes out; cut off, none is as good."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

import pytest

from rotation.choices import Choices
from rotation.errors import NothingPlanned
from rotation.facts import rank
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.solve import Limits, Shape, solve
from rotation.solve.canonical import Place, fields
from rotation.solve.constraints import Constraints, Found
from rotation.solve.planner import Planner
from tests.solve.homes import any_home, home
from tests.solve.shown import minutes, shown
from tests.solve.test_plans import judged

PROOF = Limits(days=30, minutes=10, rounds=20, ties=10)
FIRST_FOUND = replace(PROOF, ties=0)

HOMES = {
    "a bake": lambda: home(3, 2, tail=1, lots=0),
    "two bakes": lambda: home(4, 2, tail=1, lots=1, seed=3),
}
MORE = {
    "slices": lambda: home(5, 1, tail=1, lots=1, seed=4),
    "a week, one bread": lambda: home(7, 1),
    "a week, two breads": lambda: home(7, 2),
    **{f"any {seed}": partial(any_home, seed, days=3) for seed in (1, 2, 3, 4, 6, 7)},
}

"""Homes whose best plan is proven by the tree; the fifth and the eighth of `any_home` are in rounds only (`--solver
cp-sat`), which know no order of equals."""


@pytest.fixture(scope="module", params=[*HOMES, *(pytest.param(name, marks=pytest.mark.long) for name in MORE)])
def problem(request: pytest.FixtureRequest) -> Problem:
    made: Problem = (HOMES | MORE)[request.param]()
    return made


@pytest.fixture(scope="module")
def plan(problem: Problem) -> Plan:
    return judged(problem, PROOF)


@pytest.mark.long
@pytest.mark.parametrize("seed", [5, 8])
def test_rounds_prove_what_the_tree_does_not(seed: int) -> None:
    tree, rounds = (judged(any_home(seed, days=3), replace(PROOF, solver=solver)) for solver in ("highs", "cp-sat"))
    assert (tree.status, rounds.status) == ("feasible", "optimal")
    assert tree.tiers[-1].bound <= rounds.total <= tree.total
    assert not rounds.canonical


def earlier(problem: Problem, one: Plan, other: Plan) -> bool:
    """Say whether a plan comes before another that is as good."""
    a, b = shown(problem, one), shown(problem, other)
    for place in sorted({*a, *b}):
        if a.get(place, 0) != b.get(place, 0):
            return a.get(place, 0) < b.get(place, 0)
    return minutes(problem, one) < minutes(problem, other)


def test_a_plan_proven_to_be_the_first_of_its_equals_says_so(problem: Problem, plan: Plan) -> None:
    found = judged(problem, FIRST_FOUND)
    assert (plan.status, plan.canonical, found.canonical) == ("optimal", True, False)
    assert plan.total == found.total
    assert not earlier(problem, found, plan)


@pytest.mark.parametrize("seed", [2, 3])
def test_whichever_plan_is_found_first_the_same_comes_out(
    problem: Problem, plan: Plan, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """CP-SAT is made to look elsewhere first; once there is no quick plan to begin with, once another."""
    honest = Constraints.solve

    def elsewhere(self: Constraints, *given: Any, **more: Any) -> Found:
        return honest(self, *given, **more, random_seed=seed, randomize_search="search_branching" not in more)

    monkeypatch.setattr(Constraints, "solve", elsewhere)
    if seed == 2:
        monkeypatch.setattr(Planner, "_first", lambda _: None)
    again = solve(problem, replace(PROOF, mends=1))
    assert again == plan


def held_back(plan: Plan, problem: Problem, place: Place) -> Plan | None:
    """Return the best plan that is the same in all places before one, and has less there; None if there is none."""
    values = shown(problem, plan)

    def shape(choices: Choices) -> None:
        for known, terms in fields(choices).items():
            value = values.get(known, 0)
            if known == place:
                choices.model.row(None, terms, value - 1)
                return
            choices.model.row(value, terms, value)

    try:
        found = solve(problem, FIRST_FOUND, shape=Shape(shape))
    except NothingPlanned:
        return None
    return found if shape_holds(problem, found, plan, place) else None


def shape_holds(problem: Problem, found: Plan, plan: Plan, place: Place) -> bool:
    """Say whether a plan is as `held_back` wants it: where there is none, a plan of another shape is returned."""
    a, b = shown(problem, found), shown(problem, plan)
    same = all(a.get(known, 0) == b.get(known, 0) for known in {*a, *b} if known < place)
    return same and a.get(place, 0) < b[place]


def test_with_less_in_any_place_there_is_no_plan_as_good(problem: Problem, plan: Plan) -> None:
    """The plan cut off, place by place: what is left costs more."""
    for place in sorted(shown(problem, plan))[::3]:
        other = held_back(plan, problem, place)
        assert other is None or rank(problem, other) > rank(problem, plan), place


def test_what_is_found_first_is_not_always_the_first() -> None:
    """So the tests above test something."""
    made = [make() for make in (*HOMES.values(), MORE["slices"])]
    assert any(earlier(of, solve(of, PROOF), solve(of, FIRST_FOUND)) for of in made)


def test_without_work_for_it_the_plan_is_as_good_and_says_that_it_may_not_be_the_first() -> None:
    made = HOMES["two bakes"]()
    proven, given_up = solve(made, PROOF), solve(made, replace(PROOF, ties=0.005))
    assert (given_up.status, given_up.canonical, given_up.total) == ("optimal", False, proven.total)
    assert given_up == solve(made, FIRST_FOUND)
