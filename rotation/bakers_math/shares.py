"""What a formula says of its dough as shares of all the flour."""

from __future__ import annotations

from rotation.household.formulas import Formula


def hydration_percent(formula: Formula) -> float:
    """Return all water by all flour: the true hydration, the starter's and the soakers' counted (T12)."""
    return formula.water_percent


def soaked_percent(formula: Formula) -> float:
    """Return the part of the hydration that seeds and grain hold, and the dough does not feel."""
    return sum(soaker.water_percent for soaker in formula.soakers)


def prefermented_percent(formula: Formula) -> float:
    """Return the share of all flour that ferments before the mix."""
    return sum(preferment.flour_percent for preferment in formula.preferments)


def total_percent(formula: Formula) -> float:
    """Return flour, water and everything else by all flour."""
    return 100 + formula.water_percent + sum(formula.others.values()) + sum(formula.inclusions.values())
