"""Time zones that a file brings along: used where nobody knows the name, reported where they disagree."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calendars.event import Event, Reading
from calendars.vtimezone import BadZone, file_zone
from calendars.zones import instant, wall_clock

Ics = Callable[..., bytes]
Read = Callable[..., Reading]

KITCHEN = """BEGIN:VTIMEZONE
TZID:Kitchen clock
BEGIN:DAYLIGHT
DTSTART:16010101T020000
TZOFFSETFROM:+0500
TZOFFSETTO:+0600
RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3
END:DAYLIGHT
BEGIN:STANDARD
DTSTART:16010101T030000
TZOFFSETFROM:+0600
TZOFFSETTO:+0500
RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=10
END:STANDARD
END:VTIMEZONE"""
BERLIN = KITCHEN.replace("Kitchen clock", "Europe/Berlin").replace("+0500", "+0100").replace("+0600", "+0200")
AT_TEN = "UID:a\nSUMMARY:Tea\nDTSTART;TZID={}:2027{}T100000\nDURATION:PT1H"


def only(reading: Reading) -> Event:
    assert len(reading.events) == 1, reading
    return reading.events[0]


@pytest.mark.parametrize(("day", "hour"), [("0316", 5), ("0329", 4)])
def test_an_unknown_name_is_what_its_file_says(ics: Ics, read: Read, day: str, hour: int) -> None:
    reading = read(ics(AT_TEN.format("Kitchen clock", day), head=KITCHEN))
    assert only(reading).start.hour == hour
    (odd,) = reading.oddities
    assert (odd.uid, odd.file, odd.kind) == ("", "family", "translated")
    assert odd.reason == "“Kitchen clock” is a time zone of this file alone; its own rules are followed"


def test_a_series_keeps_the_wall_clock_of_such_a_zone(ics: Ics, read: Read) -> None:
    reading = read(ics(AT_TEN.format("Kitchen clock", "0316") + "\nRRULE:FREQ=WEEKLY;COUNT=3", head=KITCHEN))
    assert [event.start.hour for event in reading.events] == [5, 5, 4]


@pytest.mark.parametrize("until", ["20150329T030000Z", "20150329T050000", "20150329"])
def test_rules_of_long_ago_give_way_to_what_came_after(ics: Ics, read: Read, until: str) -> None:
    """The summers ended in 2015: what was left is the offset after the last change."""
    definition = KITCHEN.replace("BYMONTH=3", f"BYMONTH=3;UNTIL={until}").replace(
        "BYMONTH=10", "BYMONTH=10;UNTIL=20151025T210000Z"
    )
    reading = read(ics(AT_TEN.format("Kitchen clock", "0329"), head=definition))
    assert only(reading).start.hour == 5
    assert wall_clock(only(reading).start, file_zone("x", definition, 2020, 2030)).tzinfo is None
    zone = file_zone("x", definition, 2020, 2030)
    assert str(only(reading).start.astimezone(zone).tzname()) == "x"
    assert only(reading).start.astimezone(zone).dst() is None


def test_it_may_be_the_zone_of_the_whole_calendar(ics: Ics, read: Read) -> None:
    head = f"X-WR-TIMEZONE:Kitchen clock\n{KITCHEN}"
    reading = read(ics("UID:a\nDTSTART:20270316T100000", head=head))
    assert only(reading).start.hour == 5
    assert {odd.kind for odd in reading.oddities} == {"translated", "assumed"}


def test_each_calendar_of_a_file_has_its_own(ics: Ics, read: Read) -> None:
    other = KITCHEN.replace("+0500", "-0300").replace("+0600", "-0200")
    event = AT_TEN.format("Kitchen clock", "0316")
    data = ics(event, head=KITCHEN) + ics(event.replace("UID:a", "UID:b"), head=other)
    assert {event.uid: event.start.hour for event in read(data).events} == {"a": 5, "b": 13}


def test_a_known_name_that_is_described_as_it_is_needs_no_word(ics: Ics, read: Read) -> None:
    reading = read(ics(AT_TEN.format("Europe/Berlin", "0316"), head=BERLIN))
    assert only(reading).start.hour == 9
    assert reading.oddities == ()


@pytest.mark.parametrize("name", ["Europe/Berlin", "W. Europe Standard Time"])
def test_a_known_name_described_otherwise_is_what_everybody_takes_it_for(ics: Ics, read: Read, name: str) -> None:
    reading = read(ics(AT_TEN.format(name, "0316"), head=KITCHEN.replace("Kitchen clock", name)))
    assert only(reading).start.hour == 9
    (odd,) = reading.oddities
    assert (odd.uid, odd.kind) == ("a", "assumed")
    assert odd.reason == (
        f"“Tea” gives the time zone “{name}” other rules than it has; those of Europe/Berlin are followed"
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3", "FREQ=SECONDLY"),
        ("FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3", "FREQ=DAILY;COUNT=999999"),
        ("+0600", "+9900"),
        ("+0600", "six"),
        ("16010101T020000", "soon"),
        ("16010101T020000", "00010101T020000"),
        ("TZOFFSETFROM:+0500\n", ""),
        ("BEGIN:DAYLIGHT", "BEGIN:NIGHT"),
        ("FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3", "FREQ=YEARLY;UNTIL=never"),
    ],
)
def test_a_description_that_cannot_be_used_is_passed_over(ics: Ics, read: Read, old: str, new: str) -> None:
    definition = KITCHEN.replace(old, new)
    if "NIGHT" in new:
        definition = KITCHEN.replace("DAYLIGHT", "NIGHT").replace("STANDARD", "DAY")
    if new == "00010101T020000":
        definition = definition.replace("+0500", "+2300")
    reading = read(ics(AT_TEN.format("Kitchen clock", "0316"), head=definition))
    (odd,) = reading.oddities
    if new == "00010101T020000":
        assert only(reading).start.day in (15, 16)
    else:
        assert only(reading).start.hour == 9
        assert "a time zone that is not known, “Kitchen clock”; read as Europe/Berlin" in odd.reason


def test_many_zones_and_long_ones_are_not_all_looked_at(ics: Ics, read: Read) -> None:
    many = "\n".join(KITCHEN.replace("Kitchen clock", f"Clock {n}") for n in range(100))
    long = KITCHEN.replace("END:STANDARD", "X-FILL:x\n" * 20_000 + "END:STANDARD")
    for head, name in ((f"{many}\n{KITCHEN}", "Kitchen clock"), (long, "Kitchen clock")):
        reading = read(ics(AT_TEN.format(name, "0316"), head=head))
        assert "is not known" in reading.oddities[0].reason
    assert only(read(ics(AT_TEN.format("Clock 3", "0316"), head=many))).start.hour == 5


def test_zones_that_never_end_are_looked_at_once(ics: Ics, read: Read) -> None:
    head = "BEGIN:VTIMEZONE\nTZID:Kitchen clock\n" * 30_000
    assert "is not known" in read(ics(AT_TEN.format("Kitchen clock", "0316"), head=head)).oddities[0].reason


def lines_for(zone: ZoneInfo) -> str:
    """Describe a zone of the database by looking at every hour of three years: a part for each change of offset."""
    lines, at = ["TZID:x"], datetime(2024, 12, 1, tzinfo=UTC)
    before = at.astimezone(zone).utcoffset()
    while at.year < 2028:
        after = at.astimezone(zone).utcoffset()
        assert before is not None
        assert after is not None
        if after != before or len(lines) == 1:
            local = (at + before).replace(tzinfo=None)
            offsets = (f"TZOFFSET{name}:{_offset(value)}" for name, value in (("FROM", before), ("TO", after)))
            lines += ["BEGIN:STANDARD", f"DTSTART:{local:%Y%m%dT%H%M%S}", *offsets, "END:STANDARD"]
        before, at = after, at + timedelta(hours=1)
    return "\n".join(lines) + "\n"


def _offset(length: timedelta) -> str:
    minutes = length // timedelta(minutes=1)
    return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02}{abs(minutes) % 60:02}"


NEW_YORK = BERLIN.replace("+0200", "-0400").replace("+0100", "-0500").replace("030000", "020000")
NEW_YORK = NEW_YORK.replace("BYDAY=-1SU;BYMONTH=3", "BYDAY=2SU;BYMONTH=3").replace(
    "BYDAY=-1SU;BYMONTH=10", "BYDAY=1SU;BYMONTH=11"
)
NAMES = ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Africa/Casablanca", "Asia/Kathmandu", "UTC"]


@pytest.mark.parametrize(
    ("name", "text"),
    [("Europe/Berlin", BERLIN), ("America/New_York", NEW_YORK), *((name, lines_for(ZoneInfo(name))) for name in NAMES)],
    ids=["Berlin by rules", "New York by rules", *NAMES],
)
def test_against_the_database(name: str, text: str) -> None:
    """Described by rules as clients do, or change by change, a zone shows what the database says, gaps and all."""
    theirs, ours = ZoneInfo(name), file_zone(name, text, 2024, 2028)
    at, differ = datetime(2025, 1, 1, tzinfo=UTC), []
    while at.year < 2028:
        local = wall_clock(at, theirs)
        skipped = local + timedelta(minutes=35)
        if local != wall_clock(at, ours) or any(
            instant(each, ours) != instant(each, theirs) for each in (local, skipped)
        ):
            differ.append(at)
        at += timedelta(minutes=465)
    assert differ == []


@settings(max_examples=50, derandomize=True, deadline=None)
@given(st.text(alphabet="BEGINSTADRLYHOFSVZ:;=+-0123456789T\n", max_size=400))
def test_nonsense_is_refused(text: str) -> None:
    with pytest.raises(BadZone):
        file_zone("x", f"BEGIN:STANDARD\n{text}", 2020, 2030)
