"""A lot is frozen through before any of it is taken out to be eaten."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "frozen_through"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the take-outs from lots that are still freezing."""
    batches = facts.batches(problem, plan)
    for out in plan.take_outs:
        for lot, _ in out.lots:
            if lot in batches and out.at < batches[lot].through:
                hard = facts.when(problem, batches[lot].through)
                yield Broken(NAME, out.id, f"{lot} is frozen through only at {hard}")
