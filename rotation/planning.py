"""To plan again: what the family did is read, the week is understood, planned, proven and kept. Nothing is printed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from rotation import assuming, week, written
from rotation.far import CLEAR_DAYS, After, after, daily
from rotation.household.reading import Home
from rotation.problem import Problem
from rotation.rules.checked import refuse
from rotation.show.json_text import dumps
from rotation.show.plan_json import plan_json

if TYPE_CHECKING:
    from rotation.solve import Limits


@dataclass(frozen=True)
class Ready:
    """What is to be planned. taken: what the family's edits came to; asked: what it is asked about bakes.

    far: all days, where more are asked for than are planned to the minute.
    """

    understood: week.Understood
    taken: written.TakenIn
    asked: tuple[str, ...]
    far: Problem | None = None


@dataclass(frozen=True)
class Planned:
    """A proven plan with what is said beside it.

    changed: against the plan kept before it, or ""; far: the days after it, as a sketch.
    """

    week: week.Week
    taken: written.TakenIn
    notes: tuple[str, ...]
    recipes: dict[tuple[str, str], str]
    changed: str
    far: After | None = None

    def document(self, *, with_problem: bool = False, changed: str = "") -> dict[str, Any]:
        """Return the plan as plain JSON values."""
        return plan_json(
            self.week.problem, self.week.plan, self.week.understood.home.settings.name, self.notes, checked=True,
            with_problem=with_problem, changed=changed, recipes=self.recipes, far=self.far,
        )  # fmt: skip

    def keep(self) -> None:
        """Keep it as the current plan. Raises StorageError; the one before stays."""
        week.keep(self.week, dumps(self.document()), self.taken)


def ready(home: Home, start: datetime, days: int | None, now: datetime) -> Ready:
    """Return what is to be planned from `start` on. days: as many as the household says, if None; now: the clock.

    What nobody spoke of until then is recorded as assumed, what was ticked off as done. Raises BadInput, StorageError.
    """
    taken = written.take_in(home, start)
    asked = assuming.settle(home, start)
    wanted = days or home.settings.plan.days
    clear = week.understand(home, start, min(wanted, CLEAR_DAYS), taken, now)
    far = week.understand(home, start, wanted, taken, now).problem if wanted > CLEAR_DAYS else None
    return Ready(clear, taken, asked, far)


def planned(meant: Ready, limits: Limits, progress: week.Progress | None = None, *, stoppable: bool = False) -> Planned:
    """Return a proven plan, not yet kept. stoppable: as of `week.plan_week`. Raises NothingPlanned, CheckFailed."""
    found = _with_costs(week.plan_week(meant.understood, limits, progress, stoppable=stoppable), stoppable)
    notes = (*meant.asked, *meant.understood.notes)
    return Planned(
        found, meant.taken, notes, week.grams(found), week.what_changed(found), _sketched(meant.far, found, progress)
    )


def _with_costs(planned: week.Week, stoppable: bool) -> week.Week:
    """Return a plan that says what each wish kept costs; if Ctrl-C ends that, and it may, the plan as it is."""
    if not any(answer.kept for answer in planned.plan.wishes):
        return planned
    from rotation.reasons.wish_costs import with_costs
    from rotation.solve import Stopped

    try:
        return replace(planned, plan=with_costs(planned.problem, planned.plan))
    except Stopped:
        if not stoppable:
            raise
        return planned


def _sketched(far: Problem | None, planned: week.Week, progress: week.Progress | None) -> After | None:
    """Return the days after those of a plan as a sketch, held to the daily rules. Raises CheckFailed."""
    if far is None:
        return None
    from rotation.solve.sketching import sketch

    if progress is not None:
        progress("sketching the days after")
    rest = after(far, planned.problem, planned.plan)
    made = After(rest, sketch(rest, planned.problem.shown_days))
    refuse(daily.broken(rest, made.sketch), "The sketch found")
    return made
