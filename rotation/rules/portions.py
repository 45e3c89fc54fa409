"""No source gives more portions than it has, no meal gets more than it wants."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices, supply
from rotation.model import Term
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "portions"


def days(c: Choices) -> None:
    """A meal is fed or short, and nothing feeds more than it holds."""
    fed: dict[str, list[Term]] = defaultdict(list)
    given: dict[object, list[Term]] = defaultdict(list)
    for sources in (c.eaten, c.boxed, c.bought):
        for (source, meal_id), variable in sources.items():
            fed[meal_id].append((1, variable))
            given[source].append((1, variable))
    for (_, _, meal_id), variable in c.toast.items():
        fed[meal_id].append((1, variable))
    for meal in c.problem.meals:
        c.model.row(meal.portions, [*fed[meal.id], (1, c.short[meal.id])], meal.portions)
    for node, terms in supply(c).items():
        c.model.row(None, [*given[node], *((-k, v) for k, v in terms)], 0)
    for item in c.problem.box:
        c.model.row(None, given[item.id], item.portions)
    for closing, loaves in enumerate(c.loaves):
        c.model.row(None, [*given[closing], (-c.problem.shop.portions, loaves)], 0)


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
