"""Time at temperature: what follows from the curve, and where it is refused."""

from __future__ import annotations

from math import exp

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.fermentation import (
    CULTURES,
    Course,
    OutsideRange,
    curve,
    done_in,
    fridge_equals,
    minutes_to_peak,
    rate,
    same_work,
    scaled,
    seed_for,
    settling_minutes,
    work,
)
from rotation.fermentation.course import temperatures


@pytest.mark.parametrize("kind", CULTURES)
def test_best_at_the_best_and_nothing_at_the_ends(kind: str) -> None:
    culture = CULTURES[kind]
    assert curve(culture.best_degc, culture) == pytest.approx(1)
    assert curve(culture.least_degc, culture) == 0
    assert curve(culture.greatest_degc, culture) == 0
    assert all(curve(tenth / 10, culture) <= 1 + 1e-9 for tenth in range(0, 500))


@given(st.sampled_from(sorted(CULTURES)), st.floats(15, 26.5), st.floats(15, 26.5), st.integers(1, 2000))
@settings(max_examples=50, derandomize=True, deadline=None)
def test_warmer_is_faster_and_there_and_back_is_the_same(kind: str, one: float, other: float, minutes: int) -> None:
    cold, warm = sorted((one, other))
    assert scaled(minutes, warm, cold, kind) >= minutes >= scaled(minutes, cold, warm, kind)
    there = minutes * rate(cold, kind) / rate(warm, kind)
    assert there * rate(warm, kind) / rate(cold, kind) == pytest.approx(minutes)


def test_at_its_own_temperature_nothing_changes() -> None:
    assert scaled(240, 21, 21, "starter") == 240


@pytest.mark.parametrize(
    ("degc", "kind"), [(13, "starter"), (35, "starter"), (6, "yeast"), (40, "yeast"), (14, "bacteria")]
)
def test_outside_what_is_known_it_says_so(degc: float, kind: str) -> None:
    with pytest.raises(OutsideRange, match=rf"at {degc} degC is not known.*warm = false"):
        scaled(60, 21, degc, kind)


def test_dough_nears_its_surroundings_as_newton_has_it() -> None:
    """Twelve hours in a fridge: after each time constant the distance is down to 37 %."""
    course, at = Course(((0.0, 6.0),), 24.0, 120.0), 0.0
    for length, degc in temperatures(course):
        assert degc == pytest.approx(6 + 18 * exp(-(at + length / 2) / 120))
        at += length
        if at >= 720:
            break


def test_a_change_around_is_followed_from_its_minute_on() -> None:
    course = Course(((0.0, 20.0), (32.0, 16.0)), None, 0.0)
    seen, at = {}, 0.0
    for length, degc in temperatures(course):
        seen[at] = (length, degc)
        at += length
        if at > 45:
            break
    assert seen[30.0] == (2.0, 20.0)
    assert seen[32.0] == (5.0, 16.0)


@given(
    st.floats(16, 26), st.floats(16, 26), st.floats(0, 300), st.integers(20, 400), st.floats(6, 28), st.floats(10, 200)
)
@settings(max_examples=50, derandomize=True, deadline=None)
def test_waits_add_up_as_by_the_reference(
    reference: float, room: float, since: float, minutes: int, start: float, settles: float
) -> None:
    """Two waits one after the other are one wait; and what was asked of the dough is done."""
    by, today = (Course(((0.0, degc),), start, settles) for degc in (reference, room))
    first, second = (
        same_work(since, minutes / 2, by, today, "yeast"),
        same_work(since + minutes / 2, minutes / 2, by, today, "yeast"),
    )
    assert first + second == pytest.approx(same_work(since, minutes, by, today, "yeast"))
    wanted = work(by, since + minutes, "yeast")
    assert work(today, done_in(today, wanted, "yeast"), "yeast") == pytest.approx(wanted)
    assert same_work(since, minutes, by, by, "yeast") == pytest.approx(minutes)


def test_cold_dough_in_a_warm_room_is_slower_than_the_room() -> None:
    cold, warm = Course(((0.0, 24.0),), 6.0, 120.0), Course.steady(24.0)
    assert work(cold, 240, "starter") < work(warm, 240, "starter")
    assert done_in(cold, work(warm, 240, "starter"), "starter") > 240


def test_a_box_beyond_what_is_known_is_refused_whatever_the_dough_is() -> None:
    with pytest.raises(OutsideRange, match="44 degC is not known"):
        work(Course(((0.0, 44.0),), 24.0, 60.0), 60, "starter")
    with pytest.raises(OutsideRange, match="38 degC is not known"):
        work(Course(((0.0, 24.0),), 38.0, 60.0), 60, "starter")


def test_a_larger_dough_lags_longer() -> None:
    minutes = [settling_minutes(grams) for grams in (80, 400, 900, 2000)]
    assert minutes == sorted(minutes)
    assert 90 < minutes[2] < 180  # a loaf cools for hours


def test_a_cold_proof_is_never_free_and_never_without_end() -> None:
    """What dough does while it cools: more of it when warmer, all of it in the first hours."""
    half, whole, longer = (fridge_equals(hours * 60, 900, 24, 5, 21, "starter") for hours in (2, 12, 24))
    assert 0 < half < whole
    assert longer == pytest.approx(whole)
    assert 30 < whole < 120
    assert fridge_equals(720, 900, 24, 8, 21, "yeast") > fridge_equals(720, 900, 24, 4, 21, "yeast")


@given(st.floats(5, 200), st.floats(15, 27))
@settings(max_examples=50, derandomize=True, deadline=None)
def test_seed_and_time_to_the_peak_and_back(seed: float, degc: float) -> None:
    minutes = minutes_to_peak(seed, degc)
    assert seed_for(minutes, degc) == pytest.approx(seed)
    assert minutes_to_peak(seed * 1.1, degc) < minutes
    assert minutes_to_peak(seed, degc - 1) > minutes


def test_a_starter_without_seed_does_not_rise() -> None:
    with pytest.raises(ValueError, match="without seed"):
        minutes_to_peak(0, 21)
    with pytest.raises(OutsideRange):
        minutes_to_peak(20, 8)
