"""No source gives more portions than it has, no meal gets more than it wants."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "portions"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the sources and meals whose servings do not add up."""
    given: dict[str, int] = defaultdict(int)
    eaten: dict[str, int] = defaultdict(int)
    for serving in plan.servings:
        given[serving.source] += serving.portions
        eaten[serving.meal] += serving.portions
        if serving.portions < 1:
            yield Broken(NAME, serving.meal, f"is served {serving.portions} portions of {serving.source}")
    for source in facts.sources(problem, plan).values():
        if given[source.id] > source.portions:
            yield Broken(NAME, source.id, f"gives {given[source.id]} portions of {source.portions}")
    for meal in problem.meals:
        if eaten[meal.id] > meal.portions:
            yield Broken(NAME, meal.id, f"gets {eaten[meal.id]} portions, wants {meal.portions}")
