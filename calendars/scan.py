"""Finds, in the raw bytes of a calendar file, the few events that can touch a window, without parsing the rest.

Parsing costs a quarter of a millisecond an event; a family's calendar of ten years has thousands, a fortnight needs
twenty. What is looked at here: the years on the lines that say when, and whether an event repeats.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from operator import lt

from calendars.store import UnreadableCalendar

LARGEST_FILE_BYTES = 50_000_000
"""About 400,000 events: far above any family's, and still read in seconds."""
MOST_EVENTS = 20_000
"""How many events may touch the window, or repeat, before the file is refused."""

_SLACK = timedelta(days=2)  # zones differ by a day at most
_BEGIN_CALENDAR = re.compile(rb"\nBEGIN:VCALENDAR[ \t]*(?=\n)")
_END_CALENDAR = re.compile(rb"\nEND:VCALENDAR[ \t]*(?=\n)")
_ZONE = re.compile(rb"\nX-WR-TIMEZONE(?:;[^\n:]*)?:([^\n]*)")
_BEGIN = re.compile(rb"\nBEGIN:VEVENT[ \t]*(?=\n)")
_END = re.compile(rb"\nEND:VEVENT[ \t]*(?=\n)")
_UID = re.compile(rb"\nUID(?:;[^\n:]*)?:([^\n]*)")
_DATE = rb"(?:;[^\n]*)?:(?:[^\n:]*:)?(\d{8})"
_ANY_START = re.compile(rb"\nDTSTART[;:]")
_START = re.compile(rb"\nDTSTART" + _DATE)
_FINISH = re.compile(rb"\nDTEND" + _DATE)
_ORIGINAL = re.compile(rb"\nRECURRENCE-ID" + _DATE)
_WEEKS_OR_DAYS = re.compile(rb"\nDURATION[^\n]*:\+?P(?:(\d+)W)?(?:(\d+)D)?")
_REPEATS = re.compile(rb"\nR(?:RULE|DATE)[;:]|\nRECURRENCE-ID;[^\n:]*RANGE=")


@dataclass(frozen=True)
class Block:
    """The unfolded lines of one VEVENT, between BEGIN and END, and the X-WR-TIMEZONE of its calendar or ""."""

    text: str
    calendar_zone: str


@dataclass(frozen=True)
class Part:
    """A file or other part of a calendar: UTF-8, unfolded, a newline before and after each line; what was assumed."""

    lines: bytes
    odd: tuple[str, ...]


def prepare(data: bytes) -> Part:
    """Return the lines of a file. Raises UnreadableCalendar where it is no whole calendar."""
    if len(data) > LARGEST_FILE_BYTES:
        raise UnreadableCalendar(_too_large(len(data)))
    odd: list[str] = []
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        data = data.decode("utf-16", errors="replace").encode()
        odd.append("is written in UTF-16 instead of UTF-8")
    data = data.removeprefix(b"\xef\xbb\xbf")
    if not data.strip():
        raise UnreadableCalendar("is empty: not even BEGIN:VCALENDAR is there. Export it again")
    data = b"\n" + data.replace(b"\r\n", b"\n").replace(b"\r", b"\n") + b"\n"
    lines = data.replace(b"\n ", b"").replace(b"\n\t", b"")  # unfolded as bytes: a fold may lie inside a character
    upper = lines.upper()
    begun = len(_BEGIN_CALENDAR.findall(upper))
    if not begun:
        raise UnreadableCalendar("is not a calendar: there is no BEGIN:VCALENDAR in it. Export it again as iCalendar")
    if len(_END_CALENDAR.findall(upper)) < begun:
        raise UnreadableCalendar("is cut off: END:VCALENDAR is missing. Download or export it again")
    try:
        lines.decode()
    except UnicodeDecodeError:
        lines = lines.decode("cp1252", errors="replace").encode()
        odd.append("is not written in UTF-8; read as Windows-1252 (Latin-1), so accents may be wrong")
    return Part(lines, tuple(odd))


def find(parts: Iterable[Part], window: tuple[datetime, datetime]) -> tuple[tuple[Block, ...], int]:
    """Return the VEVENTs that can touch the window, in order, and how many have no end and were passed over.

    Raises UnreadableCalendar where there are absurdly many.
    """
    lines = b"".join(part.lines for part in parts)
    if len(lines) > LARGEST_FILE_BYTES:
        raise UnreadableCalendar(_too_large(len(lines)))
    upper = lines.upper()  # of the same length: only ASCII letters change
    begins = [match.start() for match in _BEGIN.finditer(upper)]
    ends = [match.start() for match in _END.finditer(upper)]
    bounds = list(_paired(begins, ends))
    wanted = _with_same_uid(upper, bounds, _touching(upper, bounds, window))
    if len(wanted) > MOST_EVENTS:
        raise UnreadableCalendar(
            f"has {len(wanted):,} events that repeat or fall into these days; at most {MOST_EVENTS:,} are read"
        )
    zones = _calendar_zones(lines, upper)
    starts = [at for at, _ in zones]
    blocks = []
    for begin, end in (bounds[at] for at in sorted(wanted)):
        inner = lines[lines.index(b"\n", begin + 1) : end].decode(errors="replace")
        blocks.append(Block(inner, zones[max(bisect_right(starts, begin) - 1, 0)][1]))
    return tuple(blocks), len(begins) - len(bounds)


def _too_large(size: int) -> str:
    """Return what is wrong with so many bytes."""
    return f"has {size / 1e6:.0f} MB; at most {LARGEST_FILE_BYTES // 1_000_000} are read. Export fewer years"


def _paired(begins: list[int], ends: list[int]) -> Iterator[tuple[int, int]]:
    """Yield where each event begins and ends; one that another begins inside is passed over."""
    if len(begins) == len(ends) and all(map(lt, begins, ends)) and all(map(lt, ends, begins[1:])):
        yield from zip(begins, ends, strict=True)
        return
    for at, begin in enumerate(begins):
        following = begins[at + 1] if at + 1 < len(begins) else None
        place = bisect_right(ends, begin)
        if place < len(ends) and (following is None or ends[place] < following):
            yield begin, ends[place]


def _touching(upper: bytes, bounds: list[tuple[int, int]], window: tuple[datetime, datetime]) -> set[int]:
    """Return the numbers of the events that may touch the window, or repeat, or do not say when they are."""
    low, high = _day_number(window[0] - _SLACK), _day_number(window[1] + _SLACK)
    years = range(window[0].year - 1, window[1].year + 2)
    hint = re.compile(
        rb"\n(?:R(?:RULE|DATE)[;:]|RECURRENCE-ID|DURATION[^\n]*P\d*(?:\d\dW|\d\d\dD)"
        rb"|DTSTART(?:[;:][^\n]*(?:%b)\d{4}|(?![^\n]*:\d{8}))|DTEND[;:][^\n]*(?<=:)(?:%b)\d{4})"
        % (b"|".join(b"%04d" % year for year in years), _years_from(window[0].year - 1))
    )
    starts = [begin for begin, _ in bounds]
    found = set(range(len(bounds))) - {bisect_right(starts, at.start()) - 1 for at in _ANY_START.finditer(upper)}
    for match in hint.finditer(upper):
        at = bisect_right(starts, match.start()) - 1
        if at < 0 or at in found or match.start() >= bounds[at][1]:
            continue
        if _near(upper[slice(*bounds[at])], low, high):
            found.add(at)
    return found


def _years_from(year: int) -> bytes:
    """Return a pattern for every four-digit year from this one on."""
    digits = f"{year:04d}"
    patterns = [digits]
    for place in range(3, -1, -1):
        if digits[place] != "9":
            above = chr(ord(digits[place]) + 1)
            patterns.append(digits[:place] + f"[{above}-9]" + r"\d" * (3 - place))
    return "|".join(patterns).encode()


def _near(block: bytes, low: int, high: int) -> bool:
    """Return whether the event, its original place in its series, or a repetition can lie between the days."""
    if _REPEATS.search(block):
        return True
    start, finish, original = (_first_date(pattern, block) for pattern in (_START, _FINISH, _ORIGINAL))
    if original is not None and low - 20_000 <= original <= high:  # the occurrence may last for two years
        return True
    if start is None:
        return True  # let the parser say what is wrong with it
    length = _WEEKS_OR_DAYS.search(block)
    if length and (length[1] or length[2]):
        days = int(length[1] or 0) * 7 + int(length[2] or 0)
        finish = max(finish or 0, start + min(days, 1_000_000) * 400)  # a generous reckoning in written-out dates
    return start <= high and max(start, finish or start) >= low


def _first_date(pattern: re.Pattern[bytes], block: bytes) -> int | None:
    """Return the date on the first such line as a number like 20270301."""
    match = pattern.search(block)
    return int(match[1]) if match else None


def _day_number(moment: datetime) -> int:
    """Return 20270301 for 1 March 2027, as the dates of a file compare."""
    return moment.year * 10_000 + moment.month * 100 + moment.day


def _with_same_uid(upper: bytes, bounds: list[tuple[int, int]], found: set[int]) -> set[int]:
    """Add the other events of the UIDs found: a newer version, or a change to one occurrence, may lie elsewhere."""
    uids = _UID.findall(upper)
    if len(set(uids)) == len(uids):
        return found
    by_place: dict[int, bytes] = {}
    starts = [begin for begin, _ in bounds]
    for match in _UID.finditer(upper):
        at = bisect_right(starts, match.start()) - 1
        if at >= 0 and match.start() < bounds[at][1]:
            by_place.setdefault(at, match[1])
    counted = Counter(by_place.values())
    shared = {by_place[at] for at in found if at in by_place and counted[by_place[at]] > 1}
    return found | {at for at, uid in by_place.items() if uid in shared} if shared else found


def _calendar_zones(lines: bytes, upper: bytes) -> list[tuple[int, str]]:
    """Return where each VCALENDAR begins and the X-WR-TIMEZONE it states, "" for none."""
    starts = [match.start() for match in _BEGIN_CALENDAR.finditer(upper)]
    zones = []
    for at, start in enumerate(starts):
        end = starts[at + 1] if at + 1 < len(starts) else len(upper)
        match = _ZONE.search(upper, start, end)
        zones.append((start, lines[match.start(1) : match.end(1)].decode(errors="replace").strip() if match else ""))
    return zones or [(0, "")]
