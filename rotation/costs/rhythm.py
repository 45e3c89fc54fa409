"""Bakes beyond the usual number in seven days, counted from the first day of the plan; those under way are not."""

from __future__ import annotations

from collections import Counter

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "rhythm"


def days(c: Choices, _: Grid) -> None:
    """Count what each seven days have too many, and price it."""
    weights = c.problem.weights
    if not weights.extra_bake:
        return
    for first in range(0, c.problem.days, 7):
        new = [(1, c.run[i]) for i, run in enumerate(c.runs) if run.under_way is None and first <= run.day < first + 7]
        if len(new) > weights.bakes_a_week:
            extra = c.model.flow(0, len(new), f"too many bakes {first}")
            c.model.row(None, [*new, (-1, extra)], weights.bakes_a_week)
            c.model.cost(NAME, [(weights.extra_bake, extra)])


def score(problem: Problem, plan: Plan) -> int:
    """Return what the bakes beyond the usual number cost in a plan."""
    weeks = Counter(bake.day // 7 for bake in plan.bakes if bake.under_way is None)
    return sum(max(0, bakes - problem.weights.bakes_a_week) for bakes in weeks.values()) * problem.weights.extra_bake
