"""What if: the plan kept against a household with something other in it, on a copy. Nothing is written."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from rotation.asking import Standing, kept_plan, standing
from rotation.household.reading import Home
from rotation.intake.invited import guests_meal
from rotation.problem import Problem, Wish
from rotation.reasons.answers import Without
from rotation.reasons.compare import Look
from rotation.reasons.supposed import Supposed
from rotation.reasons.tried import comparable, tried
from rotation.solve import Limits
from rotation.standing import again
from rotation.week import understand


@dataclass(frozen=True)
class Trial:
    """What was supposed, and plans with it as they are found, each against the plan kept."""

    standing: Standing
    words: tuple[str, ...]
    problem: Problem
    parts: Iterator[Without]

    @property
    def gap(self) -> float | None:
        """How much of the cost of the plan kept a better one might save at most; None where it is not known."""
        return self.standing.plan.gap


def what_if(home: Home, of: Standing, supposed: Supposed, now: datetime, work: Limits | None) -> Trial:
    """Return what becomes of the plan kept, in its own days, if something is other. Raises BadInput."""
    before = of.problem
    understood = understand(
        supposed.home, before.zero.astimezone(home.zone), before.shown_days, now=now, ignored=supposed.gone,
        looked=before.days - before.shown_days,
    )  # fmt: skip
    supposed.gone.refuse_unmet()
    problem = comparable(before, understood.problem)
    for number, asked in enumerate(supposed.guests):
        meal = replace(guests_meal(supposed.home, problem, asked), id=f"asked-{number}", uid=f"asked-{number}")
        problem = replace(problem, meals=tuple(sorted((*problem.meals, meal), key=lambda one: (one.at, one.id))))
    problem = _unbaked(problem, supposed.unbaked)
    plan = again(problem, kept_plan(home, now), home.zone)
    return Trial(of, supposed.words, problem, tried(Look(before, of.plan), plan, problem, work))


def _unbaked(problem: Problem, breads: Collection[str]) -> Problem:
    """Return a problem in which no bake of some breads begins."""
    begun = {bake.bread for bake in problem.under_way}
    none = {id_ for id_ in breads if id_ not in begun}
    left = (replace(one, processes=()) if one.id in none else one for one in problem.breads)
    never = (Wish(f"none of {id_}", "no bake", id_, 0, problem.end) for id_ in breads if id_ in begun)
    return replace(problem, breads=tuple(left), wishes=(*problem.wishes, *never))


__all__ = ["Standing", "Trial", "standing", "what_if"]
