"""What is eaten, and the bread from a shop that may stand in."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Accept:
    """One bread that will do at a meal, in the ways it may come, no older than `max_age` minutes since ready."""

    bread: str
    kinds: frozenset[str]
    max_age: int


@dataclass(frozen=True)
class Meal:
    """Portions eaten at one instant. heads: who is counted; without: allergens that must be absent.

    bought: whether a bought loaf will do; a strict meal never takes one.

    age_milli: price of one portion for each quarter of a day (`Problem.quarter_of`) from ready to eaten; TOAST is free.
    """

    id: str
    uid: str
    summary: str
    at: int
    heads: int
    portions: int
    strict: bool
    accepts: tuple[Accept, ...]
    without: frozenset[str]
    age_milli: int
    source: str = ""
    bought: bool = True


@dataclass(frozen=True)
class Shop:
    """Bought bread.

    closes: instants by which a loaf is bought; each gives `portions` for `keeps` minutes from then.
    """

    closes: tuple[int, ...]
    portions: int
    keeps: int
    loaf_milli: int
    allergens: frozenset[str]
