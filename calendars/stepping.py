"""Steps through a recurrence rule with a bound on the work.

Why not a library: the ones at hand look for the next instance until the year 9999, so a rule that has none (30
February) holds the process for minutes, and nothing but a wall clock can stop them. Here every step is counted, and a
rule without COUNT starts at the window instead of at its first instance. The tests hold it against the RFC's own
examples and against an independent implementation.

All times are naive wall-clock times of the event's zone.
"""

from __future__ import annotations

from calendar import isleap, monthrange
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import product
from typing import Any

from calendars.rules import UNIT_SECONDS, Rule


class TooMuchWork(Exception):
    """The budget is spent."""


@dataclass
class Budget:
    """Steps that may still be taken: one for each day or time looked at. Deterministic, unlike a clock."""

    steps: int

    def spend(self, steps: int) -> None:
        """Take steps off. Raises TooMuchWork when there are none left."""
        self.steps -= steps
        if self.steps < 0:
            raise TooMuchWork


def starts(
    rule: Rule, first: datetime, low: datetime, high: datetime, until: datetime | None, budget: Budget
) -> Iterator[datetime]:
    """Yield the starts between low and high, both included, in order. `first` (DTSTART) always counts as the first.

    until: the last start allowed. Raises TooMuchWork when the budget is spent.
    """
    last = high if until is None else min(high, until)
    left = rule.count
    if low <= first <= high:
        yield first
    for at in _candidates(_with_implied(rule, first), first, first if left else max(first, low), last, budget):
        if at <= first:
            continue
        if at > last:
            return
        if left is not None:
            left -= 1
            if left < 1:
                return
        if at >= low:
            yield at


def _with_implied(rule: Rule, first: datetime) -> Rule:
    """Return the rule with what DTSTART says spelled out."""
    implied: dict[str, Any] = {}
    if rule.frequency not in UNIT_SECONDS and not rule.hours:
        implied["hours"] = frozenset({first.hour})
    if rule.frequency not in ("MINUTELY", "SECONDLY") and not rule.minutes:
        implied["minutes"] = frozenset({first.minute})
    if rule.frequency != "SECONDLY" and not rule.seconds:
        implied["seconds"] = frozenset({first.second})
    days_named = rule.weekdays or rule.month_days or rule.year_days
    if not days_named and (rule.frequency == "WEEKLY" or (rule.frequency == "YEARLY" and rule.weeks)):
        implied["weekdays"] = frozenset({(0, first.weekday())})
    elif not days_named and rule.frequency in ("MONTHLY", "YEARLY"):
        implied["month_days"] = frozenset({first.day})
        if rule.frequency == "YEARLY" and not rule.months:
            implied["months"] = frozenset({first.month})
    return replace(rule, **implied)


def _candidates(rule: Rule, first: datetime, low: datetime, high: datetime, budget: Budget) -> Iterator[datetime]:
    """Yield in order every time that fits the rule, from the period that holds `low` to about `high`."""
    if rule.frequency in UNIT_SECONDS:
        yield from _within_days(rule, first, low, high, budget)
        return
    times = [time(*at) for at in sorted(product(rule.hours, rule.minutes, rule.seconds))]
    period = _period_of(rule, first, low)
    while (span := _days_of(rule, first, period)) is not None and span[0] <= high.toordinal():
        budget.spend(span[1] - span[0])
        days = [day for day in map(date.fromordinal, range(*span)) if _fits(rule, day)]
        budget.spend(len(days) * len(times))
        yield from _chosen(rule, [datetime.combine(day, at) for day in days for at in times])
        period += 1


def _period_of(rule: Rule, first: datetime, moment: datetime) -> int:
    """Return the number of the period, counted from that of `first`, that holds the moment, or of the last before."""
    if rule.frequency == "YEARLY":
        passed = moment.year - first.year
    elif rule.frequency == "MONTHLY":
        passed = (moment.year - first.year) * 12 + moment.month - first.month
    elif rule.frequency == "WEEKLY":
        passed = (moment.toordinal() - _week_start(first.date(), rule.week_start)) // 7
    else:
        passed = moment.toordinal() - first.toordinal()
    return passed // rule.interval


def _days_of(rule: Rule, first: datetime, period: int) -> tuple[int, int] | None:
    """Return the ordinals [from, to) of the days of a period, None past the end of the calendar."""
    step = period * rule.interval
    if rule.frequency == "YEARLY":
        year = first.year + step
        return (date(year, 1, 1).toordinal(), date(year, 12, 31).toordinal() + 1) if year <= date.max.year else None
    if rule.frequency == "MONTHLY":
        year, month = divmod(first.year * 12 + first.month - 1 + step, 12)
        if year > date.max.year:
            return None
        start = date(year, month + 1, 1).toordinal()
        return start, start + monthrange(year, month + 1)[1]
    if rule.frequency == "WEEKLY":
        start, days = _week_start(first.date(), rule.week_start) + 7 * step, 7
    else:
        start, days = first.toordinal() + step, 1
    end = min(start + days, date.max.toordinal() + 1)
    return (max(start, 1), end) if start < end else None


def _week_start(day: date, week_start: int) -> int:
    """Return the ordinal of the first day of the week that holds the day."""
    return day.toordinal() - (day.weekday() - week_start) % 7


def _fits(rule: Rule, day: date) -> bool:
    """Return whether the day passes every BY part that speaks of days."""
    if rule.months and day.month not in rule.months:
        return False
    if rule.month_days and not _either(day.day, monthrange(day.year, day.month)[1], rule.month_days):
        return False
    if rule.year_days and not _either(_day_of_year(day), 365 + isleap(day.year), rule.year_days):
        return False
    if rule.weeks and not _either(*_week_of(day, rule.week_start), rule.weeks):
        return False
    return not rule.weekdays or any(
        day.weekday() == weekday and (n == 0 or n in _places(rule, day)) for n, weekday in rule.weekdays
    )


def _either(number: int, most: int, wanted: frozenset[int]) -> bool:
    """Return whether a number counted from the start, or the same counted back from the end, is wanted."""
    return number in wanted or number - most - 1 in wanted


def _day_of_year(day: date) -> int:
    """Return 1 for 1 January."""
    return day.toordinal() - date(day.year, 1, 1).toordinal() + 1


def _week_of(day: date, week_start: int) -> tuple[int, int]:
    """Return the number of the day's week and how many its year has. Week 1 is the first with four days in the year."""
    middle = _week_start(day, week_start) + 3
    year = date.fromordinal(middle).year
    first_middle = _week_start(date(year, 1, 4), week_start) + 3
    last_middle = _week_start(date(year, 12, 28), week_start) + 3
    return (middle - first_middle) // 7 + 1, (last_middle - first_middle) // 7 + 1


def _places(rule: Rule, day: date) -> tuple[int, ...]:
    """Return the day's place among its weekday in the month, or in the year, from the start and from the end."""
    if rule.frequency == "MONTHLY" or (rule.frequency == "YEARLY" and rule.months):
        number, most = day.day, monthrange(day.year, day.month)[1]
    elif rule.frequency == "YEARLY":
        number, most = _day_of_year(day), 365 + isleap(day.year)
    else:  # a number before a weekday means nothing in shorter periods, and is passed over as others do
        return tuple(n for n, _ in rule.weekdays)
    return (number - 1) // 7 + 1, -((most - number) // 7) - 1


def _chosen(rule: Rule, times: list[datetime]) -> list[datetime]:
    """Return the times of one period that BYSETPOS picks."""
    if not rule.positions:
        return times
    return [at for place, at in enumerate(times, 1) if _either(place, len(times), rule.positions)]


def _within_days(rule: Rule, first: datetime, low: datetime, high: datetime, budget: Budget) -> Iterator[datetime]:
    """Yield what HOURLY, MINUTELY and SECONDLY rules give, leaping over days, hours and minutes that cannot fit."""
    base = first.replace(second=0 if rule.frequency != "SECONDLY" else first.second)
    base = base.replace(minute=0) if rule.frequency == "HOURLY" else base
    step = timedelta(seconds=UNIT_SECONDS[rule.frequency] * rule.interval)
    number = max(0, (low - base) // step)
    while (high - base) // step >= number:
        at = base + number * step
        budget.spend(1)
        leap: timedelta | None = None
        if not _fits(rule, at.date()):
            leap = timedelta(days=1) - (at - datetime.combine(at.date(), time()))
        elif rule.hours and at.hour not in rule.hours:
            leap = timedelta(hours=1) - timedelta(minutes=at.minute, seconds=at.second)
        elif rule.frequency != "HOURLY" and rule.minutes and at.minute not in rule.minutes:
            leap = timedelta(minutes=1) - timedelta(seconds=at.second)
        elif rule.frequency == "SECONDLY" and rule.seconds and at.second not in rule.seconds:
            leap = step
        if leap is not None:
            number += max(1, -(-leap // step))
            continue
        minutes = sorted(rule.minutes) if rule.frequency == "HOURLY" else [at.minute]
        seconds = sorted(rule.seconds) if rule.frequency != "SECONDLY" else [at.second]
        budget.spend(len(minutes) * len(seconds))
        yield from _chosen(rule, [at.replace(minute=m, second=s) for m in minutes for s in seconds])
        number += 1
