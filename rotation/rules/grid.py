"""Planned starts are multiples of five minutes; what follows from them, and what was done already, is exact."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import GRID, TOAST, Problem
from rotation.rules.broken import Broken

NAME = "grid"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the planned starts off the grid."""
    for where, start in _starts(problem, plan):
        if start % GRID:
            yield Broken(NAME, where, f"minute {start} is no multiple of {GRID}")


def _starts(problem: Problem, plan: Plan) -> Iterator[tuple[str, int]]:
    for bake in plan.bakes:
        done = facts.done_steps(problem, bake)
        yield from ((f"{bake.id} {step.name}", step.start) for step in bake.steps if step.name not in done)
    for out in plan.take_outs:
        if facts.route_of(problem, out).gives != TOAST:
            yield out.id, out.at
    yield from ((finish.id, finish.stay.start) for finish in plan.finishes)
    yield from ((feed.id, feed.start) for feed in plan.feedings)
