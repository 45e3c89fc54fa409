"""A rehearsal of a household's own weeks: rules of thumb are tuned, then all live through the same weeks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from rotation.errors import NothingPlanned
from rotation.household.reading import Home
from rotation.intake.heat import with_waits
from rotation.rehearsal.habits import KINDS, Habit
from rotation.rehearsal.measures import Week, loaf
from rotation.rehearsal.report import Report, report
from rotation.rehearsal.runs import PLANNER, PLANNER_DAYS, Stage, planner, run, shown
from rotation.rehearsal.scenarios import Scenario
from rotation.rehearsal.setting import enough, long_problem
from rotation.rehearsal.tuning import tuned
from rotation.stockroom import STATE

WARM = 2
"""Weeks lived before anything is counted."""

TRAINING = (101,)

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Rehearsed:
    """What came of it. rules: what each rule of thumb was tuned to, in words."""

    report: Report
    rules: dict[str, str]


def rehearse(
    home: Home, start: datetime, weeks: int, scenario: Scenario, seeds: tuple[int, ...], progress: Progress
) -> Rehearsed:
    """Return how the planner and tuned rules of thumb fare in a household's own weeks from a moment. Reads the disk.

    Raises NothingPlanned where nobody bakes, BadInput where a calendar cannot be read.
    """
    days = enough(7 * (WARM + weeks), PLANNER_DAYS)
    home, _ = with_waits(home, start, days, home.folder / STATE)
    stage = Stage(home, long_problem(home, start, days), WARM, weeks)
    if not any(person.bakes and person.free for person in stage.problem.people):
        raise NothingPlanned("Nobody of this household bakes, so there is nothing to rehearse.")
    lived: dict[str, tuple[Week, ...]] = {}
    rules: dict[str, str] = {}
    for kind in KINDS:
        progress(f"tuning the rule of thumb “{kind}”")
        habit = tuned(stage, scenario, kind, TRAINING, rounds=1)
        rules[kind] = words(habit)
        lived[kind] = tuple(week for seed in seeds for week in run(stage, scenario, seed, habit, shown(habit)))
    ours: tuple[Week, ...] = ()
    for number, seed in enumerate(seeds, 1):

        def told(day: int, number: int = number) -> None:
            if day % 7 == 0:
                progress(f"the planner has lived {day // 7} of {WARM + weeks} weeks ({number} of {len(seeds)})")

        ours += run(stage, scenario, seed, planner(home), PLANNER_DAYS, told)
    return Rehearsed(report(scenario.name, {PLANNER: ours, **lived}, PLANNER, loaf(stage.problem)), rules)


def words(habit: Habit) -> str:
    """Return what a rule of thumb was tuned to, as a person would say it."""
    at = habit.figures
    kept = "sliced" if at.sliced else "part-baked"
    spare = f", {at.spare} part-baked kept for guests" if at.spare else ""
    return {
        "fixed days": f"each bread every {at.low:g} days, as much as {at.high:g} days eat",
        "up to S": f"when there is bread for less than {at.low:g} days, up to {at.high:g} days",
        "tomorrow short": f"when tomorrow and {at.low:g} days more are short, as much as {at.high:g} days eat",
        "fortnight": f"each bread on two days of fourteen, {at.low:g} apart, up to {at.high:g} days",
    }[habit.kind] + f"; frozen {kept}{spare}"
