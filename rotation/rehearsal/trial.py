"""The trial of planning again: how much changes, and how much bread that costs against planning afresh each time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from rotation.errors import CheckFailed
from rotation.household.reading import Home
from rotation.rehearsal.living import Life
from rotation.rehearsal.planned import Planner, small
from rotation.rehearsal.record import faults
from rotation.rehearsal.scenarios import STABILITY
from rotation.rehearsal.setting import enough, long_problem, world

SHOWN, EVERY = 14, 7
"""Days of each plan, and days after which one is made though nothing is new."""


@dataclass(frozen=True)
class Trial:
    """What came of one life. added, dropped, moved: bakes within seven days; unmet, wanted: portions."""

    weeks: int
    plans: int
    added: int
    dropped: int
    moved: int
    unmet: int
    wanted: int

    @property
    def changes(self) -> float:
        """Changes a week."""
        return (self.added + self.dropped + self.moved) / self.weeks


def trial(
    home: Home, start: datetime, weeks: int, seed: int, *, afresh: bool = False, work: float = 1.0,
    days: Callable[[int], None] | None = None,
) -> Trial:  # fmt: skip
    """Return what came of planning again whenever something is new. work: of a quick look's.

    Raises CheckFailed where a plan, or what was done, breaks a rule; Unbalanced where bread is lost.
    """
    problem = long_problem(home, start, enough(7 * weeks, SHOWN))
    where, luck = world(home, problem, 7 * weeks, SHOWN, STABILITY, seed)
    life = Life(where, luck, Planner(home.settings, small(work), every=EVERY, afresh=afresh))
    record = life.live(days)
    if found := faults(where.true, record, life.variants):
        raise CheckFailed("; ".join(map(str, found[:5])))
    return Trial(
        weeks,
        record.plans,
        sum(change.added for change in record.changes),
        sum(change.dropped for change in record.changes),
        sum(change.moved for change in record.changes),
        sum(meal.unmet for meal in record.meals),
        sum(meal.wanted for meal in record.meals),
    )
