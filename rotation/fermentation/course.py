"""A dough's temperature over time, and what it does meanwhile: surroundings that change, a dough that lags behind."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cbrt, exp, pi

from rotation.fermentation.rates import Culture, checked, curve

STEP = 5.0
"""Minutes of one step of the sum; halving it changes a time by under half a minute."""

LONGEST = 14 * 1440.0
"""Minutes after which dough that has not come so far never will."""

_DENSITY_KG_M3, _HEAT_J_KG_K, _CONDUCTS_W_M_K = 900.0, 2800.0, 0.45
"""Dough with some gas in it (common practice, no published source)."""

_FILM_W_M2_K = 7.0
"""Still air in a room or a fridge, convection and radiation (C38)."""

_FLATTER_THAN_A_BALL = 1.25
"""Surface of a mound of dough by that of a ball of its volume (geometry)."""


@dataclass(frozen=True)
class Course:
    """How warm dough is, minute by minute.

    around: `(minute, degC)` of the surroundings from that minute on, the first at minute 0. start: degC of the dough at
    minute 0; None where it is as warm as its surroundings. settles: minutes in which its distance from them falls to
    37 %, see `settling_minutes`; 0: it follows at once.
    """

    around: tuple[tuple[float, float], ...]
    start: float | None = None
    settles: float = 0.0

    @classmethod
    def steady(cls, degc: float) -> Course:
        """Return the course of dough that is as warm as a steady room."""
        return cls(((0.0, degc),))

    @property
    def constant(self) -> bool:
        """Whether the dough never changes its temperature."""
        return len(self.around) == 1 and self.start in (None, self.around[0][1])


def settling_minutes(grams: float) -> float:
    """Return the minutes in which a mass of dough comes to within 37 % of its surroundings: about two hours for a loaf.

    Its heat by what passes its surface, which the resistance inside a ball makes slower by a fifth of its Biot number.
    """
    radius = cbrt(grams / 1000 / _DENSITY_KG_M3 / (4 / 3 * pi))
    surface = _FLATTER_THAN_A_BALL * 4 * pi * radius * radius
    biot = _FILM_W_M2_K * radius / _CONDUCTS_W_M_K
    return grams / 1000 * _HEAT_J_KG_K / (_FILM_W_M2_K * surface) * (1 + biot / 5) / 60


def temperatures(course: Course) -> Iterator[tuple[float, float]]:
    """Yield `(minutes, degC)`: lengths that follow one another without end, and how warm the dough is amid each."""
    dough = course.around[0][1] if course.start is None else course.start
    ends = [at for at, _ in course.around[1:]] + [float("inf")]
    at = 0.0
    for end, (_, outside) in zip(ends, course.around, strict=True):
        while at < end:
            length = min(STEP, end - at)
            middle, last = (
                outside + (dough - outside) * exp(-part / course.settles) if course.settles else outside
                for part in (length / 2, length)
            )
            yield length, middle
            at, dough = at + length, last


def work(course: Course, minutes: float, kind: str) -> float:
    """Return what a culture does in so many minutes, in minutes at its best temperature.

    Raises OutsideRange if the surroundings are where its figures say nothing. Dough that is still colder counts by the
    same curve, down to nothing at the culture's least temperature.
    """
    culture = _checked(course, kind)
    if course.constant:
        return minutes * curve(course.around[0][1], culture)
    done = left = 0.0
    left = minutes
    for length, degc in temperatures(course):
        part = min(length, left)
        done, left = done + part * curve(degc, culture), left - part
        if left <= 0:
            break
    return done


def done_in(course: Course, wanted: float, kind: str) -> float:
    """Return the minutes in which a culture has done what `work` counts. Raises OutsideRange as `work` does."""
    culture = _checked(course, kind)
    if course.constant:
        return wanted / curve(course.around[0][1], culture)
    done = at = 0.0
    for length, degc in temperatures(course):
        gained = length * curve(degc, culture)
        if done + gained >= wanted or at > LONGEST:
            return at + (length * (wanted - done) / gained if gained else 0.0)
        done, at = done + gained, at + length
    raise AssertionError("temperatures never end")


def same_work(since: float, minutes: float, reference: Course, today: Course, kind: str) -> float:
    """Return the minutes today for what takes `minutes` by the reference, beginning `since` minutes after its start.

    Waits that follow one another therefore add up as they do by the reference.
    """
    before, after = (work(reference, at, kind) for at in (since, since + minutes))
    return done_in(today, after, kind) - done_in(today, before, kind)


def _checked(course: Course, kind: str) -> Culture:
    """Return the culture. Raises OutsideRange for surroundings, or warmer dough, that its figures say nothing of."""
    for _, degc in course.around:
        culture = checked(degc, kind)
    if course.start is not None and course.start > culture.to_degc:
        checked(course.start, kind)
    return culture
