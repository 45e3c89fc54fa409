"""Clock times of one bake: within all waits and spans, at waking hours, elapsed time over changed clocks."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.bench.timing import WAKING, NoTime, later, times
from rotation.problem import Process, Programme, Stage, Treatment, Wait

BERLIN = ZoneInfo("Europe/Berlin")


def process(*waits: Wait, hands: int = 5) -> Process:
    """Return feed, mix, fold, shape, oven with these waits."""
    names = ("feed", "mix", "fold", "shape", "oven")
    return Process(
        "p", "p", tuple(Stage(name, hands) for name in names), waits, (), Programme(230, 0, 1, 3),
        (Treatment("table", 30, 60),), (2,), 0,
    )  # fmt: skip


def wait(first: str, second: str, low: int, high: int, whole: bool = False) -> Wait:
    return Wait(first, second, ((low, high),), whole)


PLAIN = (wait("feed", "mix", 500, 700), wait("mix", "fold", 30, 60), wait("fold", "shape", 60, 240))


def test_the_middle_of_each_wait() -> None:
    found = {when.step: when for when in times(process(*PLAIN, wait("shape", "oven", 60, 90)), 2, 0, 480, ())}
    assert [found[name].at for name in ("feed", "mix", "fold", "shape", "oven")] == [-605, 0, 50, 205, 285]
    assert (found["feed"].earliest, found["feed"].latest) == (-705, -505)
    assert (found["oven"].earliest, found["oven"].latest) == (30 + 60 + 60 + 15, 60 + 240 + 90 + 15)


def test_a_span_goes_before_the_waits_within() -> None:
    made = process(*PLAIN, wait("shape", "oven", 60, 90), wait("mix", "shape", 290, 300, whole=True))
    found = {when.step: when for when in times(made, 2, 0, 480, ())}
    assert 290 <= found["shape"].at <= 300
    assert (found["shape"].earliest, found["shape"].latest) == (290, 300)
    assert found["fold"].earliest >= 290 - 240 - 5  # the span narrows what lies within it


def test_waits_that_exclude_one_another_are_said() -> None:
    made = process(*PLAIN, wait("shape", "oven", 60, 90), wait("mix", "shape", 900, 950, whole=True))
    with pytest.raises(NoTime, match="exclude one another"):
        times(made, 2, 0, 480, ())


@given(st.integers(0, 287).map(lambda fives: 5 * fives))
@settings(max_examples=50, derandomize=True, deadline=None)
def test_a_cold_proof_ends_when_somebody_is_up(mixed: int) -> None:
    made = process(*PLAIN, wait("shape", "oven", 480, 1440))
    found = {when.step: when for when in times(made, 2, 0, mixed, {"shape"})}
    first, last = WAKING
    assert first <= (mixed + found["oven"].at) % 1440 <= last
    assert 480 <= found["oven"].at - found["shape"].at - 5 <= 1440


@given(st.lists(st.tuples(st.integers(0, 300), st.integers(0, 200)), min_size=4, max_size=4), st.integers(0, 1200))
@settings(max_examples=50, derandomize=True, deadline=None)
def test_whatever_the_waits_the_times_keep_them(spans: list[tuple[int, int]], whole: int) -> None:
    names = ("feed", "mix", "fold", "shape", "oven")
    waits = [wait(one, two, low, low + more) for (one, two), (low, more) in zip(pairwise(names), spans, strict=True)]
    made = process(*waits, wait("mix", "oven", whole, whole + 120, whole=True))
    try:
        found = {when.step: when for when in times(made, 2, 0, 480, {"shape"})}
    except NoTime:
        low = sum(each.bounds[0][0] + 5 for each in waits[1:])
        high = sum(each.bounds[0][1] + 5 for each in waits[1:])
        assert low > whole + 120 or high < whole
        return
    for each in waits:
        assert each.bounds[0][0] <= found[each.second].at - found[each.first].at - 5 <= each.bounds[0][1]
    assert whole <= found["oven"].at <= whole + 120
    assert all(when.earliest <= when.at <= when.latest for when in found.values())


def test_a_change_of_clocks_shortens_no_proof() -> None:
    evening = datetime(2027, 3, 27, 22, 0, tzinfo=BERLIN)
    assert later(evening, 600) == datetime(2027, 3, 28, 9, 0, tzinfo=BERLIN)
    assert later(datetime(2027, 10, 30, 22, 0, tzinfo=BERLIN), 600) == datetime(2027, 10, 31, 7, 0, tzinfo=BERLIN)
