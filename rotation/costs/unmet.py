"""Portions that everyday meals want and nobody gives; strict ones come before all cost."""

from __future__ import annotations

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "unmet"


def days(c: Choices, _: Grid) -> None:
    """Price what everyday meals are short of."""
    everyday = (meal.id for meal in c.problem.meals if not meal.strict)
    c.model.cost(NAME, [(c.problem.weights.unmet_portion, c.short[meal]) for meal in everyday])


def score(problem: Problem, plan: Plan) -> int:
    """Return what unmet portions cost in a plan."""
    wanted = {meal.id: meal.portions for meal in problem.meals if not meal.strict}
    served = sum(serving.portions for serving in plan.servings if serving.meal in wanted)
    return (sum(wanted.values()) - served) * problem.weights.unmet_portion
