"""Of one bread and form, the oldest lot in the freezer leaves first."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "fifo"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the take-outs of a lot while an older one, frozen through or not, is not used up by then."""
    batches, moves = facts.batches(problem, plan), facts.moves(problem, plan)
    for out in plan.take_outs:
        left = facts.held(moves, out.at)
        for used in (batches[lot] for lot, _ in out.lots if lot in batches):
            for older in batches.values():
                alike = (older.bread, older.form) == (used.bread, used.form) and older.order < used.order
                if alike and left.get(older.id, 0) > 0:
                    yield Broken(NAME, out.id, f"takes {used.id}, {left[older.id]} of the older {older.id} are left")
        orders = [batches[lot].order for lot, _ in out.lots if lot in batches]
        if orders != sorted(orders):
            yield Broken(NAME, out.id, f"lots {[lot for lot, _ in out.lots]} are not listed oldest first")
