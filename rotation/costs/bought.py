"""Loaves bought."""

from __future__ import annotations

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "bought"


def days(c: Choices, _: Grid) -> None:
    """Price each loaf."""
    c.model.cost(NAME, [(c.problem.shop.loaf_milli, loaves) for loaves in c.loaves])


def score(problem: Problem, plan: Plan) -> int:
    """Return what the bought loaves of a plan cost."""
    return sum(bought.loaves for bought in plan.bought) * problem.shop.loaf_milli
