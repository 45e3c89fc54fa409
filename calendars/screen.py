"""Finds, in the raw bytes of a calendar file, the few events that can touch a window, without parsing the rest.

Parsing costs a quarter of a millisecond an event; a family's calendar of ten years has thousands, a fortnight needs
twenty. What is looked at here: the years on the lines that say when, and whether an event repeats. All that runs over
the whole file is a search or a split of bytes; only what these find is looked at one by one.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import islice

from calendars.scan import Head, Lines, Part, components, refuse_too_large
from calendars.store import UnreadableCalendar

MOST_EVENTS = 20_000
"""How many events may touch the window, or repeat, before the file is refused."""
MOST_OTHERS = 2_000
"""How many free-busy answers, and how many availabilities, are looked at."""

_SLACK = timedelta(days=2)  # zones differ by a day at most
_BEGIN, _END = b"\nBEGIN:VEVENT", b"\nEND:VEVENT"
_UID = re.compile(rb"\nUID(?:;[^\n:]*)?:([^\n]*)")
_DATE = rb"(?:;[^\n]*)?:(?:[^\n:]*:)?(\d{8})"
_START = re.compile(rb"\nDTSTART" + _DATE)
_FINISH = re.compile(rb"\nDTEND" + _DATE)
_ORIGINAL = re.compile(rb"\nRECURRENCE-ID" + _DATE)
_SHORT = timedelta(days=45)
"""Longer than any DURATION that `_LONG` does not find, slack included."""
_LONG = re.compile(rb"\nDURATION[^\n]*(?:W|\d\dD|\d{3}H|\d{5}M|\d{6}S)")
_REPEATS = re.compile(rb"\nR(?:RULE|DATE)[;:]|\nRECURRENCE-ID;[^\n:]*RANGE=")
_NO_DATE = re.compile(rb"\nDTSTART(?!:\d{8})(?![;:][^\n]*:\d{8})")
_NO_START = re.compile(
    rb"\nBEGIN:VEVENT[ \t]*\n(?=(?:(?!DTSTART(?:;[^\n]*)?:(?:[^\n:]*:)?\d{8}|(?:BEGIN|END):VEVENT)[^\n]*\n)*END:VEVENT)"
)
_RULE = re.compile(rb"\nRRULE[^\n:]*:([^\n]*)")
_DAYS = {b"DAILY": 1, b"WEEKLY": 7}
_AGAIN = re.compile(rb"\nR(?:RULE|DATE|ECURRENCE-ID)[;:]")


@dataclass(frozen=True)
class Block:
    """The unfolded lines of one component, between BEGIN and END, and what its calendar says for all in it."""

    text: str
    head: Head


@dataclass(frozen=True)
class Found:
    """What a calendar holds of use for a window.

    unclosed: how many events have no end and were passed over; others: so many free-busy answers and availabilities,
    also those beyond `MOST_OTHERS`.
    """

    events: tuple[Block, ...] = ()
    free_busy: tuple[Block, ...] = ()
    availability: tuple[Block, ...] = ()
    unclosed: int = 0
    others: int = 0


def find(parts: Sequence[Part], window: tuple[datetime, datetime]) -> Found:
    """Return the components that can touch the window, in order. Raises UnreadableCalendar for absurdly many."""
    refuse_too_large(sum(len(part.lines) for part in parts))
    lines = Lines.of(parts)
    events = _Events(lines.upper)
    wanted = events.with_same_uid(events.touching(window))
    if len(wanted) > MOST_EVENTS:
        raise UnreadableCalendar(
            f"has {len(wanted):,} events that repeat or fall into these days; at most {MOST_EVENTS:,} are read"
        )
    (free_busy, some), (availability, more) = (_others(lines, name) for name in (b"VFREEBUSY", b"VAVAILABILITY"))
    blocks = tuple(Block(lines.text(*span), lines.head(span[0])) for span in sorted(wanted))
    return Found(blocks, free_busy, availability, events.unclosed, some + more)


def _others(lines: Lines, name: bytes) -> tuple[tuple[Block, ...], int]:
    """Return the components of this name, however long ago or far off, and how many are passed over."""
    spans = islice(components(lines.upper, name, 0, len(lines.upper)), MOST_OTHERS)
    blocks = tuple(Block(lines.text(start, end), lines.head(start)) for start, end in spans)
    return blocks, lines.upper.count(b"\nBEGIN:" + name) - len(blocks)


Span = tuple[int, int]
"""Where the lines of an event begin and end, from the newline before the first."""


class _Events:
    """The VEVENTs of a file, each found only when something in it is of interest."""

    def __init__(self, upper: bytes) -> None:
        self._upper = upper
        self._unclosed: set[int] = set()

    @property
    def unclosed(self) -> int:
        """How many events have no end, as far as anything in them was of interest."""
        return max(self._upper.count(_BEGIN) - self._upper.count(_END), len(self._unclosed))

    def touching(self, window: tuple[datetime, datetime]) -> set[Span]:
        """Return the events that may touch the window, or repeat, or do not say when they are."""
        low, high = window[0] - _SLACK, window[1] + _SLACK
        hints = (
            _AGAIN,
            _LONG,
            re.compile(rb"\nDTSTART[;:](?:[^\n]*:)?(?:%b)" % b"|".join(_months(low - _SHORT, high))),
            re.compile(rb"\nDTEND[;:](?:[^\n]*:)?(?:%b)" % b"|".join(_months_from(low))),
        )
        hinted = self._holding(match.start() for hint in hints for match in hint.finditer(self._upper))
        days = tuple(_day_number(day) for day in (low - _SHORT, low, high))
        return {span for span in hinted if _near(self._upper[slice(*span)], *days)} | self._without_date()

    def _holding(self, places: Iterable[int]) -> set[Span]:
        """Return the events that hold any of these places; every byte is looked at once, whatever the places."""
        found: set[Span] = set()
        looked, begin, span = 0, -1, None
        for place in sorted(places):
            later = self._upper.rfind(_BEGIN, max(looked - len(_BEGIN), 0), place)
            if later > begin:
                begin, span = later, self._closed(later)
            looked = place
            if span and place < span[1]:
                found.add(span)
        return found

    def _closed(self, begin: int) -> Span | None:
        """Return the lines of the event that begins at a place. One that another begins inside has no end."""
        start = begin + len(_BEGIN)
        if not self._upper[start : start + 1].isspace():
            return None
        following = self._upper.find(_BEGIN, start)
        end = self._upper.find(_END, start, following if following >= 0 else len(self._upper))
        if end < 0:
            self._unclosed.add(begin)
            return None
        return start, end

    def _without_date(self) -> set[Span]:
        """Return the events whose DTSTART is missing or no date, so that the parser says what is wrong with them."""
        zones = components(self._upper, b"VTIMEZONE", 0, len(self._upper))
        elsewhere = sum(self._upper.count(b"\nDTSTART", *zone) for zone in zones)
        if self._upper.count(b"\nDTSTART") - elsewhere == self._upper.count(_BEGIN):
            places = _NO_DATE.finditer(self._upper)  # each event has one, as nearly always
        else:
            places = _NO_START.finditer(self._upper)
        return self._holding(place.end() for place in places)

    def with_same_uid(self, found: set[Span]) -> set[Span]:
        """Add the other events of the UIDs found: a newer version, or a change to one occurrence, may lie elsewhere."""
        uids = _UID.findall(self._upper)
        if not found or len(set(uids)) == len(uids):
            return found
        counted = Counter(uids)
        ours = (_UID.search(self._upper, *span) for span in found)
        shared = {uid[1] for uid in ours if uid and counted[uid[1]] > 1}
        if not shared:
            return found
        return found | self._holding(match.start() for match in _UID.finditer(self._upper) if match[1] in shared)


def _months(first: datetime, last: datetime) -> Iterator[bytes]:
    """Yield patterns for how dates from the month of one day to that of another begin."""
    for year in range(first.year, last.year + 1):
        least = first.month if year == first.year else 1
        most = last.month if year == last.year else 12
        yield b"%04d(?:%b)" % (year, b"|".join(b"%02d" % month for month in range(least, most + 1)))


def _months_from(first: datetime) -> Iterator[bytes]:
    """Yield patterns for how dates from the month of a day on begin, however far off."""
    yield from _months(first, first.replace(month=12))
    digits = f"{first.year:04d}"
    for place, digit in enumerate(digits):
        if digit != "9":
            yield f"{digits[:place]}[{int(digit) + 1}-9]".encode() + rb"\d" * (3 - place)


def _near(body: bytes, before: int, low: int, high: int) -> bool:
    """Return whether the event, its original place in its series, or a repetition can lie between `low` and `high`.

    before: what starts earlier than that day and is not `_LONG` is over by `low`.
    """
    if b"\nBEGIN:" in body:  # alarms have times of their own
        body = body[: body.index(b"\nBEGIN:")] + body[body.rfind(b"\nEND:") :]
    start, finish, original = (_first_date(pattern, body) for pattern in (_START, _FINISH, _ORIGINAL))
    if _REPEATS.search(body):
        return not _over(body, start, finish, low)
    if original is not None and low - 20_000 <= original <= high:  # the occurrence may last for two years
        return True
    if start is None or start % 100 > 31:
        return True  # let the parser say what is wrong with it
    if start <= high and _LONG.search(body):
        return True
    return start <= high and max(start, finish or start) >= (before if b"\nDURATION" in body else low)


def _over(body: bytes, start: int | None, finish: int | None, low: int) -> bool:
    """Return whether a series surely ended before a day: by UNTIL, or by COUNT where every period has an instance."""
    rules = _RULE.findall(body)
    if start is None or len(rules) != 1 or _LONG.search(body) or body.count(b"\nR") != 1:
        return False
    parts = dict(part.split(b"=", 1) for part in rules[0].split(b";") if b"=" in part)
    try:
        first = _day(start)
        if b"UNTIL" in parts:
            last = _day(int(parts[b"UNTIL"][:8]))
        elif parts.keys() <= {b"FREQ", b"COUNT", b"INTERVAL", b"BYDAY", b"WKST"} and parts[b"FREQ"] in _DAYS:
            if parts[b"FREQ"] == b"DAILY" and b"BYDAY" in parts:
                return False
            periods = int(parts[b"COUNT"]) * int(parts.get(b"INTERVAL", b"1"))
            last = first + timedelta(days=_DAYS[parts[b"FREQ"]] * (periods + 1))
        else:
            return False
        return max(first, last) + max(_day(finish or start) - first, timedelta()) + _SHORT < _day(low)
    except (ValueError, OverflowError, KeyError):
        return False


def _day(number: int) -> date:
    """Return the date written as a number like 20270301. Raises ValueError."""
    return date(number // 10_000, number // 100 % 100, number % 100)


def _first_date(pattern: re.Pattern[bytes], body: bytes) -> int | None:
    """Return the date on the first such line as a number like 20270301."""
    match = pattern.search(body)
    return int(match[1]) if match else None


def _day_number(moment: datetime) -> int:
    """Return 20270301 for 1 March 2027, as the dates of a file compare."""
    return moment.year * 10_000 + moment.month * 100 + moment.day
