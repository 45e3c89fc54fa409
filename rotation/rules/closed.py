"""An oven neither heats nor is on while it is closed to bread."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.clockwork import complement
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "closed"


def minutes(m: Minutes) -> None:
    """One span between closed hours holds each stay and its heating, and the gap where it follows another stay."""
    for stay in m.stays:
        open_hours = complement(stay.oven.closed, 0, m.never)
        for heating in stay.heatings:
            m.clock.among(stay.start, stay.starts(heating, open_hours), when=[heating.literal])
            m.gap_without(stay, heating, stay.oven.closed)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the stays that reach into closed hours."""
    for stay in facts.planned_stays(problem, plan):
        span = facts.inside_any(problem.oven(stay.oven).closed, stay.heat_from, stay.end)
        if span is not None:
            hours = f"{facts.when(problem, span[0])} to {facts.when(problem, span[1])}"
            yield Broken(NAME, stay.id, f"heats or is on while the oven is closed, {hours}")
