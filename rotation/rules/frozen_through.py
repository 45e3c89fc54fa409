"""A lot is frozen through before any of it is taken out to be eaten."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices, forms
from rotation.freezer_flow import leaving, opening, put_in
from rotation.minutes import Freezer, Minutes
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "frozen_through"


def days(c: Choices) -> None:
    """What has left by a minute, oldest first, was frozen through by then.

    Counted from the stock of the evening before, so that a row holds no more than a few days. Between two minutes at
    which something gets through, the row of the last leaving implies the others.
    """
    problem = c.problem
    for bread, form in forms(problem):
        comes, leaves = put_in(c, bread, form), leaving(c, bread, form)
        lots = opening(problem, bread, form.id)
        minutes = sorted({latest for _, latest, _ in leaves})
        gets_through = sorted({through for _, through, _ in comes} | {lot.through for lot in lots})
        for number, minute in enumerate(minutes):
            following = minutes[number + 1] if number + 1 < len(minutes) else None
            if following is not None and not any(minute < through <= following for through in gets_through):
                continue
            day = problem.day_of(minute)
            gone = [term for at, latest, term in leaves if at == day and latest <= minute]
            hard = [(-k, v) for at, through, (k, v) in comes if at >= day and through <= minute]
            soft = [(k, v) for at, through, (k, v) in comes if at < day and through > minute]
            there = [(-1, c.stock[bread, form.id, day - 1])] if day else []
            first = 0 if day else sum(lot.units for lot in lots)
            most = first - sum(lot.units for lot in lots if lot.through > minute)
            c.model.row(None, [*gone, *hard, *soft, *there], most)


def freezer(m: Minutes, freezer: Freezer) -> None:
    """At every minute no more has left than was frozen through; only counted where a minute is open."""
    for changes in freezer.through.values():
        if not all(at.fixed for at, _ in changes):
            m.clock.level(changes, 0, 10**7)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the take-outs from lots that are still freezing."""
    batches = facts.batches(problem, plan)
    for out in plan.take_outs:
        for lot, _ in out.lots:
            if lot in batches and out.at < batches[lot].through:
                hard = facts.when(problem, batches[lot].through)
                yield Broken(NAME, out.id, f"{lot} is frozen through only at {hard}")
