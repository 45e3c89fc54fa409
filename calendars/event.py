"""What a calendar says, as frozen data: events, who is asked to them, and what was odd about the reading."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal


@dataclass(frozen=True)
class Attendee:
    """One ATTENDEE: address without `mailto:` in lower case, display name or "", PARTSTAT in upper case."""

    address: str
    name: str
    partstat: str = "NEEDS-ACTION"

    @property
    def declined(self) -> bool:
        """Whether this person said no."""
        return self.partstat == "DECLINED"


@dataclass(frozen=True)
class Event:
    """One event, or one occurrence of a recurring one, that touches the window asked for.

    start, end: aware, UTC, half-open; equal for an event without length. An all-day event runs from local midnight
    to local midnight. recurrence_id: the original start of an occurrence as iCalendar writes it ("20270301" or
    "20270301T073000Z"), None for a single event. status: CONFIRMED, TENTATIVE or CANCELLED. busy_status:
    X-MICROSOFT-CDO-BUSYSTATUS in upper case, or "". calendar: the name of the source. component: where it stands,
    VEVENT, VFREEBUSY or VAVAILABILITY; of the last the part in the window. Texts are free of control characters;
    summary and location are one line each.
    """

    uid: str
    recurrence_id: str | None
    summary: str
    description: str
    location: str
    categories: tuple[str, ...]
    start: datetime
    end: datetime
    all_day: bool = False
    transparent: bool = False
    status: str = "CONFIRMED"
    busy_status: str = ""
    attendees: tuple[Attendee, ...] = ()
    organizer: str = ""
    calendar: str = ""
    component: str = "VEVENT"

    @property
    def key(self) -> str:
        """What names this event or occurrence within its calendar, whenever it is moved to."""
        return self.uid if self.recurrence_id is None else f"{self.uid}/{self.recurrence_id}"

    @property
    def cancelled(self) -> bool:
        """Whether the event was called off."""
        return self.status == "CANCELLED"


OddityKind = Literal["assumed", "left out", "translated"]
""""assumed" may be wrong; "left out" is missing; "translated" is a name of a time zone that had to be looked up."""


@dataclass(frozen=True)
class Oddity:
    """Something assumed, repaired or skipped while reading, in words for the family.

    source: the calendar. uid: of the event, "" where it is about more than one. reason: a sentence without its stop.
    file: which file, resource or host of the calendar it is about, "" for all. kind: what came of it.
    """

    source: str
    uid: str
    reason: str
    file: str = ""
    kind: OddityKind = "assumed"

    def __str__(self) -> str:
        """Return `source: reason`."""
        return f"{self.source}: {self.reason}"


@dataclass(frozen=True)
class Reading:
    """Everything one source says about a window: events by start then key, and what was odd."""

    events: tuple[Event, ...] = ()
    oddities: tuple[Oddity, ...] = field(default=())

    def __add__(self, other: Reading) -> Reading:
        """Both readings as one."""
        events = sorted((*self.events, *other.events), key=lambda event: (event.start, event.end, event.key))
        return Reading(tuple(events), tuple(dict.fromkeys((*self.oddities, *other.oddities))))
