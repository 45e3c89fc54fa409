"""Past its strict date a lot is thrown away, not eaten."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices, forms
from rotation.freezer_flow import leaving, opening, put_in
from rotation.plan import Plan
from rotation.problem import Problem, last_day
from rotation.rules.broken import Broken

NAME = "dates"


def days(c: Choices) -> None:
    """By the end of its strict day a lot has left, with all before it; thrown away, if nobody eats it."""
    problem = c.problem
    for bread, form in forms(problem):
        comes, leaves, older = put_in(c, bread, form), leaving(c, bread, form), 0
        for lot in opening(problem, bread, form.id):
            older += lot.units
            if lot.strict is not None and lot.strict <= problem.end:
                last = problem.day_of(lot.strict - 1)
                c.model.row(older, [term for at, _, term in leaves if at <= last], None)
        if form.strict is None:
            continue
        for day in sorted({at for at, _, _ in comes}):
            last = last_day(day, form.strict)
            if last < problem.days:
                so_far = [(-k, v) for at, _, (k, v) in comes if at <= day]
                c.model.row(older, [*(term for at, _, term in leaves if at <= last), *so_far], None)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the take-outs from lots past their strict date."""
    batches = facts.batches(problem, plan)
    for out in plan.take_outs:
        for batch in (batches[lot] for lot, _ in out.lots if lot in batches):
            if batch.strict is not None and out.at >= batch.strict:
                yield Broken(NAME, out.id, f"{batch.id} may be eaten until {facts.when(problem, batch.strict)}")
