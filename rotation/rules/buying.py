"""Loaves are bought by the minute a shop shuts, whole ones, one or more."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "buying"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the loaves no shop sells by then."""
    for bought in plan.bought:
        if bought.buy_by not in problem.shop.closes:
            yield Broken(NAME, bought.id, f"no shop shuts at {facts.when(problem, bought.buy_by)}")
        if bought.loaves < 1:
            yield Broken(NAME, bought.id, f"{bought.loaves} loaves")
