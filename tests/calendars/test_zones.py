"""Zones, wall-clock times and local days."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from calendars.zones import day_span, instant, local_midnights, lookup, wall_clock

BERLIN = ZoneInfo("Europe/Berlin")


@pytest.mark.parametrize(
    ("tzid", "name"),
    [
        ("Europe/London", "Europe/London"),
        ("europe/london", "Europe/London"),
        ("W. Europe Standard Time", "Europe/Berlin"),
        ("/freeassociation.example/Europe/London", "Europe/London"),
        ("/maker/2.0/America/Argentina/Salta", "America/Argentina/Salta"),
        ("UTC", "UTC"),
    ],
)
def test_known_names(tzid: str, name: str) -> None:
    choice = lookup(tzid, BERLIN)
    assert (choice.zone.key, choice.kind) == (name, "translated")
    assert choice.told == ("" if tzid.casefold() == name.casefold() else f"the time zone “{tzid}” is {name}")


@pytest.mark.parametrize("tzid", ["", "/", "Kitchen", "../../etc/passwd", "Europe", "a" * 1000, "Europe/\x00", "‮"])
def test_unknown_names_fall_back_and_say_so(tzid: str) -> None:
    choice = lookup(tzid, BERLIN)
    assert choice.zone == BERLIN
    assert choice.kind == "assumed"
    assert "read as Europe/Berlin" in choice.told


@pytest.mark.parametrize(
    ("month", "hours"),
    [(date(2027, 3, 27), [24, 23, 24]), (date(2027, 10, 30), [24, 25, 24]), (date(2027, 6, 1), [24, 24, 24])],
)
def test_midnights_bound_local_days(month: date, hours: list[int]) -> None:
    midnights = local_midnights(BERLIN, month, 3)
    assert len(midnights) == 4
    assert [(b - a) / timedelta(hours=1) for a, b in pairwise(midnights)] == hours
    assert all(wall_clock(at, BERLIN).time() == datetime.min.time() for at in midnights)


def test_a_midnight_the_clocks_skip_is_the_first_moment_of_the_day() -> None:
    # In Beirut the clocks went from 0:00 to 1:00 on 27 March 2022.
    (start, _) = local_midnights(ZoneInfo("Asia/Beirut"), date(2022, 3, 27), 1)
    assert wall_clock(start, ZoneInfo("Asia/Beirut")) == datetime.fromisoformat("2022-03-27T01:00")


def test_wall_clock_spans_keep_to_the_wall_clock() -> None:
    winter, summer = (day_span("17:30", "21:30", BERLIN, day) for day in (date(2027, 3, 27), date(2027, 3, 28)))
    assert winter == (datetime(2027, 3, 27, 16, 30, tzinfo=UTC), datetime(2027, 3, 27, 20, 30, tzinfo=UTC))
    assert summer == (datetime(2027, 3, 28, 15, 30, tzinfo=UTC), datetime(2027, 3, 28, 19, 30, tzinfo=UTC))


def test_a_span_over_midnight_and_over_a_change_of_clocks() -> None:
    start, end = day_span("22:00", "06:00", BERLIN, date(2027, 3, 27))
    assert end - start == timedelta(hours=7)
    start, end = day_span("00:00", "24:00", BERLIN, date(2027, 10, 31))
    assert end - start == timedelta(hours=25)


def test_a_skipped_time_moves_forward_and_a_doubled_one_is_the_first() -> None:
    # Europe/Berlin: 2:00 to 3:00 is skipped on 28 March 2027, and happens twice on 31 October 2027.
    assert instant(datetime.fromisoformat("2027-03-28T02:30"), BERLIN) == datetime(2027, 3, 28, 1, 30, tzinfo=UTC)
    assert instant(datetime.fromisoformat("2027-10-31T02:30"), BERLIN) == datetime(2027, 10, 31, 0, 30, tzinfo=UTC)


@pytest.mark.parametrize("text", ["", "25:00", "17.30", "7", "17:60", "24:01", "-1:00", "aa:bb", "017:30"])
def test_what_is_no_time_of_day_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a time of day"):
        day_span(text, "21:00", BERLIN, date(2027, 3, 1))
