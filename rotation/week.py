"""What the program does, without printing: read a household, understand its week, plan it, prove it, keep the plan."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from calendars.writing import to_ics, write_file
from rotation.entries import PRODUCT, entries
from rotation.errors import CheckFailed
from rotation.household.reading import Home, read_home
from rotation.intake import build, read_calendars
from rotation.intake.heat import with_waits
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.recipes import recipes
from rotation.stockroom import STATE, freezer, in_freezer, outdated

if TYPE_CHECKING:
    from rotation.solve import Limits

Progress = Callable[[str], None]
"""Told in words how the solving goes on."""


@dataclass(frozen=True)
class Understood:
    """A household's problem, and what was assumed or odd on the way to it."""

    home: Home
    problem: Problem
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Week:
    """A plan that was proven to keep every rule."""

    understood: Understood
    plan: Plan

    @property
    def problem(self) -> Problem:
        """What was planned."""
        return self.understood.problem


def understand(home: Home, start: datetime, days: int) -> Understood:
    """Return the problem of `days` local days from `start` (aware). Reads the disk; writes there only
    what heat was worked out, so that nobody waits for it twice.

    Raises BadInput and StorageError.
    """
    home, waits = with_waits(home, start, days, home.folder / STATE)
    with freezer(home, start, readonly=True) as ledger:
        bags, old = in_freezer(home, ledger, start), outdated(home, ledger)
    stock = home.stock
    readings = read_calendars(home, start, days)
    understood = build(home, readings, bags, stock.box, stock.under_way, None, start, days)
    notes = (*map(str, understood.notes), *map(str, waits), *([old] if old else []))
    return Understood(home, understood.problem, notes)


def plan_week(understood: Understood, limits: Limits | None = None, progress: Progress | None = None) -> Week:
    """Return a proven plan. Raises NothingPlanned if there is none, CheckFailed if it breaks a rule."""
    from rotation.solve import Limits, solve

    plan = solve(understood.problem, limits or Limits(), progress=progress)
    prove(understood.problem, plan)
    return Week(understood, plan)


def prove(problem: Problem, plan: Plan) -> None:
    """Check a plan against every rule and its cost, by code apart from the solver. Raises CheckFailed."""
    from rotation.rules.checked import broken

    found = broken(problem, plan)
    if found:
        said = "\n".join(f"  {one}" for one in found[:20])
        raise CheckFailed(
            f"The plan found breaks {len(found)} rule(s), so it is not shown. This is a fault of the program; "
            f"please report it:\n{said}"
        )


def keep(home: Home, plan_json: str, at: datetime) -> None:
    """Keep a proven plan as the current one, in place of the one before. Raises StorageError; the one before stays."""
    with freezer(home, at) as ledger:
        ledger.keep_plan(plan_json, at)


def load(folder: Path) -> Home:
    """Return the household in a folder. Raises BadInput with all its mistakes."""
    return read_home(folder)


def grams(week: Week) -> dict[tuple[str, str], str]:
    """Return what to weigh at each step, by bake id and step name."""
    return recipes(week.understood.home.breads, week.plan)


def write_entries(week: Week, path: Path) -> None:
    """Write the plan's entries as a calendar file, whole or not at all. Raises CalendarError."""
    settings = week.understood.home.settings.entries
    told, _ = entries(week.problem, week.plan, grams(week), each=settings.each, alarms_a_day=settings.alarms_a_day)
    made = [replace(one.entry, transparent=not settings.blocking) for one in told]
    write_file(path, to_ics(made, name=settings.calendar, stamp=week.problem.zero, product_id=PRODUCT))
