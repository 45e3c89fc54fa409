"""Time zones: what a TZID means, wall-clock times as instants, and the days of a household.

A wall-clock time that a change of clocks skips is read with the offset before the change, so it moves forward; one
that happens twice is the first of the two (RFC 5545, 3.3.5).
"""

from __future__ import annotations

import os
from bisect import bisect_right
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import cache, lru_cache
from pathlib import Path
from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from calendars.text import clean

_LONGEST_NAME = 200


class FileZone(tzinfo):
    """A zone by its changes of offset: when (naive UTC), from and to which offset. Before the first, its `from`."""

    def __init__(self, key: str, changes: tuple[tuple[datetime, timedelta, timedelta], ...]) -> None:
        self.key = key
        self._changes = changes
        self._instants = [at for at, _, _ in changes]
        self._firsts = [at + max(before, after) for at, before, after in changes]
        self._seconds = [at + min(before, after) for at, before, after in changes]

    def _offset(self, changed: int) -> timedelta:
        return self._changes[changed - 1][2] if changed else self._changes[0][1]

    def utcoffset(self, local: datetime | None) -> timedelta:
        """Return the offset at a wall-clock time: where there are two, the first; where there is none, that before."""
        if local is None:
            return self._offset(len(self._changes))
        edges = self._seconds if local.fold else self._firsts
        return self._offset(bisect_right(edges, local.replace(tzinfo=None)))

    def dst(self, _: datetime | None) -> None:
        """Return None: not known."""
        return

    def tzname(self, _: datetime | None) -> str:
        """Return the name the file gives it."""
        return self.key

    def fromutc(self, instant: datetime) -> datetime:
        """Return the wall-clock time at an instant (naive UTC but for its tzinfo)."""
        at = instant.replace(tzinfo=None)
        changed = bisect_right(self._instants, at)
        local = at + self._offset(changed)
        second = changed > 0 and local < self._firsts[changed - 1]
        return local.replace(tzinfo=self, fold=int(second))


Zone = ZoneInfo | FileZone


def instant(local: datetime, zone: Zone) -> datetime:
    """Return the UTC instant of a wall-clock time (naive) in a zone."""
    return local.replace(tzinfo=zone, fold=0).astimezone(UTC)


def wall_clock(moment: datetime, zone: Zone) -> datetime:
    """Return what the clock on the wall shows (naive) at an instant."""
    return moment.astimezone(zone).replace(tzinfo=None, fold=0)


def local_midnights(zone: ZoneInfo, first: date, days: int) -> tuple[datetime, ...]:
    """Return the midnights that bound `days` local days from `first` on, in UTC: days + 1 of them, 23 to 25 h apart."""
    return tuple(instant(datetime.combine(first + timedelta(days=n), time()), zone) for n in range(days + 1))


def day_span(opens: str, closes: str, zone: ZoneInfo, day: date) -> tuple[datetime, datetime]:
    """Return the UTC span of a wall-clock span ("17:30", "21:30") on a local day.

    "24:00" is the end of the day; a closing time at or before the opening one lies on the next day. Raises ValueError
    for anything that is not HH:MM.
    """
    start, end = _minutes(opens), _minutes(closes)
    if end <= start:
        end += 24 * 60
    return _at(day, start, zone), _at(day, end, zone)


def _minutes(text: str) -> int:
    """Return the minutes since midnight of "HH:MM", up to 24:00."""
    hours, colon, minutes = text.partition(":")
    if not (colon and hours.isdecimal() and minutes.isdecimal() and len(hours) <= 2 and len(minutes) == 2):
        raise ValueError(f'"{text}" is not a time of day; write it like "17:30"')
    total = int(hours) * 60 + int(minutes)
    if int(minutes) > 59 or total > 24 * 60:
        raise ValueError(f'"{text}" is not a time of day; write it between "00:00" and "24:00"')
    return total


def _at(day: date, minutes: int, zone: ZoneInfo) -> datetime:
    """Return the instant at which the wall clock shows this many minutes after the day's midnight."""
    return instant(datetime.combine(day, time()) + timedelta(minutes=minutes), zone)


def here() -> str:
    """Return the name of the zone of this machine, "UTC" where it does not say."""
    said = os.environ.get("TZ", "").lstrip(":")
    linked = str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]
    return next((name for name in (said, linked) if name and lookup(name, ZoneInfo("UTC")).kind != "assumed"), "UTC")


@dataclass(frozen=True)
class ZoneChoice:
    """The zone taken for a TZID, and what to tell of it, "" for nothing.

    kind: "assumed" where it is a guess, and `told` continues “this event …”; "translated" where it is known by another
    name, and `told` is a sentence about the whole file.
    """

    zone: Zone
    told: str = ""
    kind: Literal["assumed", "translated"] = "translated"


def lookup(tzid: str, fallback: Zone) -> ZoneChoice:
    """Return the zone a TZID stands for, `fallback` with a reason where nobody can know.

    Known are IANA names in any case, Windows' names, and ids with a maker's prefix ("/maker/Europe/Berlin").
    """
    name = tzid.strip().strip('"')
    zone = _known(name) if len(tzid) <= _LONGEST_NAME else None
    if zone is None:
        told = f"names a time zone that is not known, “{clean(tzid, 60)}”; read as {fallback.key}"
        return ZoneChoice(fallback, told, "assumed")
    if zone.key.casefold() == name.casefold():
        return ZoneChoice(zone)
    return ZoneChoice(zone, f"the time zone “{clean(name, 60)}” is {zone.key}")


@lru_cache(maxsize=512)  # bounded: the names come from untrusted files
def _known(name: str) -> ZoneInfo | None:
    """Return the zone of a name, None if there is no such zone."""
    parts = [part for part in name.split("/") if part]
    endings = ["/".join(parts[at:]) for at in range(len(parts))]
    for ending in endings:
        try:
            return ZoneInfo(ending)
        except (ZoneInfoNotFoundError, ValueError, OSError):  # OSError: the name of a folder of zones
            continue
    from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON  # 139 names, read only when needed

    spelled = next((_by_lower_case()[each.casefold()] for each in endings if each.casefold() in _by_lower_case()), None)
    spelled = spelled or WINDOWS_TO_OLSON.get(name)
    return ZoneInfo(spelled) if spelled else None


@cache
def _by_lower_case() -> dict[str, str]:
    """Return every IANA name by its lower-case form."""
    return {name.casefold(): name for name in available_timezones()}
