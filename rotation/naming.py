"""Short names of what a plan asks hands for, as a person says them: "sat-mix", "sun-out", "sat13-thaw"."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from rotation.plan import Plan
from rotation.problem import FEED, STARTER, Problem, is_thawing

OUT, THAW, FINISH = "out", "thaw", "finish"
"""What it is called that all loaves are out of the oven, and a thaw and a finish."""

WEEK = 7
"""Days from the start of a plan on which the weekday alone names a day."""

Key = tuple[str, str]
"""The id of a bake, take-out or finish, and which step of it."""


@dataclass(frozen=True)
class Moment:
    """A step still to come: whose it is, which, of which bread, and its planned minutes."""

    key: Key
    bread: str
    start: int
    end: int


def moments(plan: Plan) -> Iterator[Moment]:
    """Yield everything a person may say is done: stages of bakes, loaves out, feeds, thaws by a trip, finishes."""
    for bake in plan.bakes:
        for step in bake.steps:
            if step.who is not None:
                yield Moment((bake.id, step.name), bake.bread, step.start, step.end)
        if bake.stay.end >= 0:
            yield Moment((bake.id, OUT), bake.bread, bake.stay.end, bake.stay.end)
    for feed in plan.feedings:
        yield Moment((feed.id, FEED), STARTER, feed.start, feed.end)
    outs = {out.id: out for out in plan.take_outs}
    for out in plan.take_outs:
        if out.who is not None and not is_thawing(out.form):
            yield Moment((out.id, THAW), out.bread, out.at, out.at)
    for finish in plan.finishes:
        yield Moment((finish.id, FINISH), outs[finish.take_out].bread, finish.stay.start, finish.stay.end)


def names(plan: Plan, local: Callable[[int], datetime]) -> Mapping[Key, str]:
    """Return a name for each moment of a plan, no two alike. local: the household's time of a minute of the plan.

    Two of one day and step are told apart by their bread, two of one bread by a number, in time order.
    """
    first = local(0).date()
    found: dict[Key, str] = {}
    ordered = sorted(moments(plan), key=lambda moment: (moment.start, moment.key))
    short = {one.key: _name(local(one.start), first.toordinal(), one.key[1]) for one in ordered}
    alike = Counter(short.values())
    for one in ordered:
        day, _, step = short[one.key].partition("-")
        name = short[one.key] if alike[short[one.key]] == 1 else f"{day}-{_slug(one.bread)}-{step}"
        number, whole = 1, name
        while whole in found.values():
            number += 1
            whole = f"{name}-{number}"
        found[one.key] = whole
    return found


def names_of(problem: Problem, plan: Plan) -> Mapping[Key, str]:
    """Return the names of a plan of a problem."""
    return names(plan, problem.instant)


def _name(at: datetime, first: int, step: str) -> str:
    near = 0 <= at.toordinal() - first < WEEK
    return f"{at:%a}{'' if near else at.day}-{_slug(step)}".lower()


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "step"
