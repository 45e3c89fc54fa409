"""Writes entries as an iCalendar file other programs read: UTC times, relations, alarms, harmless text."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from icalendar import Alarm, Calendar, Todo, vCategory, vDuration, vText
from icalendar import Event as VEvent

from calendars.files import beside
from calendars.store import CalendarError
from calendars.text import clean, clean_lines

REFRESH = timedelta(hours=6)
"""How often a subscriber is asked to look again; once a day is enough for most (RFC 7986, 8)."""

_COLOUR = re.compile(r"[A-Za-z]{3,30}", re.ASCII)


class _Text(vText):
    """TEXT escaped as RFC 5545, 3.3.11 says. The library's own takes a backslash before an N for a line break."""

    def to_ical(self) -> bytes:
        """Return the text as it stands in the file."""
        return escaped(self).encode()


def escaped(text: str) -> str:
    """Return text as a TEXT value on one line."""
    return text.replace("\\", "\\\\").replace(";", r"\;").replace(",", r"\,").replace("\n", r"\n")


@dataclass(frozen=True)
class Entry:
    """One calendar entry this program writes.

    start, end: aware. related: (RELTYPE, UID) as RFC 5545 and RFC 9253 name them, "FINISHTOSTART" for what has to be
    finished before. alarms: how long before the start. transparent: blocks nobody. color: a CSS3 colour name (RFC 7986,
    5.9) or "". sequence rises with every change, last_modified says when it last did (None: with the stamp).
    task: a VTODO to be ticked off, due at the end; percent: how much of it is done; completed: when all of it was.
    """

    uid: str
    summary: str
    description: str
    start: datetime
    end: datetime
    categories: tuple[str, ...] = ()
    related: tuple[tuple[str, str], ...] = ()
    alarms: tuple[timedelta, ...] = ()
    location: str = ""
    transparent: bool = True
    sequence: int = 0
    last_modified: datetime | None = None
    url: str = ""
    color: str = ""
    task: bool = False
    percent: int = 0
    completed: datetime | None = None


def to_ics(entries: Iterable[Entry], *, name: str, stamp: datetime, product_id: str) -> bytes:
    """Return a whole calendar of these entries, in order of start and UID, the same bytes for the same input.

    name: what calendar programs show. stamp: when this was written (DTSTAMP), aware. product_id: PRODID.
    """
    calendar = Calendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", clean(product_id))
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("METHOD", "PUBLISH")
    calendar.add("NAME", _Text(clean(name)))
    calendar.add("X-WR-CALNAME", _Text(clean(name)))
    calendar.add("REFRESH-INTERVAL", vDuration(REFRESH), parameters={"VALUE": "DURATION"})
    calendar.add("X-PUBLISHED-TTL", vDuration(REFRESH))
    for entry in sorted(entries, key=lambda entry: (entry.start, entry.uid)):
        calendar.add_component(to_component(entry, stamp=stamp))
    data: bytes = calendar.to_ical(sorted=False)
    return data


def to_resource(entry: Entry, *, stamp: datetime, product_id: str) -> bytes:
    """Return a calendar of this one entry, as a server keeps it: without METHOD (RFC 4791, 4.1)."""
    calendar = Calendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", clean(product_id))
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add_component(to_component(entry, stamp=stamp))
    data: bytes = calendar.to_ical(sorted=False)
    return data


def to_component(entry: Entry, *, stamp: datetime) -> VEvent | Todo:
    """Return one entry as a VEVENT, or as a VTODO if it is a task."""
    component = _task(entry) if entry.task else _event(entry)
    component.add("UID", _Text(clean(entry.uid, 1000)))
    component.add("DTSTAMP", stamp.astimezone(UTC))
    component.add("SUMMARY", _Text(clean(entry.summary)))
    if entry.description:
        component.add("DESCRIPTION", _Text(clean_lines(entry.description)))
    if entry.location:
        component.add("LOCATION", _Text(clean(entry.location)))
    if categories := [name for each in entry.categories if (name := clean(each, 200))]:
        component.add("CATEGORIES", _categories(categories))
    if _COLOUR.fullmatch(entry.color):
        component.add("COLOR", entry.color.lower())
    component.add("SEQUENCE", entry.sequence)
    component.add("LAST-MODIFIED", (entry.last_modified or stamp).astimezone(UTC))
    if entry.url:
        component.add("URL", clean(entry.url, 2000))
    for reltype, uid in entry.related:
        component.add("RELATED-TO", _Text(clean(uid, 1000)), parameters={"RELTYPE": clean(reltype, 40).upper()})
    for before in entry.alarms:
        component.add_component(_alarm(entry, before))
    return component


def _categories(names: list[str]) -> vCategory:
    """Return categories escaped as other text is; the library would escape them in its own way."""
    value = vCategory(names)
    value.cats = [_Text(name) for name in names]
    return value


def _event(entry: Entry) -> VEvent:
    """Return what an event alone has."""
    event = VEvent()
    event.add("DTSTART", entry.start.astimezone(UTC))
    event.add("DTEND", entry.end.astimezone(UTC))
    event.add("TRANSP", "TRANSPARENT" if entry.transparent else "OPAQUE")
    return event


def _task(entry: Entry) -> Todo:
    """Return what a task alone has. Its start, if any, has to be before it is due (RFC 5545, 3.8.2.3)."""
    todo = Todo()
    if entry.start < entry.end:
        todo.add("DTSTART", entry.start.astimezone(UTC))
    todo.add("DUE", entry.end.astimezone(UTC))
    percent = 100 if entry.completed else min(max(entry.percent, 0), 99)
    todo.add("STATUS", "COMPLETED" if entry.completed else "IN-PROCESS" if percent else "NEEDS-ACTION")
    todo.add("PERCENT-COMPLETE", percent)
    if entry.completed:
        todo.add("COMPLETED", entry.completed.astimezone(UTC))
    return todo


def _alarm(entry: Entry, before: timedelta) -> Alarm:
    """Return a message shown this long before the start, with a UID of its own that stays (RFC 9074)."""
    alarm = Alarm()
    alarm.add("UID", f"{clean(entry.uid)}-alarm-{round(before.total_seconds() / 60)}")
    alarm.add("ACTION", "DISPLAY")
    alarm.add("DESCRIPTION", _Text(clean(entry.summary)))
    alarm.add("TRIGGER", -before)
    if entry.task and entry.start >= entry.end:
        alarm["TRIGGER"].params["RELATED"] = "END"
    return alarm


def write_file(path: Path, data: bytes) -> None:
    """Put the data at the path whole or not at all: a reader never sees half a file. Raises CalendarError."""
    try:
        with beside(path, data) as temporary:
            temporary.replace(path)
    except OSError as error:
        raise CalendarError(f"{path} cannot be written: {error.strerror or error}. Nothing was changed") from error
