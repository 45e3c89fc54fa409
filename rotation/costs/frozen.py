"""Portions in the freezer at the end of each local day."""

from __future__ import annotations

from rotation import facts
from rotation.choices import Choices, forms
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "frozen"


def days(c: Choices, _: Grid) -> None:
    """Price what is in the freezer at the end of each day."""
    for bread, form in forms(c.problem):
        milli = c.problem.weights.portion_day_frozen * form.portions_per_unit
        c.model.cost(NAME, [(milli, c.stock[bread, form.id, day]) for day in range(c.problem.days)])


def score(problem: Problem, plan: Plan) -> int:
    """Return what the portions in the freezer cost in a plan."""
    ends = (midnight - 1 for midnight in problem.midnights[1:])  # what is moved at midnight is the next day's
    nights = (sum(facts.portions_frozen(problem, plan, end).values()) for end in ends)
    return sum(nights) * problem.weights.portion_day_frozen
