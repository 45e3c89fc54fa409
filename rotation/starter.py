"""The starter lives: fed once a week, and twice before it raises dough after a week in the cold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from rotation.happened import Happened, What
from rotation.plan import Plan
from rotation.problem import Problem

STARTER, FEED = "starter", "feed"
"""What a person calls it to say that it was fed beside any bake, and the stage of a bake that feeds it."""

WEEK = timedelta(days=7)


def fed(happened: Iterable[Happened], now: datetime) -> datetime | None:
    """Return when the starter was fed last, for a bake or beside one, as far as anything is recorded."""
    feeds = (row.start for row in happened if row.what is What.DONE and row.step == FEED and row.start is not None)
    return max((at for at in feeds if at <= now), default=None)


def notes(problem: Problem, plan: Plan, happened: Iterable[Happened]) -> Iterator[str]:
    """Yield what the starter wants that no bake of the plan gives it; nothing where no feed was ever recorded."""
    last = fed(happened, problem.zero)
    if last is None or not any(s.name == FEED for b in problem.breads for p in b.processes for s in p.stages):
        return
    steps = (step for bake in plan.bakes for step in bake.steps)
    ahead = min((step.start for step in steps if step.name == FEED and step.who is not None), default=None)
    due = last + WEEK
    following = problem.instant(problem.midnights[problem.shown_days] if ahead is None else ahead)
    if following <= due:
        return
    by = max(due, problem.zero).astimezone(problem.zone)
    yield f"Starter: fed last {_day(last.astimezone(problem.zone))}. Feed it by {_day(by)}, and put 20 g back: {_SAY}"
    if ahead is not None:
        yield f"Starter: a week in the cold by {_day(following)}? Feed it twice, first the evening before."


_SAY = "rotation done starter"


def _day(at: datetime) -> str:
    return f"{at:%a} {at.day} {at:%b}"
