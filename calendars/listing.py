"""What was understood of a calendar, for a person to read and for a program: days, busy times, what was odd."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, time, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from calendars.availability import busy_spans, is_busy
from calendars.event import Event, Oddity, OddityKind, Reading
from calendars.intervals import clip
from calendars.text import clean
from calendars.zones import local_midnights, wall_clock

SCHEMA = "calendars/reading/1"
"""Name and version of what `as_json` returns; `calendars.schema` describes it."""

_TITLE = re.compile(r"(“.*?”|an event without a title) (.*)", re.DOTALL)
_COUNTED: tuple[tuple[OddityKind, str, str], ...] = (
    ("left out", "thing left out", "things left out"),
    ("assumed", "thing assumed", "things assumed"),
)
_KINDS = {"left out": "LEFT OUT", "assumed": "ASSUMED, or odd", "translated": "TIME ZONES known by other names"}


def as_json(reading: Reading, name: str, window: tuple[datetime, datetime], zone: ZoneInfo) -> dict[str, Any]:
    """Return a reading as plain JSON values; instants in UTC."""
    return {
        "schema": SCHEMA,
        "calendar": clean(name),
        "zone": zone.key,
        "from": _utc(window[0]),
        "until": _utc(window[1]),
        "events": [_event(event) for event in reading.events],
        "busy": [{"start": _utc(start), "end": _utc(end)} for start, end in _busy(reading.events, window)],
        "oddities": oddities_json(reading.oddities),
    }


def oddities_json(oddities: Iterable[Oddity]) -> list[dict[str, str]]:
    """Return oddities as plain JSON values."""
    return [
        {
            "calendar": clean(odd.source),
            "file": clean(odd.file),
            "uid": clean(odd.uid, 1000),
            "kind": odd.kind,
            "reason": clean(odd.reason),
        }
        for odd in oddities
    ]


def _event(event: Event) -> dict[str, Any]:
    return {
        "key": event.key,
        "uid": event.uid,
        "recurrence_id": event.recurrence_id,
        "component": event.component,
        "summary": event.summary,
        "description": event.description,
        "location": event.location,
        "categories": list(event.categories),
        "start": _utc(event.start),
        "end": _utc(event.end),
        "all_day": event.all_day,
        "busy": is_busy(event),
        "transparent": event.transparent,
        "status": event.status,
        "busy_status": event.busy_status,
        "attendees": [{"address": who.address, "name": who.name, "partstat": who.partstat} for who in event.attendees],
        "organizer": event.organizer,
    }


def _utc(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _busy(events: Iterable[Event], window: tuple[datetime, datetime]) -> tuple[tuple[datetime, datetime], ...]:
    """Return the time the events take, for somebody of whom nothing is known."""
    return clip(busy_spans(event for event in events if is_busy(event)), *window)


def lines(reading: Reading, name: str, window: tuple[datetime, datetime], zone: ZoneInfo) -> Iterator[str]:
    """Yield the events by local day, the busy time of each day, and what was odd."""
    first, last = (wall_clock(edge, zone).date() for edge in (window[0], window[1] - timedelta(microseconds=1)))
    yield f"{clean(name, 60)}: {first} to {last}, times of {zone.key}"
    midnights = local_midnights(zone, first, (last - first).days + 1)
    busy = _busy(reading.events, window)
    if not reading.events:
        yield "Nothing in these days."
    for start, end in pairwise(midnights):
        here = [event for event in reading.events if _first_seen(event, midnights[0]) < end]
        here = [event for event in here if _first_seen(event, midnights[0]) >= start]
        taken = clip(busy, start, end)
        if here or taken:
            yield f"{wall_clock(start, zone):%A} {wall_clock(start, zone).day} {wall_clock(start, zone):%B %Y}"
            yield from (f"  {_when(event, zone):<22} {_what(event)}" for event in here)
        if taken:
            yield f"  busy: {', '.join(_hours(*span, zone, end) for span in taken)}"
    yield from oddity_lines(reading.oddities)


def _first_seen(event: Event, first: datetime) -> datetime:
    """Return the moment by which an event is put under a day."""
    return max(event.start, first)


def _when(event: Event, zone: ZoneInfo) -> str:
    start, end = wall_clock(event.start, zone), wall_clock(event.end, zone)
    if event.all_day:
        last = end.date() - timedelta(days=1)
        return "all day" if last <= start.date() else f"{start.day} {start:%b} to {last.day} {last:%b}"
    if start == end:
        return f"{start:%H:%M}"
    if end - start < timedelta(days=1):
        return f"{start:%H:%M}-{end:%H:%M}"
    return f"{start.day} {start:%b %H:%M}-{end.day} {end:%b %H:%M}"


def _what(event: Event) -> str:
    """Return the title, the place, and whatever makes the event an unusual one."""
    marks = [
        event.status.lower() if event.status != "CONFIRMED" else "",
        "" if is_busy(event) or event.cancelled else "takes nobody's time",
        "repeats" if event.recurrence_id and event.component == "VEVENT" else "",
    ]
    place = f" ({clean(event.location, 40)})" if event.location else ""
    said = ", ".join(mark for mark in marks if mark)
    return f"{clean(event.summary, 60) or '(no title)'}{place}{f' [{said}]' if said else ''}"


def _hours(start: datetime, end: datetime, zone: ZoneInfo, midnight: datetime) -> str:
    last = "24:00" if end == midnight else f"{wall_clock(end, zone):%H:%M}"
    whole = last == "24:00" and wall_clock(start, zone).time() == time()
    return "all day" if whole else f"{wall_clock(start, zone):%H:%M}-{last}"


def oddity_lines(oddities: Iterable[Oddity], most: int = 3) -> Iterator[str]:
    """Yield what was odd, by what came of it; of what is said of many events, the first few and how many more."""
    known = list(oddities)
    for kind, heading in _KINDS.items():
        alike: dict[tuple[str, str, str], list[str]] = {}
        for odd in known:
            if odd.kind == kind:
                title, said = match.groups() if (match := _TITLE.fullmatch(odd.reason)) else ("", odd.reason)
                about = f"{title} ({clean(odd.uid, 80)})" if odd.uid else title
                alike.setdefault((odd.source, odd.file, said), []).append(about)
        if alike:
            yield f"{heading}:"
        for (source, file, said), those in alike.items():
            where = clean(source, 60) if file in ("", source) else f"{clean(source, 60)}, {clean(file, 120)}"
            named = ", ".join(clean(about) for about in those[:most] if about)
            rest = f" and {len(those) - most} more" if len(those) > most else ""
            yield f"  {where}: {f'{named}{rest} ' if named else ''}{clean(said)}"


def counted(oddities: Iterable[Oddity]) -> str:
    """Return "2 events left out, 3 things assumed"; "" where nothing is in doubt."""
    count = Counter(odd.kind for odd in oddities)
    return ", ".join(
        f"{count[kind]} {one if count[kind] == 1 else many}" for kind, one, many in _COUNTED if count[kind]
    )
