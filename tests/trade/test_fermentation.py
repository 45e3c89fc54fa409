"""Time at temperature: what follows from the curve, and where it is refused."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.fermentation import CULTURES, OutsideRange, curve, rate, scaled


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
