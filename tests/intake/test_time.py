"""The plan's clock: local days over changes of clocks, wall-clock hours, step functions."""

from datetime import UTC, date, datetime, time
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.intake.time import Clock, joined, longest_gap, steps
from rotation.problem import value_at, well_ordered

BERLIN = ZoneInfo("Europe/Berlin")
HOURS = st.tuples(st.integers(0, 1439), st.integers(1, 1440)).map(lambda h: (h[0], h[0] + h[1]))


def clock(year: int, month: int, day: int, days: int, hour: int = 0, minute: int = 0, second: int = 0) -> Clock:
    return Clock.of(datetime(year, month, day, hour, minute, second, tzinfo=BERLIN), BERLIN, days)


def test_a_spring_day_has_23_hours_and_an_autumn_day_25() -> None:
    spring, autumn = clock(2027, 3, 27, 3), clock(2027, 10, 30, 3)
    assert [b - a for a, b in pairwise(spring.midnights)] == [1440, 23 * 60, 1440]
    assert [b - a for a, b in pairwise(autumn.midnights)] == [1440, 25 * 60, 1440]


def test_wall_clock_hours_keep_their_hour_when_clocks_change() -> None:
    week = clock(2027, 3, 27, 3)
    spans = week.spans(lambda _: [(1050, 1290)])
    assert [(str(week.local(a))[11:16], b - a) for a, b in spans] == [("17:30", 240)] * 3
    assert [b[0] - a[0] for a, b in pairwise(spans)] == [23 * 60, 1440]


def test_hours_over_midnight_belong_to_the_day_they_start_on_and_lose_the_hour_that_is_skipped() -> None:
    week = clock(2027, 3, 28, 1)
    assert week.spans(lambda day: [(1320, 1800)] if day == date(2027, 3, 27) else []) == ((0, 5 * 60),)
    assert week.spans(lambda day: [(1320, 1440)]) == ((21 * 60, 23 * 60),)


def test_zero_is_the_next_minute_of_the_grid_and_the_first_midnight_lies_before_it() -> None:
    later = clock(2027, 3, 1, 2, hour=9, minute=2, second=30)
    assert later.local(0) == datetime(2027, 3, 1, 9, 5, tzinfo=BERLIN)
    assert later.midnights == (-545, 895, 2335)
    assert clock(2027, 3, 1, 1, hour=23, minute=58).first == date(2027, 3, 2)


def test_busy_is_rounded_outwards() -> None:
    week = clock(2027, 3, 1, 1)
    start = datetime(2027, 3, 1, 8, 0, 30, tzinfo=UTC)
    assert week.outwards(start, start.replace(minute=10)) == (540, 551)
    assert week.minute(start) == 540


def test_a_later_exception_wins_and_steps_that_change_nothing_are_joined() -> None:
    given_steps = steps(4, [(-100, 50, 2), (40, 80, 1), (80, 90, 4)])
    assert given_steps == ((0, 2), (40, 1), (80, 4))
    assert steps(4, []) == ((0, 4),)
    assert joined([(0, 1), (5, 1), (6, 2)]) == ((0, 1), (6, 2))


@pytest.mark.parametrize(
    ("spans", "longest"),
    [((), 100), (((0, 100),), 0), (((10, 20), (70, 80)), 50), (((-50, 40),), 60), (((90, 200),), 90)],
)
def test_longest_gap(spans: tuple[tuple[int, int], ...], longest: int) -> None:
    assert longest_gap(spans, 0, 100) == longest


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.dates(date(2026, 1, 1), date(2028, 12, 1)), st.lists(HOURS, max_size=4), st.integers(1, 20))
def test_spans_are_well_ordered_and_inside_the_plan(first: date, hours: list[tuple[int, int]], days: int) -> None:
    some = Clock.of(datetime.combine(first, time(7, 31), tzinfo=BERLIN), BERLIN, days)
    spans = some.spans(lambda _: hours)
    assert well_ordered(spans)
    assert all(0 <= start < end <= some.end for start, end in spans)


@settings(derandomize=True, deadline=None, max_examples=40)
@given(
    st.integers(0, 9),
    st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 90), st.integers(0, 9)), max_size=5),
    st.integers(0, 100),
)
def test_steps_take_the_last_exception_that_holds(base: int, rules: list[tuple[int, int, int]], at: int) -> None:
    holding = [value for start, end, value in rules if start <= at < end]
    assert value_at(steps(base, rules), at) == (holding[-1] if holding else base)
