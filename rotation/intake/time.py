"""The plan's clock: instants as minutes, local days, and wall-clock hours as spans over changes of clocks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from calendars.intervals import clip, union
from calendars.zones import instant, local_midnights
from rotation.household.values import DayOrMoment, WeekHours, first_moment, last_moment
from rotation.problem import GRID, Spans, Steps

Hours = tuple[int, int]
"""Wall-clock minutes after the midnight of a day, from and until; past 1440 on the next day."""


@dataclass(frozen=True)
class Clock:
    """Minutes since `zero` (UTC, on the planning grid) and the local days they fall on.

    midnights: local midnights in minutes, the first at or before minute 0, one more than there are days.
    """

    zero: datetime
    zone: ZoneInfo
    midnights: tuple[int, ...]

    @classmethod
    def of(cls, start: datetime, zone: ZoneInfo, days: int) -> Clock:
        """Return the clock of a plan over `days` local days from the day that holds `start` (aware).

        Zero is `start`, or the next minute of the planning grid by the wall clock.
        """
        local = start.astimezone(zone)
        past = (local.minute % GRID) * 60 + local.second + local.microsecond / 1_000_000
        zero = start.astimezone(UTC) + timedelta(seconds=(GRID * 60 - past) if past else 0)
        midnights = local_midnights(zone, zero.astimezone(zone).date(), days)
        return cls(zero, zone, tuple(_floor(midnight - zero) for midnight in midnights))

    def shortened(self, days: int) -> Clock:
        """Return the same clock over fewer days."""
        return Clock(self.zero, self.zone, self.midnights[: days + 1])

    @property
    def end(self) -> int:
        """The last midnight."""
        return self.midnights[-1]

    @cached_property
    def first(self) -> date:
        """The local date of day 0."""
        return self.zero.astimezone(self.zone).date()

    @property
    def days(self) -> int:
        """How many local days there are."""
        return len(self.midnights) - 1

    @property
    def dates(self) -> tuple[date, ...]:
        """The local date of each day."""
        return tuple(self.first + timedelta(days=day) for day in range(self.days))

    def minute(self, moment: datetime) -> int:
        """Return the minute that holds an instant (aware)."""
        return _floor(moment - self.zero)

    def outwards(self, start: datetime, end: datetime) -> tuple[int, int]:
        """Return the whole minutes that a stretch of time touches: busy is rounded outwards."""
        return _floor(start - self.zero), -_floor(self.zero - end)

    def at(self, day: date, clock: int) -> int:
        """Return the minute at which the wall clock shows so many minutes after the midnight of a local day."""
        return self.minute_of(datetime.combine(day, time()) + timedelta(minutes=clock))

    def minute_of(self, moment: datetime) -> int:
        """Return the minute that holds a moment; one without an offset is wall-clock time in the plan's zone."""
        return self.minute(moment if moment.tzinfo else instant(moment, self.zone))

    def midnight(self, day: date) -> int:
        """Return the minute at which a local day starts, also outside the horizon."""
        return self.at(day, 0)

    def span(self, day: date, hours: Hours) -> tuple[int, int]:
        """Return the minutes of wall-clock hours that start on a local day."""
        return self.at(day, hours[0]), self.at(day, hours[1])

    def spans(self, hours_on: Callable[[date], Iterable[Hours]]) -> Spans:
        """Return the minutes from zero to the end that lie in the hours of their day, the evening before included."""
        days = (self.first - timedelta(days=1), *self.dates)
        return clip((self.span(day, hours) for day in days for hours in hours_on(day)), 0, self.end)

    def weekly(self, week: WeekHours) -> Spans:
        """Return the minutes from zero to the end that lie in a week's hours."""
        return self.spans(lambda day: week.on(day.weekday()))

    def clipped(self, spans: Spans) -> Spans:
        """Return the part of the spans from zero to the end."""
        return clip(spans, 0, self.end)

    def dated(self, since: DayOrMoment, until: DayOrMoment) -> tuple[int, int]:
        """Return the minutes from one day or moment to another; a day as the end is meant to its end."""
        return self.minute(first_moment(since, self.zone)), self.minute(last_moment(until, self.zone))

    def date_of(self, minute: int) -> date:
        """Return the local date of a minute."""
        return self.local(minute).date()

    def day_before(self, minute: int, days: int) -> date:
        """Return the local date so many days before the day that holds a minute."""
        return self.date_of(minute) - timedelta(days=days)

    def local(self, minute: int) -> datetime:
        """Return the local time of a minute."""
        return (self.zero + timedelta(minutes=minute)).astimezone(self.zone)

    def day(self, minute: int) -> str:
        """Return the local day of a minute as people say it: "Sat 6 Mar"."""
        local = self.local(minute)
        return f"{local:%a} {local.day} {local:%b}"


def _floor(length: timedelta) -> int:
    """Return whole minutes, rounded down."""
    return length // timedelta(minutes=1)


def steps(base: int, exceptions: Iterable[tuple[int, int, int]]) -> Steps:
    """Return a step function from minute 0: `base`, but the value of the last `(start, end, value)` that holds."""
    rules = tuple(exceptions)
    edges = sorted({0, *(edge for start, end, _ in rules for edge in (start, end) if edge > 0)})
    values = [next((value for start, end, value in reversed(rules) if start <= at < end), base) for at in edges]
    return joined(zip(edges, values, strict=True))


def joined(points: Iterable[tuple[int, int]]) -> Steps:
    """Return the same step function without steps that change nothing."""
    kept: list[tuple[int, int]] = []
    for at, value in points:
        if not kept or kept[-1][1] != value:
            kept.append((at, value))
    return tuple(kept)


def longest_gap(spans: Spans, start: int, end: int) -> int:
    """Return the most minutes in a row within `[start, end)` that no span touches."""
    edges = [start, *(edge for span in union(clip(spans, start, end)) for edge in span), end]
    return max(later - earlier for earlier, later in zip(edges[::2], edges[1::2], strict=True))
