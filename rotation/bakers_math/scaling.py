"""How much dough: from the flour, from the baked bread, from what a vessel holds; and grams back to percentages."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from rotation.bakers_math.shares import total_percent
from rotation.household.formulas import Formula

DOUGH_GRAMS_PER_LITRE = 1100.0
"""Dough just mixed, before gas: about 1.1 kg a litre (common practice, no published source)."""


def percentages(parts: Mapping[str, float], flours: Collection[str]) -> dict[str, float]:
    """Return each part's share of all the flour (A01): the flours together are 100. Raises ValueError without flour."""
    flour = sum(grams for name, grams in parts.items() if name in flours)
    if flour <= 0:
        raise ValueError("There is no flour, so nothing can be a share of it.")
    return {name: 100 * grams / flour for name, grams in parts.items()}


def flour_in(formula: Formula, dough_grams: float) -> float:
    """Return the grams of flour, the preferments' included, in a mass of dough."""
    return dough_grams / total_percent(formula) * 100


def dough_from_flour(formula: Formula, flour_grams: float) -> float:
    """Return the grams of dough that a mass of flour gives."""
    return flour_grams * total_percent(formula) / 100


def dough_yield(flour: float, others: float) -> float:
    """Return flour and others by flour, times 100: the net yield where the others are the liquid (A06, A07)."""
    return (flour + others) / flour * 100


def dough_for(baked: float, *losses_percent: float) -> float:
    """Return the dough needed for a mass of baked bread, given losses in per cent of the dough (A09)."""
    return baked / (1 - sum(losses_percent) / 100)


def loss_percent(dough: float, baked: float) -> float:
    """Return what bakes and cools away, in per cent of the dough."""
    return 100 * (dough - baked) / dough


def dough_in(litres: float, grows: float) -> float:
    """Return the grams of dough that fill a tin, basket or bowl once it has grown to `grows` times its volume."""
    return litres * DOUGH_GRAMS_PER_LITRE / grows
