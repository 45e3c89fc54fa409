"""When somebody may be asked at all: VAVAILABILITY and its AVAILABLE times (RFC 7953).

Within its span a VAVAILABILITY is busy, by its BUSYTYPE, except for its AVAILABLE times. One of higher priority takes
the place of others within its own span; among equals BUSY comes before BUSY-UNAVAILABLE before BUSY-TENTATIVE. Where
two agree in both, whatever either of them calls busy is busy.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import groupby
from zoneinfo import ZoneInfo

from calendars.intervals import clip, subtract, union
from calendars.recurrence import expand
from calendars.screen import Block
from calendars.stepping import Budget
from calendars.text import clean
from calendars.values import BadEvent, NoteKind, Zones, moment
from calendars.vevent import Parsed, length_of, lines_of, parse, text_of, uid_of
from calendars.vfreebusy import BusyType, Window, busy_type

MOST_TIMES = 500
_TIMES = re.compile(r"^BEGIN:AVAILABLE[ \t]*\n(.*?)^END:AVAILABLE[ \t]*$", re.IGNORECASE | re.MULTILINE | re.DOTALL)
_ORDER: tuple[BusyType, ...] = ("BUSY-TENTATIVE", "BUSY-UNAVAILABLE", "BUSY")
Spans = tuple[tuple[datetime, datetime], ...]


@dataclass(frozen=True)
class Availability:
    """One VAVAILABILITY around a window: within `span`, all but `free` is busy. rank: what counts before what."""

    uid: str
    title: str
    kind: BusyType
    rank: tuple[int, int]
    span: tuple[datetime, datetime]
    free: Spans
    notes: dict[str, NoteKind] = field(default_factory=dict)


@dataclass(frozen=True)
class Busy:
    """A time that is not available, and what says so."""

    start: datetime
    end: datetime
    said: Availability


def availability(block: Block, household: ZoneInfo, window: Window, budget: Budget) -> Availability:
    """Return a VAVAILABILITY as far as it touches the window. Raises BadEvent where it cannot be used."""
    zone = Zones(household, block.head.zone, block.head.definitions, window)
    single, _ = lines_of(block.text, zone)
    kind = busy_type(single["BUSYTYPE"].value if "BUSYTYPE" in single else "BUSY-UNAVAILABLE")
    start, end = window
    if "DTSTART" in single:
        begin = moment(single["DTSTART"], zone)
        start = begin.instant
        if "DTEND" in single or "DURATION" in single:
            end = length_of(single, begin, zone).after(begin.local, begin.zone)
    elif "DTEND" in single:
        end = moment(single["DTEND"], zone).instant
    if block.text.upper().count("BEGIN:AVAILABLE") > MOST_TIMES:
        raise BadEvent(f"has more than {MOST_TIMES} times of being available")
    times = _TIMES.findall(block.text)
    free = _free([Block(text, block.head) for text in times], household, window, budget, zone)
    return Availability(
        uid=uid_of(single, block.text, zone),
        title=clean(text_of(single.get("SUMMARY"))),
        kind=kind,
        rank=(_priority(single["PRIORITY"].value if "PRIORITY" in single else ""), _ORDER.index(kind)),
        span=(max(start, window[0]).astimezone(UTC), min(end, window[1]).astimezone(UTC)),
        free=free,
        notes=zone.notes,
    )


def _priority(text: str) -> int:
    """Return how much a PRIORITY counts: 0 for none, 9 for 1, the highest."""
    value = int(text) if re.fullmatch(r"\s*[0-9]\s*", text) else 0
    return 10 - value if value else 0


def _free(blocks: Iterable[Block], household: ZoneInfo, window: Window, budget: Budget, zone: Zones) -> Spans:
    """Return the times the AVAILABLE parts name, each a series of its own."""
    series: dict[str, list[Parsed]] = {}
    for block in blocks:
        parsed, notes = parse(block, household, window)
        series.setdefault(parsed.uid, []).append(parsed)
        for note, kind in notes.items():
            zone.note(note, kind)
    found: list[tuple[datetime, datetime]] = []
    for versions in series.values():
        occurrences, assumed = expand(versions, window, budget)
        found += [(each.start, each.end) for each in occurrences if each.said.status != "CANCELLED"]
        for note in assumed:
            zone.note(note)
    return union(found)


def not_available(those: Iterable[Availability], window: Window) -> tuple[Busy, ...]:
    """Return the busy times of all VAVAILABILITYs of one calendar together, within the window, by start."""
    busy: list[Busy] = []
    for _, group in groupby(sorted(those, key=lambda each: each.rank), key=lambda each: each.rank):
        equals = [each for each in group if each.span[0] < each.span[1]]
        whole = union(each.span for each in equals)
        busy = [
            Busy(start, end, each.said) for each in busy for start, end in subtract([(each.start, each.end)], whole)
        ]
        taken: Spans = ()
        for each in equals:
            own = subtract(subtract([each.span], each.free), taken)
            busy += [Busy(start, end, each) for start, end in own]
            taken = union(taken, own)
    inside = [Busy(start, end, each.said) for each in busy for start, end in clip([(each.start, each.end)], *window)]
    return tuple(sorted(inside, key=lambda each: each.start))
