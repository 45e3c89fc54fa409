"""iCalendar text as a tree of lines that loses nothing: what others wrote comes out as it went in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from unicodedata import normalize
from zoneinfo import ZoneInfo

from icalendar.parser import Contentline, unescape_backslash

from calendars.scan import prepare
from calendars.store import UnreadableCalendar
from calendars.sync import Span
from calendars.values import BadEvent, Line, Moment, Zones, duration, moment, parse_line

_content_line: Callable[[str], Contentline] = Contentline
_NAME = re.compile(r"[^;:]*")
ENTRIES = ("VEVENT", "VTODO")


@dataclass(frozen=True)
class Piece:
    """One BEGIN … END: name in upper case, lines as written but unfolded, and the pieces within, in order."""

    name: str
    lines: tuple[str, ...] = ()
    parts: tuple[Piece, ...] = ()

    def raw(self, *names: str) -> tuple[str, ...]:
        """Return the lines of these properties as written."""
        if len(names) == 1:
            return self._by_name.get(names[0], ())
        return tuple(line for line in self.lines if name_of(line) in names)

    @cached_property
    def _by_name(self) -> dict[str, tuple[str, ...]]:
        """The lines by the name of their property."""
        found: dict[str, tuple[str, ...]] = {}
        for line in self.lines:
            name = name_of(line)
            found[name] = (*found.get(name, ()), line)
        return found

    def all(self, name: str) -> Iterator[Line]:
        """Yield every line of this property, taken apart; a malformed one is passed over."""
        for line in self.raw(name):
            try:
                yield parse_line(line, name)
            except BadEvent:
                continue

    def value(self, name: str) -> str:
        """Return the first value of this property as written, "" if there is none."""
        return next((line.value for line in self.all(name)), "")

    def text(self, name: str) -> str:
        """Return the first value of this property as TEXT to compare, "" if there is none."""
        return plain(self.value(name))

    def word(self, name: str) -> str:
        """Return the first value of this property as one word in upper case, "" if there is none."""
        return self.value(name).strip().upper()


def parse(data: bytes) -> Piece:
    """Return the calendars in the data, within a piece without a name. Raises UnreadableCalendar."""
    open_pieces: list[tuple[str, list[str], list[Piece]]] = [("", [], [])]
    for line in prepare(data).lines.decode().split("\n"):
        name = name_of(line)
        if name == "BEGIN":
            open_pieces.append((line.partition(":")[2].strip().upper(), [], []))
        elif name == "END":
            ended, lines, parts = open_pieces.pop()
            if not open_pieces or ended != line.partition(":")[2].strip().upper():
                raise UnreadableCalendar("has an END that does not belong to its BEGIN")
            open_pieces[-1][2].append(Piece(ended, tuple(lines), tuple(parts)))
        elif line.strip():
            open_pieces[-1][1].append(line)
    (root,) = open_pieces[:1]
    return Piece("", tuple(root[1]), tuple(root[2]))


def to_bytes(piece: Piece) -> bytes:
    """Return the text of a piece, folded."""
    return b"".join(_folded(line) + b"\r\n" for line in _lines(piece))


def _folded(line: str) -> bytes:
    """Return a line in pieces of at most 75 octets."""
    if len(line) * 4 <= 75:
        return line.encode()
    folded: bytes = _content_line(line).to_ical()  # type: ignore[no-untyped-call]  # the library has no types here
    return folded


def _lines(piece: Piece) -> Iterator[str]:
    """Yield the lines of a piece with its bounds."""
    if piece.name:
        yield f"BEGIN:{piece.name}"
    yield from piece.lines
    for part in piece.parts:
        yield from _lines(part)
    if piece.name:
        yield f"END:{piece.name}"


def name_of(line: str) -> str:
    """Return the name of a content line in upper case."""
    found = _NAME.match(line)
    return found[0].strip().upper() if found else ""


def plain(value: str) -> str:
    """Return an escaped TEXT value as text to compare: composed characters, no blanks at the ends of lines."""
    return "\n".join(line.rstrip() for line in normalize("NFC", unescape_backslash(value)).rstrip().split("\n"))


def uid_of(piece: Piece) -> str:
    """Return the UID of an event or task, "" for anything else."""
    return piece.text("UID").strip() if piece.name in ENTRIES else ""


def main_of(root: Piece, uid: str) -> Piece | None:
    """Return the event or task of this UID: the series itself where single occurrences are told apart from it."""
    found = [part for calendar in root.parts for part in calendar.parts if uid_of(part) == uid]
    return next((part for part in found if not part.raw("RECURRENCE-ID")), found[0] if found else None)


def span_of(piece: Piece, zone: ZoneInfo) -> tuple[Span, bool] | None:
    """Return when an event or task is, and whether by whole days; None if it does not say. zone: of floating times."""
    zones = Zones(zone, "")
    try:
        times = {name: moment(line, zones) for name in ("DTSTART", "DTEND", "DUE") for line in piece.all(name)}
        end = times.get("DTEND") or times.get("DUE")
        start = times.get("DTSTART") or end
        if start is None:
            return None
        return (start.instant, _end(piece, start, end)), start.all_day
    except (BadEvent, OverflowError, ValueError):
        return None


def _end(piece: Piece, start: Moment, end: Moment | None) -> datetime:
    """Return when it ends: never before it starts; by its length if there is one; a day long or not at all (3.6.1)."""
    if end is not None:
        return max(end.instant, start.instant)
    if length := piece.value("DURATION"):
        return duration(length).after(start.local, start.zone)
    return duration("P1D" if start.all_day else "PT0S").after(start.local, start.zone)
