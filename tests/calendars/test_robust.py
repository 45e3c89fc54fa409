"""Properties of reading as a whole: what is screened away would not have been there, and damage is never a crash."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calendars.event import Event, Reading
from calendars.reading import read_calendar
from calendars.store import UnreadableCalendar

HOME = ZoneInfo("Europe/Berlin")
FIRST = datetime(2026, 1, 1, tzinfo=UTC)
YEARS = (FIRST - timedelta(days=400), FIRST + timedelta(days=1200))


def read(data: bytes, window: tuple[datetime, datetime]) -> Reading:
    return read_calendar(data, source="family", zone=HOME, window=window)


@st.composite
def blocks(draw: st.DrawFn) -> str:
    """One VEVENT, single or a series, of a few UIDs so that versions and changes meet."""
    day = FIRST + timedelta(days=draw(st.integers(0, 600)), minutes=draw(st.integers(0, 1440)))
    all_day = draw(st.booleans())
    stamp = f"{day:%Y%m%d}" if all_day else f"{day:%Y%m%dT%H%M00}"
    zone = "" if all_day else draw(st.sampled_from(["", "Z", ";TZID=America/New_York"]))
    start = f"{zone if zone != 'Z' else ''}:{stamp}{'Z' if zone == 'Z' else ''}"
    lines = [f"UID:{draw(st.sampled_from('abcd'))}", f"SEQUENCE:{draw(st.integers(0, 2))}", f"DTSTART{start}"]
    if draw(st.booleans()):
        lines.append(f"DURATION:P{draw(st.integers(0, 20))}D" + ("" if all_day else f"T{draw(st.integers(0, 30))}H"))
    kind = draw(st.integers(0, 3))
    if kind == 1:
        frequency = draw(st.sampled_from(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]))
        end = draw(st.sampled_from(["", ";COUNT=5", ";COUNT=40", ";UNTIL=20270101T000000Z"]))
        lines.append(f"RRULE:FREQ={frequency};INTERVAL={draw(st.integers(1, 3))}{end}")
        lines += [f"EXDATE{start}"] * draw(st.integers(0, 1))
    elif kind == 2:
        lines.append(f"RECURRENCE-ID{draw(st.sampled_from(['', ';RANGE=THISANDFUTURE']))}{start}")
    elif kind == 3:
        lines.append(f"RDATE:{day + timedelta(days=draw(st.integers(0, 400))):%Y%m%dT%H%M00Z}")
    return "\n".join(["BEGIN:VEVENT", *lines, "END:VEVENT", ""])


CALENDARS = st.lists(blocks(), min_size=1, max_size=8).map(
    lambda some: f"BEGIN:VCALENDAR\n{''.join(some)}END:VCALENDAR\n".encode()
)


def check_window(data: bytes, day: int, length: int) -> None:
    window = (FIRST + timedelta(days=day), FIRST + timedelta(days=day + length))

    def touches(event: Event) -> bool:
        return event.start < window[1] and (window[0] < event.end or window[0] <= event.start)

    assert read(data, window).events == tuple(filter(touches, read(data, YEARS).events))


@settings(max_examples=50, derandomize=True, deadline=None)
@given(CALENDARS, st.integers(0, 700), st.integers(1, 90))
def test_a_window_shows_what_a_look_at_all_years_shows_of_it(data: bytes, day: int, length: int) -> None:
    check_window(data, day, length)


@pytest.mark.long
@settings(max_examples=2000, derandomize=True, deadline=None)
@given(CALENDARS, st.integers(0, 700), st.integers(1, 90))
def test_many_windows(data: bytes, day: int, length: int) -> None:
    check_window(data, day, length)


REAL = (
    b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nX-WR-TIMEZONE:Europe/London\r\nBEGIN:VEVENT\r\nUID:a\r\nSUMMARY:Tea\\, cake\r\n"
    b"DTSTART;TZID=Europe/Berlin:20260105T100000\r\nDURATION:P1DT1H\r\nRRULE:FREQ=MONTHLY;BYDAY=1MO,-1FR;COUNT=30\r\n"
    b"EXDATE;VALUE=DATE:20260202\r\nRDATE;VALUE=PERIOD:20260301T100000Z/PT3H\r\nATTENDEE;CN=Jo;PARTSTAT=DECLINED:mailto:j"
    b"\r\n o@example.org\r\nCATEGORIES:A,B\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nUID:a\r\nRECURRENCE-ID;RANGE=THISANDFUTURE:"
    b"20260601T080000Z\r\nDTSTART:20260602T080000Z\r\nSEQUENCE:2\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


def check_damage(spots: list[tuple[int, bytes]]) -> None:
    data = bytearray(REAL)
    for at, junk in spots:
        at %= len(data)
        data[at : at + len(junk)] = junk
    try:
        reading = read(bytes(data), YEARS)
    except UnreadableCalendar as error:
        told = [str(error)]
    else:
        told = [*(event.summary + event.uid for event in reading.events), *map(str, reading.oddities)]
    assert not [text for text in told for char in text if ord(char) < 32 or 0x7F <= ord(char) < 0xA0]


JUNK = st.sampled_from(
    [b"\n", b"\r\n ", b":", b";", b'"', b"=", b",", b"9999", b"-", b"\x00", b"\xff", b"\x1b[2J", b"T", b"0"]
)
DAMAGE = st.lists(st.tuples(st.integers(0, len(REAL)), JUNK | st.binary(max_size=4)), min_size=1, max_size=5)


@settings(max_examples=50, derandomize=True, deadline=None)
@given(DAMAGE)
def test_damage_is_told_and_never_a_crash(spots: list[tuple[int, bytes]]) -> None:
    check_damage(spots)


@pytest.mark.long
@settings(max_examples=3_000, derandomize=True, deadline=None)
@given(DAMAGE)
def test_much_damage(spots: list[tuple[int, bytes]]) -> None:
    check_damage(spots)
