"""Bread thaws as long as its route wants before it is finished; what needs no thaw goes straight into the oven."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken
from rotation.thaws import thaw_lag

NAME = "thawed"


def minutes(m: Minutes) -> None:
    """A finish comes as long after the freezer as its route wants."""
    for task in m.ways:
        if (task.id, "in") in m.starts:
            least, most = thaw_lag(task.route)
            m.clock.between(least, m.starts[task.id, "in"] - m.starts[task.id, "out"], most)
            if task.route.until is not None:
                m.clock.between(None, m.starts[task.id, "in"], task.route.until)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the finishes that begin too soon or too late after the freezer."""
    for finish in plan.finishes:
        out = facts.taken_for(plan, finish)
        route = facts.route_of(problem, out)
        least, most = thaw_lag(route)
        waited = finish.stay.start - out.at
        if not least <= waited <= most:
            yield Broken(NAME, finish.id, f"in the oven {waited} min after the freezer, not {least} to {most}")
        if route.until is not None and finish.stay.start > route.until:
            yield Broken(
                NAME, finish.id, f"thawed, and in the oven only {finish.stay.start - route.until} min too late"
            )
