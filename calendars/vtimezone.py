"""Time zones that a calendar brings along: VTIMEZONE (RFC 5545, 3.6.5), and when to believe it.

A name of the time zone database counts before what a file says of it: files keep the rules of the day they were made.
A name nobody knows is what its file says it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache

from calendars import zones
from calendars.rules import BadRule, parse_rule
from calendars.stepping import Budget, TooMuchWork, starts
from calendars.text import clean
from calendars.zones import FileZone, Zone, ZoneChoice

STEPS_FOR_A_ZONE = 12_000
"""A zone of two rules takes some 5,000 for the years that are looked at."""
_BEGIN = re.compile(r"^BEGIN:(?=STANDARD|DAYLIGHT)", re.IGNORECASE | re.MULTILINE)
_LINE = re.compile(r"^(DTSTART|TZOFFSETFROM|TZOFFSETTO|RRULE|RDATE)(?:;[^:\n]*)?:(.*)$", re.IGNORECASE | re.MULTILINE)
_OFFSET = re.compile(r"([+-])(\d\d)(\d\d)(\d\d)?", re.ASCII)
_STAMP = re.compile(r"\d{8}T\d{6}Z?", re.ASCII)


class BadZone(ValueError):
    """The VTIMEZONE cannot be used."""


@dataclass(frozen=True)
class _Part:
    """One STANDARD or DAYLIGHT."""

    start: datetime
    before: timedelta
    after: timedelta
    rules: tuple[str, ...]
    dates: tuple[datetime, ...]


def file_zone(key: str, text: str, first: int, last: int) -> FileZone:
    """Return the zone of the lines of a VTIMEZONE, right in the years from `first` to `last`. Raises BadZone."""
    low, high = (datetime.combine(day, time()) for day in (date(first, 1, 1), date(last, 12, 31)))
    budget = Budget(STEPS_FOR_A_ZONE)
    changes = set()
    try:
        for piece in _BEGIN.split(text)[1:]:
            part = _part(piece)
            for local in (part.start, *part.dates, *_repeated(part, low, high, budget)):
                changes.add((local - part.before, part.before, part.after))
    except (BadRule, TooMuchWork, ValueError, OverflowError, KeyError) as error:
        raise BadZone from error
    if not changes:
        raise BadZone
    return FileZone(key, tuple(sorted(changes)))


def _part(text: str) -> _Part:
    """Return a STANDARD or DAYLIGHT as data. Raises ValueError or KeyError."""
    said: dict[str, list[str]] = {}
    for name, value in _LINE.findall(text):
        said.setdefault(name.upper(), []).append(value.strip().upper())
    dates = [_stamp(value) for line in said.get("RDATE", ()) for value in line.split(",")[:1000]]
    before, after = (_offset(said[name][0]) for name in ("TZOFFSETFROM", "TZOFFSETTO"))
    return _Part(_stamp(said["DTSTART"][0]), before, after, tuple(said.get("RRULE", ())[:10]), tuple(dates))


def _repeated(part: _Part, low: datetime, high: datetime, budget: Budget) -> Iterator[datetime]:
    """Yield the wall-clock times (by the offset before) at which the rules of a part change the offset."""
    for text in part.rules:
        rule = parse_rule(text)
        until = None
        if rule.until:
            until = _stamp(rule.until.ljust(15, "0") if "T" in rule.until else f"{rule.until}T235959")
            until += part.before if rule.until.endswith("Z") else timedelta()
            if until < low:  # the last it did, to the day, as long as nobody looks so far back
                yield max(until, part.start)
        yield from starts(rule, part.start, low, high, until, budget)


def _stamp(text: str) -> datetime:
    """Return a time as it is written, whatever its zone."""
    if not _STAMP.fullmatch(text):
        raise BadZone
    return datetime.fromisoformat(text[:15])


def _offset(text: str) -> timedelta:
    match = _OFFSET.fullmatch(text)
    if match is None:
        raise BadZone
    length = timedelta(hours=int(match[2]), minutes=int(match[3]), seconds=int(match[4] or 0))
    if length >= timedelta(days=1):
        raise BadZone
    return -length if match[1] == "-" else length


def decide(tzid: str, definitions: Mapping[str, str], household: Zone, window: tuple[datetime, datetime]) -> ZoneChoice:
    """Return the zone a TZID stands for in a file, right around the window, and what was assumed."""
    name = tzid.strip().strip('"')
    text = definitions.get(name)
    return zones.lookup(name, household) if text is None else _decided(name, text, household, window)


@lru_cache(maxsize=512)  # bounded: the texts come from untrusted files
def _decided(name: str, text: str, household: Zone, window: tuple[datetime, datetime]) -> ZoneChoice:
    choice = zones.lookup(name, household)
    try:
        own = file_zone(clean(name, 60), text, max(window[0].year - 5, 1), min(window[1].year + 2, 9998))
    except BadZone:
        return choice
    if choice.kind == "assumed":
        told = f"“{clean(name, 60)}” is a time zone of this file alone; its own rules are followed"
        return ZoneChoice(own, told, "translated")
    if _differ(choice.zone, own, window):
        told = (
            f"gives the time zone “{clean(name, 60)}” other rules than it has; those of {choice.zone.key} are followed"
        )
        return ZoneChoice(choice.zone, told, "assumed")
    return choice


def _differ(one: Zone, other: Zone, window: tuple[datetime, datetime]) -> bool:
    """Return whether two zones show different times at noon of any of the days, the first hundred of them."""
    days = min((window[1] - window[0]).days + 2, 100)
    noons = (datetime(*window[0].timetuple()[:3], 12, tzinfo=UTC) + timedelta(days=day) for day in range(days))
    return any(zones.wall_clock(noon, one) != zones.wall_clock(noon, other) for noon in noons)
