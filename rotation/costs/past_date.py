"""Units still in the freezer at the local midnight that ends their toast-after day."""

from __future__ import annotations

from rotation import facts
from rotation.choices import Choices, forms
from rotation.freezer_flow import leaving, opening, put_in
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Lot, Problem, last_day

NAME = "past_date"


def days(c: Choices, _: Grid) -> None:
    """Price, of each lot and of what is put in on each day, the units that have not left by then, oldest first."""
    problem, price = c.problem, c.problem.weights.unit_past_date
    for bread, form in forms(problem):
        comes, leaves = put_in(c, bread, form), leaving(c, bread, form)
        older = 0
        for lot in opening(problem, bread, form.id):
            before, older = older, older + lot.units
            past = problem.day_of(lot.toast_after - 1)
            if 0 <= past < problem.days:
                over = c.model.flow(0, lot.units, f"past {lot.id}")
                left = [] if not before else [(1, _older_left(c, lot, over, before))]
                c.model.row(older, [*(term for at, _day, term in leaves if at <= past), (1, over), *left], None)
                c.model.cost(NAME, [(price, over)])
        for day in sorted({at for at, _through, _units in comes}):
            past = last_day(day, form.toast_after)
            if past < problem.days:
                over = c.model.flow(0, 10**5, f"past {bread} {form.id} {day}")
                so_far = [(-k, v) for at, _through, (k, v) in comes if at <= day]
                c.model.row(older, [*(term for at, _day, term in leaves if at <= past), *so_far, (1, over)], None)
                c.model.cost(NAME, [(price, over)])


def _older_left(c: Choices, lot: Lot, over: int, before: int) -> int:
    """Return the units of older lots that are left at the end of a lot's day: none, or all of the lot is left too.

    over: the lot's own units that are left; before: the units of the older ones.
    """
    left = c.model.flow(0, before, f"older than {lot.id}")
    whole = c.model.binary(f"whole {lot.id}")
    c.model.row(None, [(1, left), (-before, whole)], 0)
    c.model.row(0, [(1, over), (-lot.units, whole)], None)
    return left


def score(problem: Problem, plan: Plan) -> int:
    """Return what units past their date cost in a plan."""
    moves, total = facts.moves(problem, plan), 0
    for batch in facts.batches(problem, plan).values():
        midnight = next((m for m in problem.midnights if m >= batch.past_toast), None)
        if midnight is not None and midnight > 0:
            total += facts.held(moves, midnight - 1).get(batch.id, 0)
    return total * problem.weights.unit_past_date
