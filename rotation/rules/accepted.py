"""A meal gets bread it accepts, in a way it accepts, no older than it likes; bought loaves only where they will do."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Offer
from rotation.plan import Plan
from rotation.problem import BOUGHT, Meal, Problem
from rotation.rules.broken import Broken

NAME = "accepted"


def serves(_: Problem, meal: Meal, offer: Offer) -> bool:
    """Say whether a meal accepts what is offered, ready at the best minute it may be."""
    if offer.kind == BOUGHT:
        return meal.bought and not meal.strict
    accepts = (accept for accept in meal.accepts if accept.bread == offer.bread and offer.kind in accept.kinds)
    return any(meal.at - offer.last <= accept.max_age for accept in accepts)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the servings that will not do at their meal."""
    sources, meals = facts.sources(problem, plan), {meal.id: meal for meal in problem.meals}
    for serving in plan.servings:
        source, meal = sources[serving.source], meals[serving.meal]
        if source.kind == BOUGHT:
            if meal.strict or not meal.bought:
                why = "is strict" if meal.strict else "takes no bought bread"
                yield Broken(NAME, meal.id, f"{why} and gets the bought loaf {source.id}")
            continue
        age = meal.at - source.ready
        fits = (a for a in meal.accepts if a.bread == source.bread and source.kind in a.kinds and age <= a.max_age)
        if not any(fits):
            yield Broken(NAME, meal.id, f"does not accept {source.bread}, {source.kind}, {age} min old")
