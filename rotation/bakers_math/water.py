"""How warm the water has to be for a dough of a wanted temperature: by the bakers' rule, and by a heat balance."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

WATER_KJ_PER_KG_K = 4.18
FLOUR_KJ_PER_KG_K = 1.95
"""Flour of 14 % water: 0.14 of the water's and 0.86 of the starch's 1.59 kJ/kgK (C19, C22, mixed by C24)."""

ICE_DEGREES = 80.0
"""Melting ice takes as much heat as cooling the water by 80 K: 334 kJ/kg by 4.18 kJ/kgK."""

HOTTEST_DEGC = 45.0
"""Warmer water harms the yeast it meets (from memory)."""

COLDEST_DEGC = 2.0


@dataclass(frozen=True)
class Water:
    """Water for a mix. degc: of the water as it goes in. ice: share of it as ice, the rest from the tap.

    dough_degc: what the dough comes to; not what was wanted where no water could do it.
    """

    degc: float
    ice: float
    dough_degc: float


def water_degc(dough_degc: float, friction_degc: float, *others_degc: float) -> float:
    """Return the water's temperature for a wanted dough temperature; others: room, flour, and preferment (A10, A13).

    Works in any one scale of degrees.
    """
    return (len(others_degc) + 1) * dough_degc - sum(others_degc) - friction_degc


def dough_degc(water_degc: float, friction_degc: float, *others_degc: float) -> float:
    """Return the dough's temperature that the rule of `water_degc` expects of this water."""
    return (water_degc + sum(others_degc) + friction_degc) / (len(others_degc) + 1)


def ice_share(wanted_degc: float, tap_degc: float) -> float:
    """Return the share of the water to be weighed as ice, so that tap water and ice do what colder water would."""
    return min(max((tap_degc - wanted_degc) / (tap_degc + ICE_DEGREES), 0.0), 1.0)


def water_by_heat(
    dough_degc: float, water_grams: float, others: Iterable[tuple[float, float, float]], warms: float
) -> float:
    """Return the water's temperature by a balance of heat.

    others: grams, degC and kJ/kgK of all else that goes in; warms: kelvins that kneading adds to the dough. Unlike the
    rule it weighs each part by the heat it holds, so it holds for stiff doughs and large preferments too. Heat lost to
    bowl and air, and that of wetting flour, are left to `warms`. Raises ValueError where there is no water.
    """
    if water_grams <= 0:
        raise ValueError("There is no water to warm.")
    own = water_grams * WATER_KJ_PER_KG_K
    parts = [(grams * heat, degc) for grams, degc, heat in others]
    needed = (dough_degc - warms) * (own + sum(holds for holds, _ in parts))
    return (needed - sum(holds * degc for holds, degc in parts)) / own


def water_for(wanted_degc: float, friction_degc: float, tap_degc: float, *others_degc: float) -> Water:
    """Return the water to use by the bakers' rule: never hot enough to harm yeast; with ice where the tap is too warm.

    tap_degc: of the coldest water there is. others_degc: room, flour, and preferment if there is one.
    """
    needed = water_degc(wanted_degc, friction_degc, *others_degc)
    if needed > HOTTEST_DEGC:
        return Water(HOTTEST_DEGC, 0.0, dough_degc(HOTTEST_DEGC, friction_degc, *others_degc))
    if needed >= COLDEST_DEGC:
        return Water(needed, 0.0, wanted_degc)
    ice = ice_share(needed, tap_degc)
    reached = (1 - ice) * tap_degc - ice * ICE_DEGREES
    return Water(needed, ice, dough_degc(reached, friction_degc, *others_degc))
