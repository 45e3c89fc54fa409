"""The values of iCalendar lines: moments with their zones, nominal and exact lengths, and lines taken apart."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from icalendar import Parameters

from calendars import zones
from calendars.text import clean
from calendars.vtimezone import decide
from calendars.zones import Zone

_parameters: Callable[[str], Mapping[str, str | list[str]]] = Parameters.from_ical
_UTC = ZoneInfo("UTC")
_LINE = re.compile(r'([A-Za-z0-9-]+)((?:;[^:"]*(?:"[^"]*"[^:"]*)*)?):(.*)', re.ASCII)
_STAMP = re.compile(r"(\d{4})(\d\d)(\d\d)(?:T(\d\d)(\d\d)(\d\d)?(Z?))?", re.ASCII)
_DURATION = re.compile(
    r"([+-]?)P(?:(\d{1,9})W)?(?:(\d{1,9})D)?(?:T(?:(\d{1,9})H)?(?:(\d{1,9})M)?(?:(\d{1,9})S)?)?", re.ASCII
)


class BadEvent(ValueError):
    """The event cannot be used; `str(error)` continues "Dentist …" in plain words."""


@dataclass(frozen=True)
class Line:
    """One property: its parameters and its value as written."""

    params: dict[str, str]
    value: str


@dataclass(frozen=True)
class Moment:
    """A wall-clock time (naive) in a zone; of an all-day event the midnight its day begins with."""

    local: datetime
    zone: Zone
    all_day: bool = False

    @property
    def instant(self) -> datetime:
        """The same in UTC."""
        return zones.instant(self.local, self.zone)


@dataclass(frozen=True)
class Length:
    """Nominal days, which follow the calendar, then exact time, which does not (RFC 5545, 3.3.6 and 3.8.5.3)."""

    days: int = 0
    exact: timedelta = timedelta()

    def after(self, start: datetime, zone: Zone) -> datetime:
        """Return the UTC instant this long after a wall-clock time."""
        return zones.instant(start + timedelta(days=self.days), zone) + self.exact


NoteKind = Literal["assumed", "translated"]


@dataclass
class Zones:
    """Resolves TZIDs for one calendar, noting every assumption with its kind.

    household: the zone of times that name none. calendar: the zone the calendar itself names, or "". definitions: the
    lines of its VTIMEZONEs by TZID; window: when they have to be right.
    """

    household: Zone
    calendar: str = ""
    definitions: Mapping[str, str] = field(default_factory=dict)
    window: tuple[datetime, datetime] | None = None
    notes: dict[str, NoteKind] = field(default_factory=dict)

    def of(self, params: dict[str, str]) -> Zone:
        """Return the zone of a time without Z: its TZID, else the calendar's own, else the household's."""
        if tzid := params.get("TZID"):
            return self._named(tzid)
        if self.calendar:
            zone = self._named(self.calendar)
            self.note(f"names no time zone; read in the calendar's own, {zone.key}")
            return zone
        self.note(f"names no time zone; read as {self.household.key}")
        return self.household

    def _named(self, tzid: str) -> Zone:
        if self.definitions and self.window:
            choice = decide(tzid, self.definitions, self.household, self.window)
        else:
            choice = zones.lookup(tzid, self.household)
        if choice.told:
            self.note(choice.told, choice.kind)
        return choice.zone

    def note(self, text: str, kind: NoteKind = "assumed") -> None:
        """Keep an assumption, once."""
        self.notes.setdefault(text, kind)


def parse_line(raw: str, name: str) -> Line:
    """Return one content line taken apart. Raises BadEvent where it is malformed."""
    match = _LINE.fullmatch(raw.strip())
    if match is None:
        raise BadEvent(f"has a line that cannot be read ({clean(raw, 40)})")
    params: dict[str, str] = {}
    if match[2]:
        try:
            found = _parameters(match[2][1:])
        except ValueError as error:
            raise BadEvent(f"has a {name} line that cannot be read") from error
        params = {key.upper(): value if isinstance(value, str) else ",".join(value) for key, value in found.items()}
    return Line(params, match[3])


def moment(line: Line, zone: Zones, value: str | None = None) -> Moment:
    """Return the date or time of a line. Raises BadEvent where it is none."""
    text = (line.value if value is None else value).strip().upper()
    match = _STAMP.fullmatch(text)
    if match is None:
        raise BadEvent(f"has a date that cannot be read ({clean(text, 40) or 'nothing'})")
    try:
        day = date(int(match[1]), int(match[2]), int(match[3]))
        if match[4] is None:
            return Moment(datetime.combine(day, time()), zone.household, all_day=True)
        at = time(int(match[4]), int(match[5]), min(int(match[6] or 0), 59))  # :60 is a leap second
    except ValueError as error:
        raise BadEvent(f"has a date that does not exist ({clean(text, 40)})") from error
    return Moment(datetime.combine(day, at), _UTC if match[7] else zone.of(line.params))


def duration(text: str) -> Length:
    """Return a DURATION such as P1DT2H. Raises BadEvent where it is malformed or negative."""
    match = _DURATION.fullmatch(text.strip().upper())
    if match is None or not any(match.groups()[1:]):
        raise BadEvent(f"has a length that cannot be read ({clean(text, 40)})")
    weeks, days, hours, minutes, seconds = (int(group or 0) for group in match.groups()[1:])
    if match[1] == "-":
        raise BadEvent(f"has a negative length ({clean(text, 40)})")
    return Length(weeks * 7 + days, timedelta(hours=hours, minutes=minutes, seconds=seconds))


def utc_stamp(moment: datetime) -> str:
    """Return an instant as iCalendar writes it."""
    return moment.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
