"""Loaves: from a kind of shape, a mass, and what was measured of it, to a body for conduction.

A long loaf, a flat round one and a roll are ellipsoids of revolution. A tin loaf is a brick; it is matched by a body of
one dimension that keeps its volume over surface, R = (m + 1) V/S, and its slowest mode, (j/R)^2 = the brick's, with j
the first zero of the Bessel function of order (m - 1)/2.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi, sqrt
from typing import Literal

from rotation.heat.soft import OutsideModel

Shape = Literal["round", "batard", "long", "roll", "tin"]

LEAST_GRAMS, MOST_GRAMS = 20.0, 5000.0
LEAST_DENSITY, MOST_DENSITY = 120.0, 900.0


@dataclass(frozen=True)
class Kind:
    """What a shape is like if nothing was measured: length, width and height in proportion, and kg/m3.

    Densities are specific volumes as bakers give them, 2.4 ml/g for a hearth loaf, 3.5 for a tin (common practice, no
    published source); proportions are common practice too.
    """

    proportions: tuple[float, float, float]
    density: float


KINDS: Mapping[Shape, Kind] = {
    "round": Kind((2.0, 2.0, 1.0), 411.0),
    "batard": Kind((2.4, 1.2, 1.0), 411.0),
    "long": Kind((9.0, 1.1, 0.9), 300.0),
    "roll": Kind((1.6, 1.6, 1.0), 300.0),
    "tin": Kind((2.4, 1.05, 1.0), 300.0),
}


@dataclass(frozen=True)
class Loaf:
    """A baked loaf. Sides in cm and density in kg/m3: None where nobody measured. water: by mass of the loaf."""

    shape: Shape
    grams: float
    water: float = 0.43
    sides_cm: tuple[float, float, float] | None = None
    density: float | None = None

    @property
    def usual_density(self) -> float:
        """Density in kg/m3: of its sides if they were measured, else as said, else as its shape usually has."""
        if self.sides_cm is not None:
            return self.grams / 1000 / (self.fill * self.sides_cm[0] * self.sides_cm[1] * self.sides_cm[2] * 1e-6)
        return self.density or KINDS[self.shape].density

    @property
    def fill(self) -> float:
        """Share of its box that the loaf fills."""
        return 1.0 if self.shape == "tin" else pi / 6

    @property
    def bare(self) -> float:
        """Share of its surface that lies bare in a bag: rolls share one and touch (an estimate)."""
        return 0.65 if self.shape == "roll" else 1.0

    @property
    def measured(self) -> bool:
        """Whether its size is known."""
        return self.sides_cm is not None or self.density is not None

    def sides_m(self, density: float) -> tuple[float, float, float]:
        """Return length, width and height in m; of a loaf that was not measured, at a density."""
        if self.sides_cm is not None:
            return self.sides_cm[0] / 100, self.sides_cm[1] / 100, self.sides_cm[2] / 100
        length, width, height = KINDS[self.shape].proportions
        scale = (self.grams / 1000 / density / (self.fill * length * width * height)) ** (1 / 3)
        return scale * length, scale * width, scale * height


def refuse(loaf: Loaf) -> None:
    """Raise OutsideModel for a loaf the figures say nothing of."""
    if loaf.grams <= 0:
        raise OutsideModel(f"A loaf of {loaf.grams:g} g has no mass. Give the grams of one baked piece, as 780.")
    if not LEAST_GRAMS <= loaf.grams <= MOST_GRAMS:
        raise OutsideModel(
            f"A loaf of {loaf.grams:g} g is outside what the heat model knows, {LEAST_GRAMS:g} g to {MOST_GRAMS:g} g. "
            "Give the grams of one baked piece, as 780, or write the waits yourself."
        )
    if loaf.sides_cm is not None and min(loaf.sides_cm) <= 0:
        raise OutsideModel("A loaf has a length, a width and a height above 0 cm, as 24, 12 and 10.")
    if not LEAST_DENSITY <= loaf.usual_density <= MOST_DENSITY:
        raise OutsideModel(
            f"A loaf of {loaf.grams:g} g and this size has {loaf.usual_density:.0f} kg/m3; bread has {LEAST_DENSITY:g} "
            f"to {MOST_DENSITY:g}. Measure its length, width and height in cm again."
        )
    if not 0.2 <= loaf.water <= 0.6:
        raise OutsideModel(
            f"Bread of {100 * loaf.water:g} % water is no bread the heat model knows: 20 to 60. Give it as 43."
        )


def brick(length: float, width: float, height: float) -> tuple[float, float]:
    """Return the power m of the area and the radius in m of the matched body of one dimension."""
    from scipy.optimize import brentq

    surface_over_volume = 2 / length + 2 / width + 2 / height
    slowest = (pi / length) ** 2 + (pi / width) ** 2 + (pi / height) ** 2

    def off(power: float) -> float:
        return first_zero(power) - (power + 1) / surface_over_volume * sqrt(slowest)

    power = float(brentq(off, 0.0, 5.0))
    return power, (power + 1) / surface_over_volume


def first_zero(power: float) -> float:
    """Return the first zero of the Bessel function of order n = (power - 1)/2: pi/2, 2.405, pi for 0, 1, 2.

    It lies between the roots of (n + 1)(n + 5) and 2 (n + 1)(n + 3) (Lorch, from memory).
    """
    from scipy.optimize import brentq
    from scipy.special import jv

    order = (power - 1) / 2
    low, high = sqrt((order + 1) * (order + 5)), sqrt(2 * (order + 1) * (order + 3))
    return float(brentq(lambda x: jv(order, x), low, high))
