"""Reads iCalendar text into events for a window. Whatever had to be assumed, mended or left out is reported."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from typing import TypeVar
from zoneinfo import ZoneInfo

from calendars.event import Event, Oddity, Reading
from calendars.recurrence import Occurrence, expand
from calendars.scan import Part, prepare
from calendars.screen import Block, Found, find
from calendars.stepping import Budget
from calendars.store import UnreadableCalendar
from calendars.text import clean
from calendars.values import BadEvent, NoteKind
from calendars.vavailability import Availability, availability, not_available
from calendars.vevent import Parsed, called, parse
from calendars.vfreebusy import Answer, answer
from calendars.vfreebusy import event as busy_event

STEPS_FOR_ALL = 1_000_000
"""Steps of expansion for one source: some three seconds. Costly series beyond it are reported, not read."""
MOST_ODDITIES = 1_000

T = TypeVar("T")


def read_calendar(data: bytes, *, source: str, zone: ZoneInfo, window: tuple[datetime, datetime]) -> Reading:
    """Return the events of a calendar that touch the window, by start.

    data: the bytes of an .ics file, one or more VCALENDARs. source: what the family calls the calendar. zone: the
    household's, for dates and for times that name no zone. window: aware, half-open. VEVENT, VFREEBUSY and
    VAVAILABILITY are read; tasks and journals are nobody's time. Raises UnreadableCalendar where the data is no whole
    calendar; a single bad event is left out and reported.
    """
    return read_parts([(source, data)], source=source, zone=zone, window=window)


def read_parts(
    parts: Sequence[tuple[str, bytes]], *, source: str, zone: ZoneInfo, window: tuple[datetime, datetime]
) -> Reading:
    """Return the events of a calendar kept in several parts (label, bytes), as a folder or a server gives them.

    A part that is no whole calendar is reported; where none is, or there is only one, UnreadableCalendar is raised.
    """
    reader = _Reader(source, zone, window)
    whole: list[Part] = []
    failed: list[UnreadableCalendar] = []
    for label, data in parts:
        try:
            part = prepare(data, label)
        except UnreadableCalendar as error:
            failed.append(UnreadableCalendar(f"{label} {error}"))
            reader.oddities.append(Oddity(source, "", f"{label} {error}", label, "left out"))
            continue
        whole.append(part)
        reader.oddities += [Oddity(source, "", f"{label} {reason}", label) for reason in part.odd]
    if failed and not whole:
        raise failed[0]
    try:
        found = find(whole, window)
    except UnreadableCalendar as error:
        raise UnreadableCalendar(f"{source} {error}") from None
    return reader.read(found)


@dataclass
class _Reader:
    """Reads what was found in one calendar, and notes what was odd."""

    source: str
    zone: ZoneInfo
    window: tuple[datetime, datetime]
    oddities: list[Oddity] = field(default_factory=list)
    budget: Budget = field(default_factory=lambda: Budget(STEPS_FOR_ALL))

    def read(self, found: Found) -> Reading:
        """Return the events of all components, and every oddity."""
        for number, what in (
            (found.unclosed, "event(s) without an end"),
            (found.others, "free-busy answers or availabilities too many or without an end"),
        ):
            if number > 0:
                reason = f"{self.source} has {number:,} {what}; they are left out"
                self.oddities.append(Oddity(self.source, "", reason, kind="left out"))
        events = [*self._events(found.events), *self._free_busy(found.free_busy), *self._not_available(found)]
        events.sort(key=lambda event: (event.start, event.end, event.key))
        kept = list(dict.fromkeys(self.oddities))
        if len(kept) > MOST_ODDITIES:
            reason = f"{len(kept) - MOST_ODDITIES:,} more oddities are not listed"
            kept[MOST_ODDITIES:] = [Oddity(self.source, "", reason)]
        return Reading(tuple(events), tuple(kept))

    def _events(self, blocks: Iterable[Block]) -> Iterable[Event]:
        series: dict[str, list[tuple[Block, Parsed, Mapping[str, NoteKind]]]] = {}
        for block in blocks:
            if got := self._tried(block, lambda block: parse(block, self.zone, self.window)):
                series.setdefault(got[0].uid, []).append((block, *got))
        for versions in series.values():
            block, parsed, _ = versions[0]
            those = [each for _, each, _ in versions]
            expanded = self._tried(block, partial(self._expanded, those))
            if expanded is None or not expanded[0]:
                continue  # what was assumed about days that nobody asked for is of no use to anybody
            for each, said, notes in versions:
                self._note(each, said.uid, parsed.title, notes)
            self._note(block, parsed.uid, parsed.title, dict.fromkeys(expanded[1], "assumed"))
            yield from (_event(occurrence, self.source) for occurrence in expanded[0])

    def _expanded(self, versions: Sequence[Parsed], _: Block) -> tuple[tuple[Occurrence, ...], tuple[str, ...]]:
        return expand(versions, self.window, self.budget)

    def _free_busy(self, blocks: Iterable[Block]) -> Iterable[Event]:
        newest: dict[str, tuple[Block, Answer]] = {}
        for block in blocks:
            got = self._tried(block, lambda block: answer(block, self.zone, self.window))
            if got and (got.uid not in newest or newest[got.uid][1].version <= got.version):
                newest[got.uid] = (block, got)
        for block, got in newest.values():
            if got.busy:
                self._note(block, got.uid, "free-busy times", got.notes)
            for start, end, kind in got.busy:
                yield busy_event(got.uid, start, end, kind, self.source, component="VFREEBUSY")

    def _not_available(self, found: Found) -> Iterable[Event]:
        known: list[Availability] = []
        for block in found.availability:
            got = self._tried(block, lambda block: availability(block, self.zone, self.window, self.budget))
            if got:
                known.append(got)
                self._note(block, got.uid, got.title or "an availability", got.notes)
        for busy in not_available(known, self.window):
            uid, kind, title = busy.said.uid, busy.said.kind, busy.said.title
            yield busy_event(uid, busy.start, busy.end, kind, self.source, component="VAVAILABILITY", title=title)

    def _tried(self, block: Block, work: Callable[[Block], T]) -> T | None:
        """Return what the work gives; where it fails, note that the component is left out."""
        try:
            return work(block)
        except (BadEvent, OverflowError, ValueError) as error:
            uid, title = called(block)
            reason = str(error) if isinstance(error, BadEvent) else "has a date outside the calendar"
            said = f"{_named(title)} {reason}; it is left out"
            self.oddities.append(Oddity(self.source, uid, said, block.head.label, "left out"))
            return None

    def _note(self, block: Block, uid: str, title: str, notes: Mapping[str, NoteKind]) -> None:
        for note, kind in notes.items():
            if kind == "translated":
                self.oddities.append(Oddity(self.source, "", note, block.head.label, kind))
            else:
                self.oddities.append(Oddity(self.source, uid, f"{_named(title)} {note}", block.head.label, kind))


def _named(title: str) -> str:
    """Return how an oddity calls an event."""
    return f"“{clean(title, 60)}”" if title else "an event without a title"


def _event(occurrence: Occurrence, source: str) -> Event:
    """Return an occurrence as the rest of the program knows it."""
    said = occurrence.said
    return Event(
        uid=said.uid,
        recurrence_id=occurrence.recurrence_id,
        summary=said.title,
        description=said.description,
        location=said.location,
        categories=said.categories,
        start=occurrence.start,
        end=occurrence.end,
        all_day=said.start.all_day,
        transparent=said.transparent,
        status=said.status,
        busy_status=said.busy_status,
        attendees=said.attendees,
        organizer=said.organizer,
        calendar=source,
    )
