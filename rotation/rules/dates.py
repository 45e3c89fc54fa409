"""Past its strict date a lot is thrown away, not eaten."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "dates"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the take-outs from lots past their strict date."""
    batches = facts.batches(problem, plan)
    for out in plan.take_outs:
        for batch in (batches[lot] for lot, _ in out.lots if lot in batches):
            if batch.strict is not None and out.at > batch.strict:
                yield Broken(NAME, out.id, f"{batch.id} may be eaten until {facts.when(problem, batch.strict)}")
