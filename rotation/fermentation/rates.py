"""The rate of a culture at a temperature: 1 at the best temperature, 0 at the least and the greatest (B14)."""

from __future__ import annotations

from dataclasses import dataclass

from rotation.errors import RotationError


class OutsideRange(RotationError):
    """A temperature at which nothing is known of the dough."""


@dataclass(frozen=True)
class Culture:
    """What ferments: the least, best and greatest temperature in degC, and the range the figures rest on."""

    words: str
    least_degc: float
    best_degc: float
    greatest_degc: float
    from_degc: float
    to_degc: float


CULTURES = {
    "starter": Culture("a starter's yeast", 9.0, 27.0, 34.6, 14.0, 34.0),
    "bacteria": Culture("a starter's bacteria", 7.9, 30.1, 40.0, 15.0, 39.0),
    "yeast": Culture("baker's yeast", 2.8, 32.3, 45.4, 12.0, 35.0),
}
"""Fitted to B05-B08 (B19), to B01-B04 (B20), and B15-B17 (B21). The first two hold between their quarter rates."""


def curve(degc: float, culture: Culture) -> float:
    """Return the rate as a share of that at the best temperature, 0 where nothing grows (B14)."""
    least, best, greatest = culture.least_degc, culture.best_degc, culture.greatest_degc
    if not least < degc < greatest:
        return 0.0
    above = (degc - greatest) * (degc - least) ** 2
    below = (best - least) * ((best - least) * (degc - best) - (best - greatest) * (best + least - 2 * degc))
    return above / below


def checked(degc: float, kind: str) -> Culture:
    """Return the culture ("starter", "bacteria", "yeast"). Raises OutsideRange where its figures say nothing."""
    culture = CULTURES[kind]
    if not culture.from_degc <= degc <= culture.to_degc:
        raise OutsideRange(
            f"How fast {culture.words} works at {degc:g} degC is not known; figures reach from {culture.from_degc:g} "
            f"to {culture.to_degc:g} degC. Find the dough a place within that, or give the process times that do not "
            "follow the room (warm = false)."
        )
    return culture


def rate(degc: float, kind: str) -> float:
    """Return the rate of a culture as a share of its best. Raises OutsideRange where the figures say nothing."""
    return curve(degc, checked(degc, kind))


def scaled(minutes: float, reference_degc: float, degc: float, kind: str) -> int:
    """Return the minutes at `degc` that do what `minutes` do at `reference_degc`. Raises OutsideRange."""
    return round(minutes * rate(reference_degc, kind) / rate(degc, kind))
