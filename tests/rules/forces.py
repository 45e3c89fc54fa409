"""What a rule of the minutes forbids, as rows that make it happen: with the rule's half nothing is left to choose."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from rotation.clockwork import Sum
from rotation.minutes import HotStay, Minutes
from rotation.tasks import BakeTask
from tests.homes import DAY
from tests.rules.halves import Force


@dataclass(frozen=True)
class Forced:
    """A home, and what is made to happen in it. half: the rule's half that forbids it."""

    home: str
    force: Force
    half: str = "minutes"


def _steps(m: Minutes, name: str) -> list[Sum]:
    """Return when a step of each bake starts."""
    return [m.starts[task.id, name] for task in m.bakes]


def _pair(m: Minutes) -> tuple[HotStay, HotStay]:
    """Return two stays of one day."""
    bakes = [stay for stay in m.stays if isinstance(stay.task, BakeTask)]
    return next((a, b) for a, b in combinations(bakes, 2) if {a.task.id, b.task.id} == ONE_EVENING)


ONE_EVENING = {"wheat-day-0302", "wheat-night-0301"}
"""A bake by day, and one of the day before that is proved overnight: both may go into the oven on Tuesday."""


def overlapping(m: Minutes) -> None:
    """One stay begins in the middle of another."""
    first, second = _pair(m)
    m.clock.between(5, second.start - first.start, 20)


def together(m: Minutes) -> None:
    """Two loaves go into the one pot at once."""
    first, second = _pair(m)
    m.clock.any_of([m.same[first.task.id, second.task.id]])


def on_no_heat(m: Minutes) -> None:
    """A stay shares a heat, and begins when no other does."""
    first, _ = _pair(m)
    m.clock.any_of([next(heating.literal for heating in first.heatings if heating.how == "with")])
    for other in m.stays:
        if other is not first:
            m.clock.any_of([m.before[first.task.id, other.task.id], m.before[other.task.id, first.task.id]])


def two_doughs(m: Minutes) -> None:
    """Two doughs are mixed within five minutes."""
    first, second = (m.starts[f"wheat-{process}-0301", "mix"] for process in ("day", "night"))
    m.clock.between(-60, second - first, 60)


def out_of_the_house(m: Minutes) -> None:
    """The pot is still hot when everybody sleeps."""
    m.clock.between(1235, m.stays[0].end, 1260)


def closed_oven(m: Minutes) -> None:
    """Something is in the oven as it closes at five."""
    stay = m.stays[0]
    m.clock.among(stay.start, tuple((DAY * day + 1000, DAY * day + 1130) for day in range(m.problem.days)))


def another_day(m: Minutes) -> None:
    """A bake is mixed on the eve of its day."""
    task = next(task for task in m.bakes if task.run.day == 1 and task.process.id == "night")
    m.clock.between(None, m.starts[task.id, "mix"], m.problem.midnights[task.run.day] - 5)


def taken_the_day_before(m: Minutes) -> None:
    """Bread leaves the freezer on another day than it is counted on."""
    way = m.ways[0].way
    m.clock.between(None, m.starts[m.ways[0].id, "out"], m.problem.midnights[way.take_day] - 5)


def too_early_for_its_wait(m: Minutes) -> None:
    """Dough mixed before the plan begins is folded at once."""
    (task,) = m.bakes
    m.clock.between(0, m.starts[task.id, "fold 1"], 5)


def elsewhere(m: Minutes) -> None:
    """A step is not where the family put it."""
    task = next(task for task in m.bakes if task.run.wish)
    m.clock.between(DAY + 905, m.starts[task.id, "mix"], None)


def where_none_is_wanted(m: Minutes) -> None:
    """Something is mixed while the family wants no bake."""
    task = next(task for task in m.bakes if task.run.day == 1)
    m.clock.between(DAY, m.starts[task.id, "mix"], DAY + 795)


def two_bags_in_a_day(m: Minutes) -> None:
    """Two loaves go into the slow freezer within 24 hours."""
    first, second = _steps(m, "bag")
    m.clock.between(-1400, second - first, 1400)


def soft_inside(m: Minutes) -> None:
    """Bread is taken out before it is hard."""
    m.clock.between(None, m.starts[m.ways[0].id, "out"], 2 * DAY + 955)


FORCED = {
    "closed": Forced("worth much", closed_oven),
    "freezing_rate": Forced("slow freezer", two_bags_in_a_day, "freezer"),
    "frozen_through": Forced("soft bags", soft_inside, "freezer"),
    "heat": Forced("worth much", on_no_heat),
    "kitchen": Forced("one bowl", two_doughs),
    "oven": Forced("worth much", overlapping),
    "places": Forced("worth much", together),
    "stages": Forced("up late", another_day),
    "stock": Forced("hungry", taken_the_day_before),
    "under_way": Forced("begun", too_early_for_its_wait),
    "watch": Forced("early to bed", out_of_the_house),
    "wishes": Forced("a fixed step", elsewhere),
    "wishes, no bake": Forced("no bake", where_none_is_wanted),
}
"""By rule; where a rule forbids several things, a word more."""
