"""Times that a calendar gives away without saying why: VFREEBUSY (RFC 5545, 3.6.4)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from calendars.event import Event
from calendars.screen import Block
from calendars.text import clean
from calendars.values import BadEvent, Length, Line, NoteKind, Zones, duration, moment, utc_stamp
from calendars.vevent import lines_of, uid_of

BusyType = Literal["BUSY", "BUSY-UNAVAILABLE", "BUSY-TENTATIVE"]
Window = tuple[datetime, datetime]

MOST_PERIODS = 20_000
_SAID: dict[BusyType, tuple[str, str, str]] = {  # title, STATUS and X-MICROSOFT-CDO-BUSYSTATUS of an event like it
    "BUSY": ("Busy", "CONFIRMED", "BUSY"),
    "BUSY-UNAVAILABLE": ("Not available", "CONFIRMED", "OOF"),
    "BUSY-TENTATIVE": ("Perhaps busy", "TENTATIVE", "TENTATIVE"),
}


@dataclass(frozen=True)
class Answer:
    """One VFREEBUSY: its UID, the stamp that tells which of two is newer, its busy times, and what was assumed."""

    uid: str
    version: str
    busy: tuple[tuple[datetime, datetime, BusyType], ...]
    notes: dict[str, NoteKind]


def busy_type(text: str) -> BusyType:
    """Return the kind of busy time; one that is not known is busy (RFC 5545, 3.2.9)."""
    known: dict[str, BusyType] = {each: each for each in _SAID}
    return known.get(text.strip().upper(), "BUSY")


def event(
    uid: str, start: datetime, end: datetime, kind: BusyType, source: str, *, component: str, title: str = ""
) -> Event:
    """Return a busy time as an event; its key is its UID and its start."""
    summary, status, busy_status = _SAID[kind]
    return Event(
        uid=uid,
        recurrence_id=utc_stamp(start),
        summary=title or summary,
        description="",
        location="",
        categories=(),
        start=start,
        end=end,
        status=status,
        busy_status=busy_status,
        calendar=source,
        component=component,
    )


def answer(block: Block, household: ZoneInfo, window: Window) -> Answer:
    """Return the busy times of a VFREEBUSY that touch the window. Raises BadEvent where it cannot be used."""
    zone = Zones(household, block.head.zone, block.head.definitions, window)
    single, several = lines_of(block.text, zone)
    uid = uid_of(single, block.text, zone)
    stamp = single["DTSTAMP"].value.strip() if "DTSTAMP" in single else ""
    busy = [
        (*span, busy_type(line.params.get("FBTYPE", "BUSY")))
        for line in several["FREEBUSY"]
        if line.params.get("FBTYPE", "").upper() != "FREE"
        for span in _periods(line, zone, window)
    ]
    return Answer(uid, stamp, tuple(sorted(set(busy))), zone.notes)


def _periods(line: Line, zone: Zones, window: Window) -> Iterator[tuple[datetime, datetime]]:
    """Yield the periods of a line that touch the window; whatever ended a month before is not looked at further."""
    low, high = f"{window[0] - timedelta(days=31):%Y%m%d}", f"{window[1] + timedelta(days=1):%Y%m%d}"
    values = line.value.split(",")
    if len(values) > MOST_PERIODS:
        raise BadEvent(f"has more than {MOST_PERIODS:,} periods")
    for value in values:
        first, slash, second = value.strip().upper().partition("/")
        if not slash:
            raise BadEvent(f"has a period that cannot be read ({clean(value, 40)})")
        lasts = second.lstrip("+-").startswith("P")
        last = high if lasts else second[:8]
        if not (last >= low and first[:8] <= high):
            continue
        start = moment(Line(line.params, first), zone).instant
        length = duration(second) if lasts else None
        end = start + _exact(length) if length else moment(Line(line.params, second), zone).instant
        if end <= start:
            raise BadEvent(f"has a period that ends before it starts ({clean(value, 40)})")
        if start < window[1] and window[0] < end:
            yield start, end


def _exact(length: Length) -> timedelta:
    return timedelta(days=length.days) + length.exact
