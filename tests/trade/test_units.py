"""Other units at the borders: read, shown, there and back; nothing is loaded for grams and degC."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.units import Display, converted, degc, grams, litres

QUICK = settings(max_examples=50, derandomize=True, deadline=None)


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("900", 900),
        ("900 g", 900),
        ("1,5kg", 1500),
        ("2 lb", 907.18474),
        ("32 OZ", 907.18474),
        (" 0.5 lbs ", 226.796185),
    ],
)
def test_masses_as_people_write_them(said: str, value: float) -> None:
    assert grams(said) == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize(
    ("said", "value"), [("24", 24), ("24 C", 24), ("75F", 23.888889), ("-4 degF", -20), ("212°F", 100)]
)
def test_temperatures_as_people_write_them(said: str, value: float) -> None:
    assert degc(said) == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize(("said", "value"), [("1.8", 1.8), ("900 ml", 0.9), ("2 qt", 1.892706)])
def test_volumes_as_people_write_them(said: str, value: float) -> None:
    assert litres(said) == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize(
    "said", ["", "a lot", "2 stone", "1e9 g", "2**9**9 g", "2 lb 3 oz", "\x1b[2J", "9" * 40, "nan"]
)
def test_what_is_no_mass_is_refused(said: str) -> None:
    with pytest.raises(ValueError, match=r'is not a mass; write "900 g"'):
        grams(said)


@given(st.floats(-60, 400))
@QUICK
def test_degf_and_back(value: float) -> None:
    there = converted(value, "degC", "degF")
    assert there == pytest.approx(value * 9 / 5 + 32, abs=1e-9)
    assert converted(there, "degF", "degC") == pytest.approx(value, abs=1e-9)


@given(st.floats(0.01, 100_000), st.sampled_from(["ounce", "pound", "kilogram"]))
@QUICK
def test_masses_and_back(value: float, unit: str) -> None:
    assert converted(converted(value, "gram", unit), unit, "gram") == pytest.approx(value)


@given(st.floats(0.1, 50_000))
@QUICK
def test_what_is_shown_in_pounds_is_the_mass(value: float) -> None:
    """Pounds and ounces are shown to a tenth of an ounce, below ten grams to a hundredth."""
    *pounds, ounces, _ = Display("lb").weight(value).replace(" lb", "").split(" ")
    shown = (16 * float(pounds[0]) if pounds else 0) + float(ounces)
    assert 0 <= float(ounces) < 16
    assert shown * 28.349523 == pytest.approx(value, abs=1.5)


def test_what_a_family_reads() -> None:
    metric, other = Display(), Display("lb", "degF")
    assert [metric.weight(each) for each in (9.94, 9.96, 1040.4)] == ["9.9 g", "10 g", "1040 g"]
    assert [other.weight(each) for each in (5, 100, 907.18474, 1000)] == [
        "0.18 oz",
        "3.5 oz",
        "2 lb 0 oz",
        "2 lb 3.3 oz",
    ]
    assert Display("oz").weight(1000) == "35.3 oz"
    assert (metric.degrees(23.6), other.degrees(24)) == ("24 degC", "75 degF")
    assert (metric.oven(230), other.oven(230), other.oven(150)) == ("230", "450", "300")


def test_grams_and_degc_load_nothing() -> None:
    program = (
        "import sys; from rotation.units import *; d = Display();"
        "d.weight(900), d.degrees(24), d.oven(230), grams('900 g');"
        "print('pint' in sys.modules); grams('2 lb'); print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]
