"""Finds, in the raw bytes of a calendar file, the few events that can touch a window, without parsing the rest.

Parsing costs a quarter of a millisecond an event; a family's calendar of ten years has thousands, a fortnight needs
twenty. What is looked at here: the years on the lines that say when, and whether an event repeats.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from calendars.store import UnreadableCalendar

LARGEST_FILE_BYTES = 50_000_000
"""About 400,000 events: far above any family's, and still read in seconds."""
MOST_EVENTS = 20_000
"""How many events may touch the window, or repeat, before the file is refused."""

_SLACK = timedelta(days=2)  # zones differ by a day at most
_BEGIN = re.compile(rb"\nBEGIN:VEVENT(?=\n)")
_END = re.compile(rb"\nEND:VEVENT(?=\n)")
_UID = re.compile(rb"\nUID(?:;[^\n:]*)?:([^\n]*)")
_DATE = rb"(?:;[^\n]*)?:(?:[^\n:]*:)?(\d{8})"
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
class Scan:
    """The blocks that can touch the window, in the order of the file; `odd`: what was assumed about the whole file."""

    blocks: tuple[Block, ...]
    odd: tuple[str, ...]


def scan(data: bytes, window: tuple[datetime, datetime]) -> Scan:
    """Return the VEVENTs that can touch the window. Raises UnreadableCalendar where this is no whole calendar."""
    if len(data) > LARGEST_FILE_BYTES:
        raise UnreadableCalendar(
            f"has {len(data) / 1e6:.0f} MB; at most {LARGEST_FILE_BYTES // 1_000_000} are read. Export fewer years"
        )
    lines, odd = _unfolded(data)
    encoding = "utf-8"
    try:
        lines.decode(encoding)
    except UnicodeDecodeError:
        encoding = "latin-1"
        odd.append("is not written in UTF-8; read as Latin-1, so accents may be wrong")
    upper = lines.upper()  # of the same length: only ASCII letters change
    _whole(upper)
    begins = [match.start() for match in _BEGIN.finditer(upper)]
    ends = [match.start() for match in _END.finditer(upper)]
    bounds = list(_paired(begins, ends))
    if len(bounds) < len(begins):
        odd.append(f"has {len(begins) - len(bounds)} event(s) without an end; they are left out")
    low, high = _day_number(window[0] - _SLACK), _day_number(window[1] + _SLACK)
    wanted = _with_same_uid(upper, bounds, _touching(upper, bounds, window, low, high))
    if len(wanted) > MOST_EVENTS:
        raise UnreadableCalendar(
            f"has {len(wanted):,} events that repeat or fall into these days; at most {MOST_EVENTS:,} are read"
        )
    zones = _calendar_zones(lines, upper)
    starts = [at for at, _ in zones]
    blocks = []
    for at in sorted(wanted):
        begin, end = bounds[at]
        inner = lines[begin + len(b"\nBEGIN:VEVENT") : end].decode(encoding)
        blocks.append(Block(inner, zones[bisect_right(starts, begin) - 1][1]))
    return Scan(tuple(blocks), tuple(odd))


def _unfolded(data: bytes) -> tuple[bytes, list[str]]:
    """Return one line per property, each begun by a newline, and what was assumed. Unfolds bytes, before decoding."""
    odd: list[str] = []
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        data = data.decode("utf-16", errors="replace").encode()
        odd.append("is written in UTF-16 instead of UTF-8")
    data = data.removeprefix(b"\xef\xbb\xbf")
    if not data.strip():
        raise UnreadableCalendar("is empty: not even BEGIN:VCALENDAR is there. Export it again")
    data = b"\n" + data.replace(b"\r\n", b"\n").replace(b"\r", b"\n") + b"\n"
    return data.replace(b"\n ", b"").replace(b"\n\t", b""), odd


def _whole(upper: bytes) -> None:
    """Refuse what is no calendar, or is cut off."""
    begun = len(re.findall(rb"\nBEGIN:VCALENDAR(?=\n)", upper))
    ended = len(re.findall(rb"\nEND:VCALENDAR(?=\n)", upper))
    if not begun:
        raise UnreadableCalendar("is not a calendar: there is no BEGIN:VCALENDAR in it. Export it again as iCalendar")
    if ended < begun:
        raise UnreadableCalendar("is cut off: END:VCALENDAR is missing. Download or export it again")


def _paired(begins: list[int], ends: list[int]) -> Iterator[tuple[int, int]]:
    """Yield where each event begins and ends; one that another begins inside is passed over."""
    for at, begin in enumerate(begins):
        following = begins[at + 1] if at + 1 < len(begins) else None
        place = bisect_right(ends, begin)
        if place < len(ends) and (following is None or ends[place] < following):
            yield begin, ends[place]


def _touching(
    upper: bytes, bounds: list[tuple[int, int]], window: tuple[datetime, datetime], low: int, high: int
) -> set[int]:
    """Return the numbers of the events that may touch the days from low to high (as 20270301), or repeat."""
    years = range(window[0].year - 1, window[1].year + 2)
    hint = re.compile(
        rb"\n(?:R(?:RULE|DATE)[;:]|RECURRENCE-ID|DURATION[^\n]*P\d*(?:\d\dW|\d\d\dD)"
        rb"|DTSTART[;:][^\n]*(?:%b)\d{4}|DTEND[;:][^\n]*(?<=:)(?:%b)\d{4})"
        % (b"|".join(b"%04d" % year for year in years), _years_from(window[0].year - 1))
    )
    starts = [begin for begin, _ in bounds]
    found: set[int] = set()
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
    starts = [match.start() for match in re.finditer(rb"\nBEGIN:VCALENDAR(?=\n)", upper)]
    zones = []
    for at, start in enumerate(starts):
        end = starts[at + 1] if at + 1 < len(starts) else len(upper)
        match = re.compile(rb"\nX-WR-TIMEZONE(?:;[^\n:]*)?:([^\n]*)").search(upper, start, end)
        zones.append((start, lines[match.start(1) : match.end(1)].decode("latin-1").strip() if match else ""))
    return zones or [(0, "")]
