"""Everything served at a meal is free of what must be absent there; an unknown ingredient counts as everything."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Offer
from rotation.plan import Plan
from rotation.problem import Meal, Problem
from rotation.rules.broken import Broken

NAME = "allergens"

UNKNOWN = "?"


def serves(problem: Problem, meal: Meal, offer: Offer) -> bool:
    """Say whether everybody at a meal may eat what is offered."""
    has = problem.bread(offer.bread).allergens if offer.bread else problem.shop.allergens
    return not meal.without or not (UNKNOWN in has or meal.without & has)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the servings somebody at the meal may not eat."""
    sources, meals = facts.sources(problem, plan), {meal.id: meal for meal in problem.meals}
    for serving in plan.servings:
        source, meal = sources[serving.source], meals[serving.meal]
        has = problem.bread(source.bread).allergens if source.bread else problem.shop.allergens
        harmful = meal.without if UNKNOWN in has else meal.without & has
        if harmful:
            yield Broken(NAME, meal.id, f"{source.id} has or may have {', '.join(sorted(harmful))}")
