"""The starter goes unfed no longer than it may, as long as somebody has hands for it; each feed is as long as it needs.

Feeds are put where hands are left when a plan is made (rotation/starter.py), so the rule adds nothing to the model.
"""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts, feedings
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "starter"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the feeds of a wrong length, and the times the starter goes unfed though it could have been fed."""
    kept = problem.starter
    if kept is None:
        yield from (Broken(NAME, feed.id, "feeds a starter nobody keeps") for feed in plan.feedings)
        return
    for feed in plan.feedings:
        if feed.end - feed.start != kept.hands:
            yield Broken(NAME, feed.id, f"{feed.end - feed.start} min of hands, not {kept.hands}")
    since = kept.last
    end = problem.midnights[problem.shown_days]
    for at, ripens in [*feedings.feedings(problem, plan), (end, None)]:
        before = at - (ripens or 1) if at <= end else end - 1  # just before a bake's own feed another is no use
        half = since + kept.every // 2
        if min(at, end) - since > kept.every and not feedings.nobody_spare(problem, plan, kept.hands, half, before):
            unfed = f"{(min(at, end) - since) / 1440:.1f} days"
            yield Broken(NAME, facts.when(problem, min(at, end)), f"the starter is unfed for {unfed} by then")
        since = at
