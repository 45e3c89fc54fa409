"""Time zones: what a TZID means, wall-clock times as instants, and the days of a household.

A wall-clock time that a change of clocks skips is read with the offset before the change, so it moves forward; one
that happens twice is the first of the two (RFC 5545, 3.3.5).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cache, lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from calendars.text import clean

_LONGEST_NAME = 200


def instant(local: datetime, zone: ZoneInfo) -> datetime:
    """Return the UTC instant of a wall-clock time (naive) in a zone."""
    return local.replace(tzinfo=zone, fold=0).astimezone(UTC)


def wall_clock(moment: datetime, zone: ZoneInfo) -> datetime:
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


@dataclass(frozen=True)
class ZoneChoice:
    """The zone taken for a TZID; `assumed` continues “this event …” for the family where it is a guess, else ""."""

    zone: ZoneInfo
    assumed: str = ""


def lookup(tzid: str, fallback: ZoneInfo) -> ZoneChoice:
    """Return the zone a TZID stands for, `fallback` with a reason where nobody can know.

    Known are IANA names in any case, Windows' names, and ids with a maker's prefix ("/maker/Europe/Berlin").
    """
    zone = _known(tzid.strip().strip('"')) if len(tzid) <= _LONGEST_NAME else None
    if zone is not None:
        return ZoneChoice(zone)
    return ZoneChoice(fallback, f"names a time zone that is not known, “{clean(tzid, 60)}”; read as {fallback.key}")


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
