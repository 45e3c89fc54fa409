"""The files of a calendar as lines: decoded, unfolded, whole; and what each VCALENDAR in them says for all within."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import accumulate

from calendars.store import UnreadableCalendar
from calendars.text import clean

LARGEST_FILE_BYTES = 50_000_000
"""About 400,000 events: far above any family's, and still read in seconds."""
MOST_ZONES = 40
_LONGEST_ZONE = 100_000

_BEGIN_CALENDAR = re.compile(rb"\nBEGIN:VCALENDAR[ \t]*(?=\n)")
_END_CALENDAR = re.compile(rb"\nEND:VCALENDAR[ \t]*(?=\n)")
_ZONE = re.compile(rb"\nX-WR-TIMEZONE(?:;[^\n:]*)?:([^\n]*)")
_TZID = re.compile(r"^TZID(?:;[^:\n]*)?:(.*)$", re.IGNORECASE | re.MULTILINE)


@dataclass(frozen=True)
class Part:
    """A file or other part of a calendar: UTF-8, unfolded, a newline before and after each line.

    upper: the same in upper case, of the same length, for names in any case. calendars: where each VCALENDAR begins.
    odd: what was assumed. label: the name of the file.
    """

    lines: bytes
    upper: bytes
    calendars: tuple[int, ...]
    odd: tuple[str, ...]
    label: str = ""


@dataclass(frozen=True)
class Head:
    """What a VCALENDAR says for all in it.

    label: the part it is in. zone: X-WR-TIMEZONE, or "". definitions: the lines of its VTIMEZONEs by TZID.
    """

    label: str = ""
    zone: str = ""
    definitions: Mapping[str, str] = field(default_factory=dict)


def prepare(data: bytes, label: str = "") -> Part:
    """Return the lines of a file. Raises UnreadableCalendar where it is no whole calendar."""
    refuse_too_large(len(data))
    odd: list[str] = []
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        data = data.decode("utf-16", errors="replace").encode()
        odd.append("is written in UTF-16 instead of UTF-8")
    data = data.removeprefix(b"\xef\xbb\xbf")
    if not data.strip():
        raise UnreadableCalendar("is empty: not even BEGIN:VCALENDAR is there. Export it again")
    lines = b"".join((b"\n", data.replace(b"\r\n", b"\n").replace(b"\r", b"\n"), b"\n"))
    lines = lines.replace(b"\n ", b"").replace(b"\n\t", b"")  # unfolded as bytes: a fold may lie inside a character
    upper = lines.upper()  # bytes: only ASCII letters change
    begun = tuple(match.start() for match in _BEGIN_CALENDAR.finditer(upper))
    if not begun:
        raise UnreadableCalendar("is not a calendar: there is no BEGIN:VCALENDAR in it. Export it again as iCalendar")
    if len(_END_CALENDAR.findall(upper)) < len(begun):
        raise UnreadableCalendar("is cut off: END:VCALENDAR is missing. Download or export it again")
    if not lines.isascii():
        try:
            lines.decode()
        except UnicodeDecodeError:
            odd.append("is not written in UTF-8; read as Windows-1252 (Latin-1), so accents may be wrong")
            mended = prepare(lines.decode("cp1252", errors="replace").encode(), label)
            return replace(mended, odd=(*odd, *mended.odd))
    return Part(lines, upper, begun, tuple(odd), label)


def components(upper: bytes, name: bytes, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Yield where the lines of each component of this name begin and end, looking at every byte once."""
    begin, close = b"\nBEGIN:" + name, b"\nEND:" + name
    while (start := upper.find(begin, start, end)) >= 0:
        start += len(begin)
        if (last := upper.find(close, start, end)) < 0:
            return
        if upper[start : start + 1].isspace():
            yield start, last + 1
        start = last


def refuse_too_large(size: int) -> None:
    """Raise UnreadableCalendar for so many bytes that nobody should wait for them."""
    if size > LARGEST_FILE_BYTES:
        most = LARGEST_FILE_BYTES // 1_000_000
        raise UnreadableCalendar(f"has {size / 1e6:.0f} MB; at most {most} are read. Export fewer years")


@dataclass(frozen=True)
class Lines:
    """All parts of a calendar one after the other. upper: the same in upper case, of the same length."""

    lines: bytes
    upper: bytes
    parts: Sequence[Part]

    @classmethod
    def of(cls, parts: Sequence[Part]) -> Lines:
        """Return the lines of all parts."""
        return cls(b"".join(part.lines for part in parts), b"".join(part.upper for part in parts), parts)

    @cached_property
    def _part_starts(self) -> list[int]:
        return [0, *accumulate(len(part.lines) for part in self.parts)][:-1]

    @cached_property
    def _calendars(self) -> list[int]:
        """Where each VCALENDAR begins."""
        return [at + start for at, part in zip(self._part_starts, self.parts, strict=True) for start in part.calendars]

    @cached_property
    def _heads(self) -> dict[int, Head]:
        return {}

    def head(self, at: int) -> Head:
        """Return what the VCALENDAR that holds this place says."""
        number = max(bisect_right(self._calendars, at) - 1, 0)
        if number not in self._heads:
            self._heads[number] = self._read_head(number, at)
        return self._heads[number]

    def _read_head(self, number: int, at: int) -> Head:
        start = self._calendars[number] if self._calendars else 0
        end = self._calendars[number + 1] if number + 1 < len(self._calendars) else len(self.lines)
        match = _ZONE.search(self.upper, start, end)
        zone = self.text(match.start(1), match.end(1)).strip() if match else ""
        definitions: dict[str, str] = {}
        for first, last in components(self.upper, b"VTIMEZONE", start, end):
            if len(definitions) < MOST_ZONES and last - first <= _LONGEST_ZONE:
                text = self.text(first, last)
                if tzid := _TZID.search(text):
                    definitions.setdefault(tzid[1].strip(), text)
        label = self.parts[max(bisect_right(self._part_starts, at) - 1, 0)].label if self.parts else ""
        return Head(clean(label, 200), zone, definitions)

    def text(self, start: int, end: int) -> str:
        """Return the text between two places."""
        return self.lines[start:end].decode(errors="replace")
