"""An oven neither heats nor is on while it is closed to bread."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "closed"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the stays that reach into closed hours."""
    for stay in facts.planned_stays(problem, plan):
        span = facts.inside_any(problem.oven(stay.oven).closed, stay.heat_from, stay.end)
        if span is not None:
            hours = f"{facts.when(problem, span[0])} to {facts.when(problem, span[1])}"
            yield Broken(NAME, stay.id, f"heats or is on while the oven is closed, {hours}")
