"""Minima over windows and spans of arrays, against plain loops."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.grid import INF, least_by, range_min, shifted, sliding_min

FEW = settings(max_examples=50, derandomize=True, deadline=None)
VALUES = st.lists(st.one_of(st.integers(-50, 50), st.just(int(INF))), min_size=1, max_size=25)


@FEW
@given(VALUES, st.integers(0, 30), st.integers(-3, 30))
def test_sliding_min_is_the_least_of_each_window(values: list[int], first: int, more: int) -> None:
    found = sliding_min(np.array(values, dtype=np.int64), first, first + more)
    for k in range(len(values)):
        window = [values[k - lag] for lag in range(first, first + more + 1) if k - lag >= 0]
        assert found[k] == min(window, default=int(INF))


@FEW
@given(VALUES, VALUES, st.integers(0, 9), st.integers(0, 9))
def test_sliding_min_takes_each_row_by_itself(one: list[int], other: list[int], first: int, more: int) -> None:
    size = min(len(one), len(other))
    rows = np.array([one[:size], other[:size]], dtype=np.int64)
    both = sliding_min(rows, first, first + more)
    assert both.tolist() == [sliding_min(row, first, first + more).tolist() for row in rows]


@FEW
@given(VALUES, st.lists(st.tuples(st.integers(-5, 30), st.integers(-5, 30)), min_size=1, max_size=20))
def test_range_min_is_the_least_of_each_range(values: list[int], ranges: list[tuple[int, int]]) -> None:
    left, right = (np.array(side, dtype=np.int64) for side in zip(*ranges, strict=True))
    found = range_min(np.array(values, dtype=np.int64), left, right)
    wanted = [
        min((values[k] for k in range(max(a, 0), min(b, len(values) - 1) + 1)), default=int(INF)) for a, b in ranges
    ]
    assert found.tolist() == wanted


@FEW
@given(VALUES, st.integers(-30, 30))
def test_shifted_looks_ahead(values: list[int], minutes: int) -> None:
    found = shifted(np.array(values, dtype=np.int64), minutes)
    wanted = [values[k + minutes] if 0 <= k + minutes < len(values) else int(INF) for k in range(len(values))]
    assert found.tolist() == wanted


@FEW
@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 2), st.one_of(st.integers(0, 9), st.just(int(INF))))))
def test_least_by_keeps_the_least_of_each_key_and_where_it_is(rows: list[tuple[int, int, int]]) -> None:
    one, other, cost = (np.array([row[i] for row in rows], dtype=np.int64) for i in range(3))
    wanted: dict[tuple[int, int], tuple[int, int, int]] = {}
    for place, (a, b, value) in enumerate(rows):
        if value < INF:
            least, first, _ = wanted.get((a, b), (value, place, place))
            wanted[a, b] = (min(value, least), first, place)
    assert least_by((one, other), cost) == wanted
