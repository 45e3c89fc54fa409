"""What is in the freezer at the end is worth, taken off the cost: the first portions more, the last nothing."""

from __future__ import annotations

from rotation import facts
from rotation.choices import Choices
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "stock"


def days(c: Choices, _: Grid) -> None:
    """Count the last night's portions of each bread by what they are worth."""
    for bread in c.problem.breads:
        counted = []
        for number, (most, milli) in enumerate(bread.worth):
            counted.append((1, c.model.flow(0, most, f"worth {bread.id} {number}")))
            c.model.cost(NAME, [(-milli, counted[-1][1])])
        last = [(-form.portions_per_unit, c.stock[bread.id, form.id, c.problem.days - 1]) for form in bread.forms]
        c.model.row(None, [*counted, *last], 0)


def score(problem: Problem, plan: Plan) -> int:
    """Return the worth of the stock a plan ends with, below zero."""
    worth = 0
    for bread, portions in facts.portions_frozen(problem, plan, problem.end - 1).items():
        left = portions
        for most, milli in problem.bread(bread).worth:
            worth += min(left, most) * milli
            left -= min(left, most)
    return -worth
