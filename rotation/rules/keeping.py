"""Bread is served when it is ready and while it keeps."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Offer
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Meal, Problem
from rotation.rules.broken import Broken
from rotation.tasks import WayTask

NAME = "keeping"


def serves(_: Problem, meal: Meal, offer: Offer) -> bool:
    """Say whether what is offered can be ready by a meal, and still keep."""
    return offer.first <= meal.at <= offer.last + offer.keeps


def minutes(m: Minutes) -> None:
    """Bread is ready within the minutes in which all who eat of it find it ready, and still good."""
    for task in m.tasks:
        if isinstance(task, WayTask) or task.run.ready is not None:
            m.clock.between(task.ready[0], m.ready[task.id], task.ready[1])


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the servings before their bread is ready or after it is gone."""
    sources, minutes = facts.sources(problem, plan), {meal.id: meal.at for meal in problem.meals}
    for serving in plan.servings:
        source, at = sources[serving.source], minutes[serving.meal]
        if not source.ready <= at <= source.until:
            good = f"{facts.when(problem, source.ready)} to {facts.when(problem, source.until)}"
            yield Broken(NAME, serving.meal, f"{source.id} may be eaten {good}, not at {facts.when(problem, at)}")
