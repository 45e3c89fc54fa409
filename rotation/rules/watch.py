"""While the oven heats, is on, or hot iron stands about, an adult is in and awake."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Problem, covers
from rotation.rules.broken import Broken

NAME = "watch"


def minutes(m: Minutes) -> None:
    """One span of adults at home holds each stay, its heating and the wait after it.

    The gap on the heat of another stay is watched as that stay's own wait, which is no shorter (`Oven.hot_gap`).
    """
    for stay in m.stays:
        after = stay.oven.watch_after_vessel if stay.vessel else stay.oven.watch_after
        for heating in stay.heatings:
            m.clock.among(stay.start, stay.starts(heating, m.problem.watched, after), when=[heating.literal])


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the stays that an empty or sleeping house would be left with; nothing is known past the horizon."""
    for stay in facts.planned_stays(problem, plan):
        oven = problem.oven(stay.oven)
        until = stay.end + (oven.watch_after_vessel if stay.vessel else oven.watch_after)
        if not covers(problem.watched, stay.heat_from, until):
            span = f"{facts.when(problem, stay.heat_from)} to {facts.when(problem, until)}"
            yield Broken(NAME, stay.id, f"no adult is in and awake all through {span}")
