"""A plan as calendar entries: one for each bake, thaw, finish, feed, or finer; those of a person's hands, of an oven.

Bread taken at the meal, folds and bagging have no entry of their own. With each entry goes what it means, so that an
edit of it can be read as a wish.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from calendars.writing import Entry
from rotation.entries.explained import FINISH_TO_START, PRODUCT, RINGS, Each, Explained
from rotation.entries.writer import Writer
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.telling import shown

__all__ = ["FINISH_TO_START", "PRODUCT", "Each", "Explained", "entries", "most_a_week", "of_oven", "of_person"]

Recipes = Mapping[tuple[str, str], str]
"""Bake id and step name to the grams that go in."""


def entries(
    problem: Problem,
    plan: Plan,
    recipes: Recipes | None = None,
    *,
    days: int | None = None,
    each: Each = "bake",
    a_week: int | None = None,
    alarms_a_day: int = 2,
) -> tuple[tuple[Explained, ...], int, int]:
    """Return the entries of a calendar for bread alone, by start, how many finishes went into their thaws, and how many
    feeds have none.

    days: of the shown days only so many. a_week: in seven days at most so many, where joining thaws and their finishes,
    and then leaving feeds out, gets there. alarms_a_day: at most so many ring on a local day.
    """
    writer = Writer(problem, _within(problem, plan, days), recipes or {})
    bakes, thaws, feeds, joined = list(writer.bakes(each)), list(writer.thaws()), list(writer.feeds()), 0
    if a_week is not None and most_a_week(problem, [*bakes, *thaws, *feeds]) > a_week:
        apart, thaws = thaws, list(writer.thaws(joined=True))
        joined = len(apart) - len(thaws)
    room = [one for one in feeds if a_week is None or _in_week(problem, one, [*bakes, *thaws, *feeds]) <= a_week]
    told = _sorted([*bakes, *thaws, *room])
    return tuple(_ringing(told, problem, alarms_a_day)), joined, len(feeds) - len(room)


def of_person(
    problem: Problem, plan: Plan, recipes: Recipes, person: str, *, days: int, alarms_a_day: int = 2
) -> tuple[Explained, ...]:
    """Return an entry for each step of one person's hands, by start."""
    told = _sorted(Writer(problem, _within(problem, plan, days), recipes).hands_of(person))
    return tuple(_ringing(told, problem, alarms_a_day))


def of_oven(problem: Problem, plan: Plan, oven: str, *, days: int) -> tuple[Explained, ...]:
    """Return the reservations of one oven, from switching on until all is out, by start. None rings."""
    return tuple(_sorted(Writer(problem, _within(problem, plan, days), {}).reservations(oven)))


def _within(problem: Problem, plan: Plan, days: int | None) -> Plan:
    """Return what a plan does in its first days."""
    most = min(problem.shown_days, problem.shown_days if days is None else days)
    return shown(replace(problem, shown_days=most), plan)


def _sorted(told: Iterable[Explained]) -> list[Explained]:
    return sorted(told, key=lambda one: (one.entry.start, one.entry.uid))


def _in_week(problem: Problem, one: Explained, told: Sequence[Explained]) -> int:
    """Return how many entries begin in the week of one of them."""
    week = _week(problem, one)
    return sum(_week(problem, other) == week for other in told)


def _week(problem: Problem, one: Explained) -> int:
    """Return the week of an entry, counted from the first day."""
    return (one.entry.start.astimezone(problem.zone).date() - problem.date_of(0)).days // 7


def most_a_week(problem: Problem, told: Sequence[Explained]) -> int:
    """Return the most entries that begin in one of the weeks counted from the first day."""
    weeks = [_week(problem, one) for one in told]
    return max((weeks.count(week) for week in weeks), default=0)


def _ringing(told: Sequence[Explained], problem: Problem, most: int) -> list[Explained]:
    """Return the entries with alarms: of each local day the most needed, at most `most`."""
    need = list(RINGS)
    wanted = sorted((need.index(kind), at, number) for number, one in enumerate(told) for kind, at in one.rings)
    rung: dict[date, int] = {}
    rings: dict[int, list[int]] = {}
    for _, at, number in wanted:
        day = problem.instant(at).date()
        if rung.get(day, 0) < most:
            rung[day] = rung.get(day, 0) + 1
            rings.setdefault(number, []).append(at)
    return [
        replace(one, entry=_with_alarms(one.entry, problem, rings.get(number, []))) for number, one in enumerate(told)
    ]


def _with_alarms(entry: Entry, problem: Problem, minutes: Sequence[int]) -> Entry:
    return replace(entry, alarms=tuple(entry.start - problem.instant(at) for at in sorted(minutes)))
