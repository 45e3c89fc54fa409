"""The cold proof: slow fermentation that is never free, since a dough cools for hours; so practice caps it."""

from __future__ import annotations

from rotation.fermentation.course import Course, settling_minutes, temperatures
from rotation.fermentation.rates import CULTURES, checked, curve

USUAL_LONGEST = 24 * 60
LONGEST = 48 * 60
COLDEST_AIM = 12 * 60
"""Minutes in the fridge: up to 24 h by custom, up to 48 h (T02, B24) in a real cold; aimed at are 12."""

REALLY_COLD_DEGC = 4.0
"""Above it a fridge lets dough go on: home fridges run at 6 to 8 degC (T02; G05 for the figure)."""


def longest_retard(fridge_degc: float) -> int:
    """Return the most minutes shaped dough may stay in a fridge of this temperature (T02)."""
    return LONGEST if fridge_degc <= REALLY_COLD_DEGC else USUAL_LONGEST


def fridge_equals(
    minutes: float, grams: float, dough_degc: float, fridge_degc: float, at_degc: float, kind: str
) -> float:
    """Return the minutes at `at_degc` that do what a piece of dough does while it cools in the fridge for `minutes`.

    Counts by the curve alone, which says nothing grows below its least temperature; real dough in a warm fridge does
    go on a little, so this is the least it does. Raises OutsideRange for an `at_degc` nothing is known of.
    """
    culture, done, left = CULTURES[kind], 0.0, minutes
    for length, degc in temperatures(Course(((0.0, fridge_degc),), dough_degc, settling_minutes(grams))):
        part = min(length, left)
        done, left = done + part * curve(degc, culture), left - part
        if left <= 0:
            break
    return done / curve(at_degc, checked(at_degc, kind))
