"""Weeks that are over, to be rehearsed as they were: their calendars, what was really eaten, what the freezer held."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from rotation.eaten import Day
from rotation.eating import days_over
from rotation.household.reading import Home
from rotation.intake import Bag, opening
from rotation.ledger import Ledger
from rotation.ledger.journal import ever_written
from rotation.problem import Meal, Problem
from rotation.rehearsal.setting import enough, long_problem
from rotation.rehearsal.window import HABIT
from rotation.rehearsal.world import MORNING
from rotation.stockroom import older, then_in_freezer


@dataclass(frozen=True)
class WeeksOver:
    """What is known of them. eaten: portions of meals by id; known: days of which that is known, of `days`."""

    problem: Problem
    eaten: Mapping[str, int]
    known: int
    days: int


def weeks_over(home: Home, ledger: Ledger, now: datetime, weeks: int, shown: int) -> WeeksOver:
    """Return the weeks before the day of `now`. shown: days a plan of them looks ahead. Reads the calendars.

    Guests and events are those of the calendars. Days on which guests came or somebody was away, and those of which
    the ledger knows nothing, are left out of `eaten`.
    """
    start = first_day(home, now, weeks)
    problem = long_problem(home, start, enough(7 * weeks, shown), _bags(home, ledger, start, now), ever_written(ledger))
    days = [day for day in days_over(home, ledger, now, weeks) if day.usual and day.own]
    eaten = really(problem, days)
    return WeeksOver(problem, eaten, len(days), 7 * weeks)


def first_day(home: Home, now: datetime, weeks: int) -> datetime:
    """Return the morning of the first day of so many weeks that end before the day of `now`."""
    local = now.astimezone(home.zone) - timedelta(weeks=weeks)
    return local.replace(hour=MORNING // 60, minute=MORNING % 60, second=0, microsecond=0)


def _bags(home: Home, ledger: Ledger, start: datetime, now: datetime) -> tuple[Bag, ...]:
    """Return the bags at the start; where nothing was ever recorded, those of `stock.toml`, as old as they are now."""
    if ledger.begun():
        return then_in_freezer(ledger, start)
    written = opening(home.stock, home.breads, home.zone, home.settings.kitchen.freezer_degc)
    return tuple(older(bag, start - now) for bag in written)


def really(problem: Problem, days: Iterable[Day]) -> dict[str, int]:
    """Return the portions of everyday meals by id on days that are known: a day's slices, dealt out as it was meant.

    Where bread ran out, at least as much was wanted as is usual.
    """
    meals: dict[date, list[Meal]] = {}
    for meal in problem.meals:
        if meal.source == HABIT and not meal.strict:
            meals.setdefault(problem.instant(meal.at).date(), []).append(meal)
    dealt: dict[str, int] = {}
    for day in days:
        of_day = meals.get(day.date, [])
        usual = sum(meal.portions for meal in of_day)
        eaten = sum(day.eaten.values())
        dealt |= deal(of_day, round(max(eaten, usual) if day.out else eaten))
    return dealt


def deal(meals: list[Meal], portions: int) -> dict[str, int]:
    """Return so many portions dealt out over meals in proportion to what they want, in whole ones."""
    wanted, before, dealt = sum(meal.portions for meal in meals), 0, {}
    for meal in meals:
        after = before + meal.portions
        dealt[meal.id] = round(portions * after / wanted) - round(portions * before / wanted)
        before = after
    return dealt
