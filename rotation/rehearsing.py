"""A rehearsal of a household's own weeks, to come or over: all live through them, rules of thumb tuned first.

The planner's lives and those of each rule go on in processes of their own, side by side; the outcome is the same.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from time import process_time

from rotation.errors import NothingPlanned
from rotation.household.reading import Home
from rotation.intake.heat import with_waits
from rotation.ledger.journal import ever_written
from rotation.rehearsal.apart import Told, side_by_side
from rotation.rehearsal.chance import as_it_was
from rotation.rehearsal.habits import KINDS, Habit
from rotation.rehearsal.measures import Week, loaf
from rotation.rehearsal.policy import PLANNER
from rotation.rehearsal.report import Rehearsed, report
from rotation.rehearsal.runs import PLANNER_DAYS, Stage, planner, run, shown
from rotation.rehearsal.scenarios import Scenario, scenario
from rotation.rehearsal.setting import enough, long_problem
from rotation.rehearsal.tuning import tuned
from rotation.show.rehearsal import NAMES
from rotation.stockroom import STATE, freezer, in_freezer
from rotation.weeks_over import first_day, weeks_over

WARM = 6
"""Weeks lived before anything is counted."""

TRAINING = (101,)
PROCESSES = 2

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Asked:
    """What is rehearsed. times: how often, with other chance; over: the weeks before `moment`, else those from it."""

    moment: datetime
    weeks: int
    scenario: Scenario
    times: int = 1
    over: bool = False
    warm: int = WARM


@dataclass(frozen=True)
class _Turn:
    """One policy's lives in one process: the planner's with one seed, or a rule's with all of them."""

    stage: Stage
    scenario: str
    over: bool
    policy: str
    seeds: tuple[int, ...]
    of: int


def rehearse(home: Home, asked: Asked, progress: Progress, processes: int = PROCESSES) -> Rehearsed:
    """Return how the planner and tuned rules of thumb fare in a household's own weeks. Reads the disk.

    Raises NothingPlanned where nobody bakes, BadInput where a calendar cannot be read.
    """
    weeks = asked.warm + asked.weeks
    days = enough(7 * weeks, PLANNER_DAYS)
    start = first_day(home, asked.moment, weeks) if asked.over else asked.moment
    home, _ = with_waits(home, start, days, home.folder / STATE)
    with freezer(home, asked.moment, readonly=True) as ledger:
        if asked.over:
            past = weeks_over(home, ledger, asked.moment, weeks, PLANNER_DAYS)
            stage, known = Stage(home, past.problem, asked.warm, asked.weeks, past.eaten), past.known
        else:
            bags = in_freezer(home, ledger, start) if ledger.begun() else None
            problem = long_problem(home, start, days, bags, ever_written(ledger))
            stage, known = Stage(home, problem, asked.warm, asked.weeks), 0
    if not any(person.bakes and person.free for person in stage.problem.people):
        raise NothingPlanned("Nobody of this household bakes, so there is nothing to rehearse.")
    seeds = tuple(range(1, 1 + asked.times))
    common = stage, asked.scenario.name, asked.over
    turns = [_Turn(*common, PLANNER, (seed,), asked.times) for seed in seeds]
    turns += [_Turn(*common, kind, seeds, asked.times) for kind in KINDS]
    came = zip(turns, side_by_side(_lived, turns, processes, progress), strict=True)
    lived: dict[str, tuple[Week, ...]] = {}
    rules, seconds = dict[str, str](), 0.0
    for turn, (weeks_, said, spent) in came:
        lived[turn.policy] = (*lived.get(turn.policy, ()), *weeks_)
        if turn.policy == PLANNER:
            seconds += spent
        else:
            rules[turn.policy] = said
    plans = sum(week.plans for week in lived[PLANNER]) * weeks / asked.weeks
    found = report(asked.scenario.name, lived, PLANNER, loaf(stage.problem))
    first = start.astimezone(home.zone).date() + timedelta(weeks=asked.warm)
    return Rehearsed(
        found, rules, first, asked.warm, asked.weeks, asked.times, asked.over, known, seconds / max(plans, 1)
    )


def _lived(turn: _Turn, told: Told) -> tuple[tuple[Week, ...], str, float]:
    """Return the weeks of a policy, what it was tuned to in words, and the seconds of a processor it took."""
    kind, stage, began = scenario(turn.scenario), turn.stage, process_time()
    if turn.over:
        kind = replace(kind, rates=as_it_was(kind.rates))
    if turn.policy != PLANNER:
        told(f"tuning the rule of thumb “{NAMES[turn.policy]}”")
        habit = tuned(replace(stage, eaten={}), kind, turn.policy, TRAINING, rounds=1)
        lives = (run(stage, kind, seed, habit, shown(habit)) for seed in turn.seeds)
        return tuple(week for each in lives for week in each), words(habit), process_time() - began

    def days(day: int) -> None:
        if day % 7 == 0:
            of = f" ({turn.seeds[0]} of {turn.of})" if turn.of > 1 else ""
            told(f"the planner has lived {day // 7} of {stage.days // 7} weeks{of}")

    return run(stage, kind, turn.seeds[0], planner(stage.home), PLANNER_DAYS, days), "", process_time() - began


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
