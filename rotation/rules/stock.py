"""Only what is in the freezer leaves it, and a take-out is what its lots give."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices, forms
from rotation.freezer_flow import leaving, opening, put_in
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken
from rotation.tasks import ANY_DAY, WayTask

NAME = "stock"


def days(c: Choices) -> None:
    """What is in the freezer at the end of a day is what was there, and came, less what left."""
    for bread, form in forms(c.problem):
        comes, leaves = put_in(c, bread, form), leaving(c, bread, form)
        for day in range(c.problem.days):
            before = sum(lot.units for lot in opening(c.problem, bread, form.id)) if day == 0 else 0
            terms = [(1, c.stock[bread, form.id, day])]
            terms += [term for at, _, term in leaves if at == day]
            terms += [(-k, v) for at, _, (k, v) in comes if at == day]
            if day:
                terms.append((-1, c.stock[bread, form.id, day - 1]))
            c.model.row(before, terms, before)


def minutes(m: Minutes) -> None:
    """What goes into the freezer, or leaves it, does so on the day it is counted on."""
    for task in m.tasks:
        if isinstance(task, WayTask):
            m.day(m.starts[task.id, "out"], task.way.take_day)
        elif task.frozen and task.run.put_day is not None and task.run.put_day != ANY_DAY:
            m.day(m.end(task, "bag"), task.run.put_day)


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
