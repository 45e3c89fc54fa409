"""One VEVENT, read line by line: what it says about itself, before any expansion."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256
from zoneinfo import ZoneInfo

from icalendar.parser import split_on_unescaped_comma, unescape_backslash

from calendars.event import Attendee
from calendars.screen import Block
from calendars.text import clean, clean_lines
from calendars.values import BadEvent, Length, Line, Moment, NoteKind, Zones, duration, moment, parse_line
from calendars.zones import Zone

MOST_ATTENDEES = 500
_LONGEST_TEXT = 100_000
_BUSY = "X-MICROSOFT-CDO-BUSYSTATUS"
_NAMES = re.compile(r"^(UID|SUMMARY)(?:;[^:\n]*)?:(.*)$", re.IGNORECASE | re.MULTILINE)
_VITAL = frozenset({"UID", "RECURRENCE-ID", "DTSTART", "DTEND", "DURATION", "STATUS", "TRANSP", "FREEBUSY"})
_SERIES = frozenset({"RRULE", "EXRULE", "RDATE", "EXDATE"})
_SEVERAL = frozenset({"CATEGORIES", "ATTENDEE", "FREEBUSY"}) | _SERIES
_SINGLE = _VITAL | {"SEQUENCE", "DTSTAMP", "LAST-MODIFIED", "SUMMARY", "DESCRIPTION", "LOCATION", "ORGANIZER", _BUSY}
_SINGLE |= {"BUSYTYPE", "PRIORITY"}  # of a VAVAILABILITY


@dataclass(frozen=True)
class Stamps:
    """The values of one EXDATE or RDATE line as written, and the zone they are in."""

    values: tuple[str, ...]
    zone: Zone


@dataclass(frozen=True)
class Parsed:
    """A VEVENT as written. version: what decides between two of the same UID, newest highest."""

    uid: str
    title: str
    version: tuple[int, str]
    original: Moment | None
    and_future: bool
    start: Moment
    length: Length
    rules: tuple[str, ...]
    without_rules: tuple[str, ...]
    extra: tuple[Stamps, ...]
    without: tuple[Stamps, ...]
    description: str
    location: str
    categories: tuple[str, ...]
    transparent: bool
    status: str
    busy_status: str
    attendees: tuple[Attendee, ...]
    organizer: str


def lines_of(text: str, zone: Zones) -> tuple[dict[str, Line], dict[str, list[Line]]]:
    """Return the properties read here: single ones (the first of each) and repeatable ones. Alarms are passed over.

    A malformed line is noted; one that says when, whose or whether raises BadEvent.
    """
    single: dict[str, Line] = {}
    several: dict[str, list[Line]] = {name: [] for name in _SEVERAL}
    depth = 0
    for raw in text.split("\n"):
        name = re.split("[;:]", raw, maxsplit=1)[0].strip().upper()
        if name in ("BEGIN", "END"):
            depth = max(0, depth + (1 if name == "BEGIN" else -1))
        elif depth == 0 and (name in _SINGLE or name in _SEVERAL):
            if name == "ATTENDEE" and len(several[name]) > MOST_ATTENDEES:
                continue
            try:
                line = parse_line(raw, name)
            except BadEvent as error:
                if name in _VITAL or name in _SERIES:
                    raise
                zone.note(f"{error}, which is passed over")
                continue
            if name in _SEVERAL:
                several[name].append(line)
            else:
                single.setdefault(name, line)
    return single, several


def parse(block: Block, household: ZoneInfo, window: tuple[datetime, datetime]) -> tuple[Parsed, dict[str, NoteKind]]:
    """Return the event of a block and what was assumed about it. Raises BadEvent where it cannot be used.

    window: around which its time zones have to be right.
    """
    zone = Zones(household, block.head.zone, block.head.definitions, window)
    single, several = lines_of(block.text, zone)
    uid = uid_of(single, block.text, zone)
    if "DTSTART" not in single:
        raise BadEvent("has no start")
    start = moment(single["DTSTART"], zone)
    original = moment(single["RECURRENCE-ID"], zone) if "RECURRENCE-ID" in single else None
    attendees = several["ATTENDEE"]
    if len(attendees) > MOST_ATTENDEES:
        zone.note(f"has more than {MOST_ATTENDEES} people on it; only the first {MOST_ATTENDEES} are looked at")
    parsed = Parsed(
        uid=uid,
        title=clean(text_of(single.get("SUMMARY"))),
        version=(_whole_number(single.get("SEQUENCE")), _newest_stamp(single)),
        original=original,
        and_future=original is not None and single["RECURRENCE-ID"].params.get("RANGE", "").upper() == "THISANDFUTURE",
        start=start,
        length=length_of(single, start, zone),
        rules=tuple(line.value for line in several["RRULE"]),
        without_rules=tuple(line.value for line in several["EXRULE"]),
        extra=tuple(_stamps(several["RDATE"], zone, start)),
        without=tuple(_stamps(several["EXDATE"], zone, start)),
        description=clean_lines(text_of(single.get("DESCRIPTION"))),
        location=clean(text_of(single.get("LOCATION"))),
        categories=tuple(_categories(several["CATEGORIES"])),
        transparent=_word(single.get("TRANSP")) == "TRANSPARENT",
        status=_word(single.get("STATUS"))
        if _word(single.get("STATUS")) in ("TENTATIVE", "CANCELLED")
        else "CONFIRMED",
        busy_status=_word(single.get(_BUSY)),
        attendees=tuple(_attendee(line) for line in attendees[:MOST_ATTENDEES]),
        organizer=_address(single["ORGANIZER"].value) if "ORGANIZER" in single else "",
    )
    return parsed, zone.notes


def uid_of(single: dict[str, Line], text: str, zone: Zones) -> str:
    """Return the UID, or one made up from all that is said, which stays as long as that does."""
    if uid := clean(text_of(single.get("UID")), 1000):
        return uid
    zone.note("has no UID; one was made up from what it says")
    return "without-uid-" + sha256(text.encode("utf-8", "replace")).hexdigest()[:16]


def called(block: Block) -> tuple[str, str]:
    """Return the UID and the title of an event that cannot be read, as far as they are there."""
    found = {name.upper(): value for name, value in reversed(_NAMES.findall(block.text))}  # the first of each counts
    return clean(unescape_backslash(found.get("UID", "")), 1000), clean(unescape_backslash(found.get("SUMMARY", "")))


def length_of(single: dict[str, Line], start: Moment, zone: Zones) -> Length:
    """Return how long the event lasts: by DTEND exactly, by DURATION nominally, else a day or nothing (3.6.1)."""
    if "DTEND" in single:
        end = moment(single["DTEND"], zone)
        if start.all_day:
            days = (end.local.date() - start.local.date()).days
            if days < 1:
                zone.note("ends on or before the day it starts; taken as one day")
            return Length(max(days, 1))
        length = end.instant - start.instant
        if length < timedelta():
            zone.note("ends before it starts; only its start is used")
        return Length(exact=max(length, timedelta()))
    if "DURATION" in single:
        given = duration(single["DURATION"].value)
        if start.all_day:
            return Length(max(given.days + -(-given.exact // timedelta(days=1)), 1))
        return given
    return Length(days=1) if start.all_day else Length()


def _stamps(lines: list[Line], zone: Zones, start: Moment) -> Iterator[Stamps]:
    """Yield the dates of EXDATE or RDATE lines, unread; a time without any zone is in that of the start."""
    for line in lines:
        yield Stamps(
            tuple(value.strip().upper() for value in line.value.split(",") if value.strip()),
            zone.of(line.params) if "TZID" in line.params else start.zone,
        )


def text_of(line: Line | None) -> str:
    """Return an unescaped TEXT value."""
    return unescape_backslash(line.value[:_LONGEST_TEXT]) if line else ""


def _word(line: Line | None) -> str:
    """Return a value that is one upper-case word."""
    return clean(line.value, 40).upper() if line else ""


def _categories(lines: list[Line]) -> Iterator[str]:
    """Yield every category, cleaned."""
    for line in lines[:100]:
        for category in split_on_unescaped_comma(line.value[:5000]):
            if cleaned := clean(category, 200):
                yield cleaned


def _attendee(line: Line) -> Attendee:
    """Return who an ATTENDEE line names."""
    partstat = clean(line.params.get("PARTSTAT", ""), 40).upper() or "NEEDS-ACTION"
    return Attendee(_address(line.value), clean(line.params.get("CN", ""), 200), partstat)


def _address(value: str) -> str:
    """Return a calendar address without its scheme, in lower case."""
    return re.sub(r"^mailto:", "", clean(value, 320), flags=re.IGNORECASE).casefold()


def _whole_number(line: Line | None) -> int:
    """Return SEQUENCE, 0 where there is none."""
    value = line.value.strip() if line else ""
    return int(value) if re.fullmatch(r"\d{1,9}", value, re.ASCII) else 0


def _newest_stamp(single: dict[str, Line]) -> str:
    """Return the later of LAST-MODIFIED and DTSTAMP as text that compares."""
    return max((single[name].value.strip() for name in ("LAST-MODIFIED", "DTSTAMP") if name in single), default="")
