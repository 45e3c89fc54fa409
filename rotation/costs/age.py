"""Quarters of a day from ready to eaten, of each portion served; none for toast and bought bread."""

from __future__ import annotations

from rotation import facts
from rotation.choices import Choices
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import BOUGHT, TOAST, Problem

NAME = "age"


def days(c: Choices, _: Grid) -> None:
    """Price each portion by the moment class its bread is ready in, which lies in one quarter."""
    problem, meals = c.problem, {meal.id: meal for meal in c.problem.meals}
    ready = {item.id: item.ready for item in problem.box}
    eaten = [(c.moments.span(node[0], node[2])[0], meal, variable) for (node, meal), variable in c.eaten.items()]
    eaten += [(ready[item], meal, variable) for (item, meal), variable in c.boxed.items()]
    for since, meal_id, variable in eaten:
        meal = meals[meal_id]
        quarters = problem.quarter_of(meal.at) - problem.quarter_of(since)
        c.model.cost(NAME, [(quarters * meal.age_milli, variable)])


def score(problem: Problem, plan: Plan) -> int:
    """Return what the age of the bread costs in a plan."""
    sources, meals = facts.sources(problem, plan), {meal.id: meal for meal in problem.meals}
    total = 0
    for serving in plan.servings:
        source, meal = sources[serving.source], meals[serving.meal]
        if source.kind not in (TOAST, BOUGHT):
            quarters = problem.quarter_of(meal.at) - problem.quarter_of(source.ready)
            total += serving.portions * quarters * meal.age_milli
    return total
