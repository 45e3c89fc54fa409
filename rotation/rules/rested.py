"""Bread is ready when it has rested, thawed or stood, and in the freezer when it is bagged: no sooner, no later."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import TABLE, Problem
from rotation.rules.broken import Broken

NAME = "rested"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the minutes of readiness that do not follow from what was done."""
    for where, what, says, is_ in _moments(problem, plan):
        if says != is_:
            yield Broken(NAME, where, f"{what} at minute {says}, but it is {is_}")


def _moments(problem: Problem, plan: Plan) -> Iterator[tuple[str, str, int | None, int]]:
    """Yield `(where, what, minute in the plan, right minute)`."""
    for bake in plan.bakes:
        process, bag = problem.bread(bake.bread).process(bake.process), bake.step("bag")
        rest = process.treatment(TABLE).cool if bake.count(TABLE) else 0
        yield bake.id, "ready", bake.ready, bake.stay.end + rest
        if bag is not None:
            yield bake.id, "put in", bake.put_in, bag.end
    for finish in plan.finishes:
        route = facts.route_of(problem, facts.taken_for(plan, finish))
        yield finish.id, "ready", finish.ready, finish.stay.end + route.stand
    for out in plan.take_outs:
        browned = facts.finish_of(plan, out)
        thawed = out.at + facts.route_of(problem, out).thaw[0]
        yield out.id, "thawed", out.ready, browned.stay.start if browned else thawed
