"""Nothing is planned before the start or after the end of the horizon; what follows from a start may pass the end."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "horizon"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the planned moments outside the horizon."""
    for where, minute in _moments(problem, plan):
        if not 0 <= minute <= problem.end:
            yield Broken(NAME, where, f"minute {minute} is outside 0 to {problem.end}")


def _moments(problem: Problem, plan: Plan) -> Iterator[tuple[str, int]]:
    for bake in plan.bakes:
        done = facts.done_steps(problem, bake)
        yield from ((f"{bake.id} {step.name}", step.start) for step in bake.steps if step.name not in done)
    for stay in facts.planned_stays(problem, plan):
        yield f"{stay.id} heating", stay.heat_from
        yield stay.id, stay.start
    yield from ((out.id, out.at) for out in plan.take_outs)
    yield from ((bought.id, bought.buy_by) for bought in plan.bought)
    yield from ((discard.lot, discard.at) for discard in plan.discards)
    yield from ((feed.id, feed.start) for feed in plan.feedings)
