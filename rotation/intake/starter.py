"""The starter as a plan counts it: when it was fed last, as recorded or as `stock.toml` says."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta

from rotation.asked import FED_THEN, Asked
from rotation.happened import Happened
from rotation.household.reading import Home
from rotation.problem import FEED, Problem, Starter
from rotation.starter import last_fed


def starter(home: Home, problem: Problem, happened: Iterable[Happened], asked: Iterable[Asked]) -> Starter | None:
    """Return the starter of a household; None where no bread is fed one, or nothing is known of its last feed.

    asked: of the wishes those that move a feed count.
    """
    feeds = any(stage.name == FEED for bread in home.breads.values() for p in bread.processes for stage in p.stages)
    last = last_fed(home, happened, problem.zero)
    if last is None or not feeds:
        return None
    care = home.settings.starter
    moved = {_minute(problem, one.since) for one in asked if one.kind == FED_THEN}
    every = round(1440 * care.feed_every_days)
    return Starter(_minute(problem, last), every, care.hands_minutes, tuple(sorted(moved)))


def _minute(problem: Problem, at: datetime) -> int:
    return (at - problem.zero) // timedelta(minutes=1)
