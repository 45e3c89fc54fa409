"""What an answer claims, against solves that know nothing of the question: exhaustive lists of tiny homes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest

from rotation.facts import rank
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.reasons.again import best
from rotation.reasons.answers import Bound, Cure, Unbound, Without
from rotation.reasons.catalogue import catalogue
from rotation.reasons.change import sensible, together
from rotation.reasons.choice import WHOLE
from rotation.reasons.cures import Ward, cures
from rotation.reasons.explain import AROUND
from rotation.reasons.held import all_of, fed, no_worse
from rotation.reasons.items import items
from rotation.reasons.loosened import loosened
from rotation.rules.checked import broken
from rotation.solve import solve
from rotation.telling import short
from tests.outside.listed import Listed, Pattern
from tests.outside.test_small_optima import OPEN, PROOF
from tests.outside.tiny_homes import tiny_home
from tests.reasons.test_why import answer, of

LISTED = ("watch", "closed", "oven", "cooled", "frozen_through", "thawed")
"""Rules without which a tiny home has few enough patterns to be listed."""


class Forbidden(Listed):
    """All patterns of a home but the bakes that are mixed within some minutes."""

    def __init__(self, problem: Problem, first: int, last: int) -> None:
        self.first, self.last = first, last
        super().__init__(problem)

    def _all(self, ends: frozenset[tuple[int, int]]) -> Iterator[Pattern]:
        for pattern in super()._all(ends):
            if pattern.process is None or not self.first <= pattern.first < self.last:
                yield pattern


def home(seed: int) -> tuple[Problem, Plan]:
    """Return a tiny home of which nothing was told before, and its best plan."""
    problem = replace(tiny_home(seed), published=None)
    plan = solve(problem, PROOF)
    assert plan.status == "optimal"
    return problem, plan


@pytest.mark.parametrize(
    "seed", [27, *(pytest.param(seed, marks=pytest.mark.long) for seed in (12, 13, 17, 19, 25, 35, 41, 45, 48))]
)
def test_what_a_bake_saves_and_what_binds_it_are_the_differences_of_two_lists(seed: int) -> None:
    problem, plan = home(seed)
    mixes = [name for name, item in items(problem, plan).items() if item.kind == "bake" and item.step == "mix"]
    assert mixes
    bake = next(bake for bake in plan.bakes if bake.id == items(problem, plan)[mixes[0]].thing)
    mix = bake.step("mix")
    assert mix is not None
    parts = answer(problem, plan, mixes[0])
    least = Listed(problem).least()
    assert least == plan.total
    without = of(Without, parts)[-1]
    truth = Forbidden(problem, mix.start - AROUND, mix.start + AROUND).least() - least
    assert without.difference is not None
    assert (without.difference.cost == truth) if without.proven else (without.difference.cost >= truth)
    (unbound,) = of(Unbound, parts)
    bound = {part.rule: part for part in of(Bound, parts)}
    span = (0, problem.midnights[-1])
    for rule in LISTED:
        if rule in bound or rule in unbound.proven:
            saves = least - Listed(loosened(problem, rule, span)).least()
            if rule in bound:
                assert bound[rule].saving == saves if bound[rule].proven else WHOLE <= bound[rule].saving <= saves
            else:
                assert saves < WHOLE
    assert any(rule in bound or rule in unbound.proven for rule in LISTED)


def lacking(seed: int, *, strict: bool) -> tuple[Problem, Plan, str] | None:
    """Return a tiny home with a meal that is short, guests at it or not; None where nothing is short."""
    problem, plan = home(seed)
    meal = next((meal for meal in problem.meals if short(problem, plan, meal) > 0), None)
    if meal is None:
        return None
    if strict:
        guests = replace(meal, strict=True, heads=max(meal.heads, 2))
        problem = replace(problem, meals=tuple(guests if one.id == meal.id else one for one in problem.meals))
        plan = solve(problem, PROOF)
    return problem, plan, meal.id


@pytest.mark.parametrize("strict", [True, False])
@pytest.mark.parametrize(
    "seed", [2, 5, 11, 20, *(pytest.param(seed, marks=pytest.mark.long) for seed in sorted({*range(40, 60)} - OPEN))]
)
def test_a_cure_cures_where_the_whole_program_plans_anew_and_less_does_not_where_that_is_said(
    seed: int, *, strict: bool
) -> None:
    found = lacking(seed, strict=strict)
    if found is None:
        return
    problem, plan, id_ = found
    meal = next(meal for meal in problem.meals if meal.id == id_)
    if short(problem, plan, meal) <= 0:
        return
    ward, known = Ward(problem, plan, meal), {change.key: change for change in catalogue(problem, meal)}
    for cure in (part for part in cures(problem, plan, meal, None) if isinstance(part, Cure)):
        changed = cure.look.problem
        anew = solve(changed, PROOF)
        assert broken(changed, anew) == ()
        still = [one for one in changed.meals if one.id == id_]
        fed_anew = all(short(changed, anew, one) <= 0 for one in still)
        assert fed_anew or rank(changed, anew) == rank(changed, cure.look.plan)  # or as good either way
        changes = [known[key] for key in cure.changes if key in known]
        sizes = range(len(cure.changes) if len(changes) == len(cure.changes) else 1) if cure.minimal else ()
        for some in (some for size in sizes for some in combinations(changes, size) if sensible(some)):
            shape = all_of(fed([id_]), no_worse(problem, plan, meal))
            with_less = best(together(problem, some), shape, work=PROOF)
            assert with_less is None or not ward.cured(with_less)
