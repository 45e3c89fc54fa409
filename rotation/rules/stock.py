"""Only what is in the freezer leaves it, and a take-out is what its lots give."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "stock"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the lots that would hold less than nothing, and take-outs and discards that do not add up."""
    batches, moves = facts.batches(problem, plan), facts.moves(problem, plan)
    for minute in sorted({move.at for move in moves}):
        for lot, units in facts.held(moves, minute).items():
            if units < 0 and any(move.lot == lot and move.at == minute for move in moves):
                yield Broken(NAME, lot, f"{-units} units too many are gone by {facts.when(problem, minute)}")
    for out in plan.take_outs:
        if out.units < 1 or sum(units for _, units in out.lots) != out.units or any(units < 1 for _, units in out.lots):
            yield Broken(NAME, out.id, f"{out.units} units, but its lots give {dict(out.lots)}")
        for lot, _ in out.lots:
            if lot in batches and (batches[lot].bread, batches[lot].form) != (out.bread, out.form):
                yield Broken(NAME, out.id, f"{lot} is {batches[lot].bread}, {batches[lot].form}")
    for discard in plan.discards:
        if discard.units < 1:
            yield Broken(NAME, discard.lot, f"{discard.units} units are thrown away")
