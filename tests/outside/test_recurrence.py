"""Recurrence, lengths and changes of clocks held against RFC 5545, and rules against python-dateutil.

Sources: data/rfc5545_recurrence.json holds the examples of RFC 5545, section 3.8.5.3 (and one rule of 3.3.10) with the
instances printed there; data/rfc_other_values.json the values of sections 3.3.5, 3.3.6, 3.3.9, 3.8.5.1 and 3.8.5.2, and
of RFC 7986. Each file names where its text was read.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from itertools import takewhile
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rruleset, rrulestr
from hypothesis import given, settings
from hypothesis import strategies as st

from calendars.reading import read_calendar
from calendars.rules import parse_rule
from calendars.stepping import Budget, starts
from calendars.zones import instant

DATA = Path(__file__).parent / "data"
EXAMPLES: list[dict[str, Any]] = json.loads((DATA / "rfc5545_recurrence.json").read_text())["examples"]
OTHER: dict[str, Any] = json.loads((DATA / "rfc_other_values.json").read_text())
NEW_YORK = ZoneInfo("America/New_York")


def calendar(*lines: str) -> bytes:
    body = "\r\n".join(
        ["BEGIN:VCALENDAR", "VERSION:2.0", "BEGIN:VEVENT", "UID:a", *lines, "END:VEVENT", "END:VCALENDAR"]
    )
    return body.encode() + b"\r\n"


def stamp(iso: str) -> str:
    return iso.replace("-", "").replace(":", "")


def starts_read(data: bytes, low: datetime, high: datetime) -> list[datetime]:
    reading = read_calendar(data, source="rfc", zone=NEW_YORK, window=(low.astimezone(UTC), high.astimezone(UTC)))
    assert not [odd for odd in reading.oddities if "left out" in odd.reason], reading.oddities
    return [event.start for event in reading.events]


def example_lines(example: dict[str, Any]) -> list[str]:
    zone = f"TZID={example['tz']}"
    lines = [f"DTSTART;{zone}:{stamp(example['dtstart'])}", f"RRULE:{example['rrule']}"]
    lines += [f"EXDATE;{zone}:{stamp(each)}" for each in example["exdates"]]
    return lines + [f"RDATE;{zone}:{stamp(each)}" for each in example["rdates"]]


@pytest.mark.parametrize("example", EXAMPLES, ids=[example["id"] for example in EXAMPLES])
def test_example_of_the_rfc(example: dict[str, Any]) -> None:
    zone = ZoneInfo(example["tz"])
    expected = [datetime.fromisoformat(each).replace(tzinfo=zone) for each in example["expected_first_n"]]
    if (
        example["id"] == "hourly-3-until-as-printed"
    ):  # UNTIL lies before the last instance printed: erratum, see its note
        expected.pop()
    first = datetime.fromisoformat(example["dtstart"]).replace(tzinfo=zone)
    beyond = timedelta(days=400) if example["complete"] else timedelta(seconds=1)
    found = starts_read(calendar(*example_lines(example)), first - timedelta(days=1), expected[-1] + beyond)
    assert found == [each.astimezone(UTC) for each in expected]


@pytest.mark.parametrize("example", EXAMPLES, ids=[example["id"] for example in EXAMPLES])
def test_example_by_a_second_reference(example: dict[str, Any]) -> None:
    """More than a year of each example, far beyond what is printed, as python-dateutil gives them.

    DTSTART is added to its set: it counts as an instance even where the rule does not give it (RFC 5545, 3.8.5.3).
    """
    zone = ZoneInfo(example["tz"])
    first = datetime.fromisoformat(example["dtstart"]).replace(tzinfo=zone)
    low, high = first - timedelta(days=1), first + timedelta(days=400)
    reference = rruleset()
    reference.rrule(rrulestr(example["rrule"], dtstart=first))
    for each in (first.isoformat()[:19], *example["rdates"]):
        reference.rdate(datetime.fromisoformat(each).replace(tzinfo=zone))
    for each in example["exdates"]:
        reference.exdate(datetime.fromisoformat(each).replace(tzinfo=zone))
    expected = [each.astimezone(UTC) for each in takewhile(lambda at: at < high, reference)]
    assert starts_read(calendar(*example_lines(example)), low, high) == expected


def test_every_example_is_there() -> None:
    assert len(EXAMPLES) == 44


@pytest.mark.parametrize("value", OTHER["rfc5545_3.3.5_dst"]["values"], ids=lambda value: value["local"])
def test_wall_clock_at_a_change_of_clocks(value: dict[str, str]) -> None:
    # RFC 5545, 3.3.5: a time that happens twice is the first; one that does not happen has the offset before the gap.
    expected = datetime.strptime(value["utc"], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    day = timedelta(days=1)
    data = calendar(f"DTSTART;TZID={value['tzid']}:{value['local']}")
    assert starts_read(data, expected - day, expected + day) == [expected]
    assert instant(datetime.fromisoformat(value["local"]), ZoneInfo(value["tzid"])) == expected


def test_leap_second_is_read_as_the_second_before() -> None:
    # RFC 5545, 3.3.5: 19970630T235960Z; systems without leap seconds take it as :59.
    expected = datetime(1997, 6, 30, 23, 59, 59, tzinfo=UTC)
    assert starts_read(calendar("DTSTART:19970630T235960Z"), expected, expected + timedelta(days=1)) == [expected]


@pytest.mark.parametrize(("text", "seconds"), OTHER["rfc5545_3.3.6_duration"]["values"].items())
def test_duration(text: str, seconds: int) -> None:
    # RFC 5545, 3.3.6; in UTC a nominal day has 24 hours.
    start = datetime(1997, 1, 1, tzinfo=UTC)
    data = calendar("DTSTART:19970101T000000Z", f"DURATION:{text}")
    (event,) = read_calendar(data, source="rfc", zone=NEW_YORK, window=(start, start + timedelta(days=1))).events
    assert event.end - event.start == timedelta(seconds=seconds)


@pytest.mark.parametrize("text", ["P1W2D3", "PT1H30", "P", "PT", "1D", "-P1D"])
def test_what_is_no_duration_is_refused(text: str) -> None:
    # RFC 5545, 3.3.6: the grammar; some libraries read "P" as zero.
    start = datetime(1997, 1, 1, tzinfo=UTC)
    data = calendar("DTSTART:19970101T000000Z", f"DURATION:{text}")
    reading = read_calendar(data, source="rfc", zone=NEW_YORK, window=(start, start + timedelta(days=1)))
    assert not reading.events
    assert len(reading.oddities) == 1


@pytest.mark.parametrize(
    ("length", "hours"),
    [
        ("DURATION:PT24H", [24, 24]),
        ("DURATION:P1D", [23, 24]),
        ("DTEND;TZID=America/New_York:20260308T120000", [23, 23]),
    ],
)
def test_length_across_a_change_of_clocks(length: str, hours: list[int]) -> None:
    # RFC 5545, 3.3.6 and 3.8.5.3: hours are exact, days nominal; DTEND gives every instance the same exact length.
    data = calendar("DTSTART;TZID=America/New_York:20260307T120000", length, "RRULE:FREQ=DAILY;COUNT=2")
    window = (datetime(2026, 3, 7, tzinfo=UTC), datetime(2026, 3, 12, tzinfo=UTC))
    events = read_calendar(data, source="rfc", zone=NEW_YORK, window=window).events
    assert [event.end - event.start for event in events] == [timedelta(hours=each) for each in hours]


def test_exdate_of_the_rfc() -> None:
    # RFC 5545, 3.8.5.1: EXDATE:19960402T010000Z,19960403T010000Z,19960404T010000Z
    values = OTHER["rfc5545_3.8.5.1_exdate"]["values"]
    data = calendar("DTSTART:19960401T010000Z", "RRULE:FREQ=DAILY;COUNT=5", f"EXDATE:{','.join(values)}")
    found = starts_read(data, datetime(1996, 3, 1, tzinfo=UTC), datetime(1996, 5, 1, tzinfo=UTC))
    assert [each.day for each in found] == [1, 5]


def test_rdate_of_the_rfc() -> None:
    # RFC 5545, 3.8.5.2: two ways to write one instant, periods, and dates.
    utc, zoned, periods, dates = OTHER["rfc5545_3.8.5.2_rdate"]["values"]
    year = (datetime(1996, 1, 1, tzinfo=UTC), datetime(1998, 1, 1, tzinfo=UTC))
    both = starts_read(calendar("DTSTART:19970101T000000Z", utc, zoned), *year)
    assert both == [datetime(1997, 1, 1, tzinfo=UTC), datetime(1997, 7, 14, 12, 30, tzinfo=UTC)]
    data = calendar("DTSTART:19960401T000000Z", "DTEND:19960401T003000Z", periods)
    events = read_calendar(data, source="rfc", zone=NEW_YORK, window=year).events
    assert [(event.end - event.start) / timedelta(hours=1) for event in events] == [0.5, 2, 3]
    found = starts_read(calendar("DTSTART;VALUE=DATE:19970101", dates), *year)
    assert [f"{each.astimezone(NEW_YORK):%Y%m%d}" for each in found] == dates.partition(":")[2].split(",")


@pytest.mark.parametrize(("text", "seconds"), OTHER["rfc5545_3.3.9_period"]["values"].items())
def test_period(text: str, seconds: int) -> None:
    # RFC 5545, 3.3.9
    data = calendar("DTSTART:19961231T000000Z", f"RDATE;VALUE=PERIOD:{text}")
    window = (datetime(1997, 1, 1, tzinfo=UTC), datetime(1997, 1, 2, tzinfo=UTC))
    (event,) = read_calendar(data, source="rfc", zone=NEW_YORK, window=window).events
    assert event.end - event.start == timedelta(seconds=seconds)


@pytest.mark.parametrize(
    "text", ["19970102T070000Z/19970101T180000Z", "19970101T180000Z/-PT1H", "19970101T180000Z/PT0S"]
)
def test_period_that_ends_before_it_starts_is_refused(text: str) -> None:
    # RFC 5545, 3.3.9: the start must be before the end, the duration positive.
    data = calendar("DTSTART:19961231T000000Z", f"RDATE;VALUE=PERIOD:{text}")
    window = (datetime(1997, 1, 1, tzinfo=UTC), datetime(1997, 1, 2, tzinfo=UTC))
    reading = read_calendar(data, source="rfc", zone=NEW_YORK, window=window)
    assert not reading.events
    assert "left out" in reading.oddities[0].reason


DAYS = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"]
FIRST = st.integers(0, 37 * 365 * 24 * 60).map(
    lambda at: datetime.fromisoformat("1990-01-01T00:00") + timedelta(minutes=at)
)


@st.composite
def rule_texts(draw: st.DrawFn) -> str:
    """Rules both sides read alike: no bare BYWEEKNO (ours takes DTSTART's weekday), no numbered beside plain days."""
    frequency = draw(st.sampled_from(["YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY", "SECONDLY"]))
    least, most = {"MINUTELY": (20, 90), "SECONDLY": (600, 4000)}.get(frequency, (1, 5))
    parts = [f"FREQ={frequency}", f"INTERVAL={draw(st.integers(least, most))}"]
    if draw(st.booleans()):
        parts.append(f"COUNT={draw(st.integers(1, 40))}")

    def numbers(name: str, values: list[int], most: int = 3) -> None:
        if draw(st.integers(0, 2)) == 0:
            chosen = draw(st.lists(st.sampled_from(values), min_size=1, max_size=most, unique=True))
            parts.append(f"{name}={','.join(map(str, chosen))}")

    numbers("BYMONTH", list(range(1, 13)), 6)
    signed = [*range(1, 32), -1, -2, -7]
    if frequency in ("YEARLY", "MONTHLY", "DAILY"):
        numbers("BYMONTHDAY", signed, 5)
    if frequency == "YEARLY":
        numbers("BYYEARDAY", [1, 60, 100, 200, 366, -1, -100])
    if draw(st.booleans()):
        days = draw(st.lists(st.sampled_from(DAYS), min_size=1, max_size=4, unique=True))
        ordinals = ["1", "2", "-1"] if frequency in ("YEARLY", "MONTHLY") and draw(st.booleans()) else [""]
        parts.append("BYDAY=" + ",".join(draw(st.sampled_from(ordinals)) + day for day in days))
        if frequency == "YEARLY" and ordinals == [""]:
            numbers("BYWEEKNO", [1, 2, 20, 52, 53, -1])
    if frequency in ("WEEKLY", "YEARLY"):
        parts.append(f"WKST={draw(st.sampled_from(DAYS))}")
    numbers("BYHOUR", list(range(24)))
    numbers("BYMINUTE", list(range(0, 60, 5)))
    if frequency in ("YEARLY", "MONTHLY", "WEEKLY") and any(part.startswith("BYDAY") for part in parts):
        numbers("BYSETPOS", [1, 2, -1])
    return ";".join(parts)


def check_against_dateutil(text: str, first: datetime) -> None:
    """Compare a window of a year and a half, of two months for rules below a day.

    A rule without COUNT is looked at some time after DTSTART, where ours has leapt to.
    """
    short = any(frequency in text for frequency in ("HOURLY", "MINUTELY", "SECONDLY"))
    low = first + (timedelta(seconds=1) if "COUNT" in text else timedelta(days=20 if short else 500))
    high = low + timedelta(days=60 if short else 550)
    rule = parse_rule(text)
    found = list(starts(rule, first, low, high, None, Budget(10**7)))
    try:
        instances = list(takewhile(lambda at: at <= high, rrulestr(text, dtstart=first)))
    except ValueError:  # hours that the interval never meets: the reference refuses such a rule
        instances = []
    if rule.count and first not in instances:  # DTSTART counts although it does not fit: ours stops one earlier
        instances = instances[: rule.count - 1]
    assert found == [at for at in instances if low <= at]


@settings(max_examples=50, derandomize=True, deadline=None)
@given(rule_texts(), FIRST)
def test_rules_against_dateutil(text: str, first: datetime) -> None:
    check_against_dateutil(text, first)


@pytest.mark.long
@settings(max_examples=500, derandomize=True, deadline=None)
@given(rule_texts(), FIRST)
def test_many_rules_against_dateutil(text: str, first: datetime) -> None:
    check_against_dateutil(text, first)
