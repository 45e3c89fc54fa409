"""The algebra on spans, against a minute grid painted by brute force."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calendars.intervals import clip, complement, covers, intersect, normalise, subtract, total, union

LAST = 60
Spans = list[tuple[int, int]]
spans = st.lists(st.tuples(st.integers(0, LAST), st.integers(0, LAST)), max_size=8)
quick = settings(max_examples=50, derandomize=True, deadline=None)


def painted(some: Spans | tuple[tuple[int, int], ...]) -> set[int]:
    return {minute for start, end in some for minute in range(start, end)}


def assert_normal(some: tuple[tuple[int, int], ...]) -> None:
    assert all(start < end for start, end in some)
    assert all(left[1] < right[0] for left, right in pairwise(some))


@quick
@given(spans, spans)
def test_two_sets_of_spans(left: Spans, right: Spans) -> None:
    for found, expected in [
        (union(left, right), painted(left) | painted(right)),
        (intersect(left, right), painted(left) & painted(right)),
        (subtract(left, right), painted(left) - painted(right)),
    ]:
        assert painted(found) == expected
        assert_normal(found)


@quick
@given(spans, st.integers(0, LAST), st.integers(0, LAST))
def test_one_set_within_bounds(some: Spans, start: int, end: int) -> None:
    minutes = set(range(start, end))
    for found, expected in [
        (normalise(some), painted(some)),
        (complement(some, start, end), minutes - painted(some)),
        (clip(some, start, end), minutes & painted(some)),
    ]:
        assert painted(found) == expected
        assert_normal(found)
    if start < end:
        assert covers(some, start, end) == (minutes <= painted(some))
    assert covers(some, start, start) == (start in painted(some))
    assert total(some) == len(painted(some))


def test_datetimes_too() -> None:
    at = datetime(2027, 3, 1, tzinfo=UTC)
    hour = timedelta(hours=1)
    assert subtract([(at, at + 3 * hour)], [(at + hour, at + 2 * hour)]) == (
        (at, at + hour),
        (at + 2 * hour, at + 3 * hour),
    )
    assert total([(at, at + hour), (at + hour / 2, at + 2 * hour)]) == 2 * hour


def test_touching_spans_become_one() -> None:
    assert union([(3, 5)], [(1, 3)]) == ((1, 5),)


@pytest.mark.parametrize("empty", [[], [(4, 4)], [(5, 3)]])
def test_what_has_no_length_covers_nothing(empty: Spans) -> None:
    assert normalise(empty) == ()
    assert complement(empty, 0, 9) == ((0, 9),)
