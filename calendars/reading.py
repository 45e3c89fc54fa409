"""Reads iCalendar text into events for a window. Whatever had to be assumed, mended or left out is reported."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from calendars.event import Event, Oddity, Reading
from calendars.recurrence import Occurrence, expand
from calendars.scan import Part, prepare
from calendars.screen import find
from calendars.stepping import Budget
from calendars.store import UnreadableCalendar
from calendars.text import clean
from calendars.values import BadEvent
from calendars.vevent import Parsed, called, parse

STEPS_FOR_ALL = 1_000_000
"""Steps of expansion for one source: some three seconds. Costly series beyond it are reported, not read."""
MOST_ODDITIES = 1_000


def read_calendar(data: bytes, *, source: str, zone: ZoneInfo, window: tuple[datetime, datetime]) -> Reading:
    """Return the events of a calendar that touch the window, by start.

    data: the bytes of an .ics file, one or more VCALENDARs. source: what the family calls the calendar. zone: the
    household's, for dates and for times that name no zone. window: aware, half-open. Only VEVENTs are read.
    Raises UnreadableCalendar where the data is no whole calendar; a single bad event is left out and reported.
    """
    return read_parts([(source, data)], source=source, zone=zone, window=window)


def read_parts(
    parts: Sequence[tuple[str, bytes]], *, source: str, zone: ZoneInfo, window: tuple[datetime, datetime]
) -> Reading:
    """Return the events of a calendar kept in several parts (label, bytes), as a folder or a server gives them.

    A part that is no whole calendar is reported; where none is, or there is only one, UnreadableCalendar is raised.
    """
    oddities: list[Oddity] = []
    whole: list[Part] = []
    failed: list[UnreadableCalendar] = []
    for label, data in parts:
        try:
            part = prepare(data, label)
        except UnreadableCalendar as error:
            failed.append(UnreadableCalendar(f"{label} {error}"))
            continue
        whole.append(part)
        oddities += [Oddity(source, "", f"{label} {reason}") for reason in part.odd]
    if failed and not whole:
        raise failed[0]
    oddities += [Oddity(source, "", str(error)) for error in failed]
    try:
        found = find(whole, window)
    except UnreadableCalendar as error:
        raise UnreadableCalendar(f"{source} {error}") from None
    if found.unclosed:
        oddities.append(Oddity(source, "", f"{source} has {found.unclosed} event(s) without an end; they are left out"))
    series: dict[str, list[tuple[Parsed, list[str]]]] = {}
    for block in found.events:
        try:
            parsed, notes = parse(block, zone)
        except (BadEvent, OverflowError, ValueError) as error:
            uid, title = called(block)
            oddities.append(Oddity(source, uid, _left_out(title, error)))
        else:
            series.setdefault(parsed.uid, []).append((parsed, notes))
    budget = Budget(STEPS_FOR_ALL)
    events: list[Event] = []
    for uid, versions in series.items():
        events += _events_of(uid, versions, source, window, budget, oddities)
    events.sort(key=lambda event: (event.start, event.end, event.key))
    kept = list(dict.fromkeys(oddities))
    if len(kept) > MOST_ODDITIES:
        kept[MOST_ODDITIES:] = [Oddity(source, "", f"{len(kept) - MOST_ODDITIES:,} more oddities are not listed")]
    return Reading(tuple(events), tuple(kept))


def _named(title: str) -> str:
    """Return how an oddity calls an event."""
    return f"“{clean(title, 60)}”" if title else "an event without a title"


def _left_out(title: str, error: Exception) -> str:
    """Return why an event is not in the reading."""
    reason = str(error) if isinstance(error, BadEvent) else "has a date outside the calendar"
    return f"{_named(title)} {reason}; it is left out"


def _events_of(
    uid: str,
    versions: Sequence[tuple[Parsed, list[str]]],
    source: str,
    window: tuple[datetime, datetime],
    budget: Budget,
    oddities: list[Oddity],
) -> list[Event]:
    """Return the events of one UID, or report why the series is left out."""
    title = versions[0][0].title
    try:
        occurrences, about_series = expand([parsed for parsed, _ in versions], window, budget)
    except (BadEvent, OverflowError, ValueError) as error:
        oddities.append(Oddity(source, uid, _left_out(title, error)))
        return []
    if occurrences:  # what was assumed about days that nobody asked for is of no use to anybody
        notes = dict.fromkeys((*(note for _, each in versions for note in each), *about_series))
        oddities.extend(Oddity(source, uid, f"{_named(title)} {note}") for note in notes)
    return [_event(each, source) for each in occurrences]


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
