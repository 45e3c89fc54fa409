"""The starter lives: fed at least once a week, and twice before it raises dough after a week in the cold.

What feeds it is a bake, or a feed of its own, which is put where a finished plan leaves hands: a few minutes that fit
anywhere within days, so that no plan is the better for choosing them with the rest.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from datetime import datetime

from rotation import facts, feedings
from rotation.happened import Happened, What
from rotation.household.reading import Home
from rotation.plan import Feeding, Plan
from rotation.problem import FEED, STARTER, Problem, Starter, value_at

DAY, AHEAD = 1440, 720
"""Minutes before a bake's own feed within which another makes the starter strong again, and how many are best."""


def fed(happened: Iterable[Happened], now: datetime) -> datetime | None:
    """Return when the starter was fed last, for a bake or beside one, as far as anything is recorded."""
    feeds = (row.start for row in happened if row.what is What.DONE and row.step == FEED and row.start is not None)
    return max((at for at in feeds if at <= now), default=None)


def last_fed(home: Home, happened: Iterable[Happened], now: datetime) -> datetime | None:
    """Return when the starter of a household was fed last: as recorded, else as `stock.toml` says."""
    at = home.stock.starter_fed
    at = at if at is None or at.tzinfo else at.replace(tzinfo=home.zone)
    return fed(happened, now) or (None if at is None or at > now else at)


def beside(happened: Iterable[Happened]) -> Happened | None:
    """Return the feed that was said last of those that were no step of a plan."""
    said = [row for row in happened if row.what is What.DONE and row.thing == STARTER]
    return said[-1] if said else None


def with_feeds(problem: Problem, plan: Plan, known: Collection[int] = ()) -> Plan:
    """Return a plan with the feeds that its bakes do not give: none within the shown days is later than it may be.

    known: minutes at which feeds stood in the plan before; they stay there where they can.
    """
    kept = problem.starter
    if kept is None:
        return replace(plan, feedings=())
    end = problem.midnights[problem.shown_days]
    plan = replace(plan, feedings=tuple(_moved(problem, kept, minute) for minute in kept.moved if 0 <= minute < end))
    since = kept.last
    for at, ripens in [*feedings.feedings(problem, plan), (end, None)]:
        while min(at, end) - since > kept.every:
            feed = _next(problem, plan, kept, since, (min(at, end), ripens if at <= end else None), known)
            if feed is None:
                break
            plan, since = replace(plan, feedings=(*plan.feedings, feed)), feed.start
        since = at
    return replace(plan, feedings=tuple(sorted(plan.feedings, key=lambda feed: feed.start)))


def unfed(problem: Problem, plan: Plan) -> Iterator[tuple[int, int]]:
    """Yield the times, from feed to feed, for which the starter goes unfed longer than it should."""
    if problem.starter is None:
        return
    since, end = problem.starter.last, problem.midnights[problem.shown_days]
    for at, _ in [*feedings.feedings(problem, plan), (end, None)]:
        if min(at, end) - since > problem.starter.every:
            yield since, min(at, end)
        since = at


def _moved(problem: Problem, kept: Starter, minute: int) -> Feeding:
    """Return a feed where the family put it: whoever moved it is free then, or anybody who is in."""
    can = [person for person in problem.people if facts.allowed(person, bakes=False)]
    free = next(feedings.spare(problem, Plan(), kept.hands, minute, minute), None)
    who = free[1] if free else next((p.id for p in can if p.bakes), can[0].id)
    return _feed(problem, minute, minute + kept.hands, who)


def _feed(problem: Problem, start: int, end: int, who: str, ahead: int | None = None) -> Feeding:
    at = problem.instant(start)
    return Feeding(f"{STARTER}-{at:%m%d-%H%M}", start, end, who, ahead)


def _next(
    problem: Problem, plan: Plan, kept: Starter, since: int, before: tuple[int, int | None], known: Collection[int]
) -> Feeding | None:
    """Return a feed after the one at `since`; None if nobody can. before: what it comes before, and how long a bake's
    own feed ripens: just before that another is no use.
    """
    at, ripens = before
    due, last = since + kept.every, at - (ripens or 1)
    can = list(feedings.spare(problem, plan, kept.hands, since + kept.every // 2, last))
    strong = [one for one in can if ripens is not None and at - DAY <= one[0] <= due]
    in_time = [one for one in can if one[0] <= due]
    near = [one for one in in_time if one[0] >= due - 2 * DAY]
    if not can:
        return None
    if due < 0 or not in_time:  # overdue: as soon as somebody can
        start, who = can[0]
    elif strong:
        start, who = min(strong, key=lambda one: _worth(problem, one, at - AHEAD, known))
    else:
        start, who = min(near or in_time[-1:], key=lambda one: _worth(problem, one, due, known))
    ahead = at if ripens is not None and start >= at - DAY else None
    return _feed(problem, start, start + kept.hands, who, ahead)


def _worth(problem: Problem, one: tuple[int, str], best: int, known: Collection[int]) -> tuple[bool, int, int, int]:
    """Return what makes a moment better, the least first: known, cheap hands, near the best, early."""
    start, who = one
    return start not in known, value_at(problem.person(who).price, start), abs(start - best), start
