"""What food is made of, and what that means for heat: the equations of Choi and Okos (1986), as the ASHRAE handbook
prints them. Checked at 20 degC against C19 to C23; the slopes are from memory.

Temperatures t in degC, from -40 to 150. Mass fractions sum to 1. IDs of sources are those of
`tests/outside/data/references.csv`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

Polynomial = tuple[float, ...]
"""Coefficients of 1, t, t squared."""

Fractions = Mapping[str, float]
"""Mass fractions by name of the substance."""


@dataclass(frozen=True)
class Substance:
    """cp in kJ/(kg K), k in W/(m K), density in kg/m3: each a polynomial in degC."""

    cp: Polynomial
    k: Polynomial
    density: Polynomial


SUBSTANCES = {
    "water": Substance(
        (4.1762, -9.0864e-5, 5.4731e-6), (0.57109, 1.7625e-3, -6.7036e-6), (997.18, 3.1439e-3, -3.7574e-3)
    ),
    "ice": Substance((2.0623, 6.0769e-3), (2.2196, -6.2489e-3, 1.0154e-4), (916.89, -0.13071)),
    "protein": Substance((2.0082, 1.2089e-3, -1.3129e-6), (0.17881, 1.1958e-3, -2.7178e-6), (1329.9, -0.5184)),
    "fat": Substance((1.9842, 1.4733e-3, -4.8008e-6), (0.18071, -2.7604e-4, -1.7749e-7), (925.59, -0.41757)),
    "carbohydrate": Substance((1.5488, 1.9625e-3, -5.9399e-6), (0.20141, 1.3874e-3, -4.3312e-6), (1599.1, -0.31046)),
    "ash": Substance((1.0926, 1.8896e-3, -3.6817e-6), (0.32962, 1.4011e-3, -2.9069e-6), (2423.8, -0.28063)),
}  # fmt: skip

WHEAT_SOLIDS: Fractions = {"carbohydrate": 0.81, "protein": 0.13, "fat": 0.03, "ash": 0.03}
"""The dry matter of a lean wheat bread with its salt; from memory."""


def at(polynomial: Polynomial, degc: float) -> float:
    """Return a polynomial's value."""
    return sum(each * degc**power for power, each in enumerate(polynomial))


def cp(fractions: Fractions, degc: float = 20.0) -> float:
    """Return the specific heat in kJ/(kg K), weighted by mass (C24)."""
    return sum(share * at(SUBSTANCES[name].cp, degc) for name, share in fractions.items())


def density(fractions: Fractions, degc: float = 20.0) -> float:
    """Return the density in kg/m3 without pores: volumes add (C24)."""
    return 1 / sum(share / at(SUBSTANCES[name].density, degc) for name, share in fractions.items())


def conductivity(fractions: Fractions, degc: float = 20.0) -> float:
    """Return the conductivity in W/(m K) without pores, weighted by volume (C24)."""
    volumes = {name: share / at(SUBSTANCES[name].density, degc) for name, share in fractions.items()}
    return sum(volume * at(SUBSTANCES[name].k, degc) for name, volume in volumes.items()) / sum(volumes.values())
