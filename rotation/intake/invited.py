"""Guests a family asks about, and what the answer holds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil

from rotation.household.reading import Home
from rotation.intake.notes import Notes
from rotation.intake.table import Table
from rotation.problem import BOUGHT, Meal, Problem


@dataclass(frozen=True)
class Asked:
    """Guests asked about: when, how many, slices for each, what they may not have."""

    at: datetime
    heads: int
    slices: float
    without: tuple[str, ...] = ()

    @property
    def portions(self) -> int:
        """Slices in all."""
        return ceil(self.heads * self.slices)


@dataclass(frozen=True)
class Answer:
    """What came of it. short: slices that would lack; first: names and times of what has to be done for them, in order.

    by: the last moment to decide, and what begins with it; None where nothing new has to be done. left: what has to be
    done for them if it is left until then.
    changed: against the plan kept; loaves, buy_by: what a shop could give, and until when; safe: whether bought bread
    is free of what they may not have.
    """

    short: int
    first: tuple[tuple[str, datetime], ...]
    by: datetime | None
    left: tuple[tuple[str, datetime], ...]
    changed: str
    loaves: int
    buy_by: datetime | None
    safe: bool


def guests_meal(home: Home, problem: Problem, asked: Asked) -> Meal:
    """Return the guests' meal as the household's own strict meals are: any bread they may have, in any way."""
    table = Table(home.settings, problem.breads, Notes())
    without = frozenset((*home.settings.nobody_eats, *asked.without))
    accepts = tuple(
        replace(accept, kinds=accept.kinds - {BOUGHT}) for accept in table.accepts((), (), without) if accept.kinds
    )
    at = (asked.at - problem.zero) // timedelta(minutes=1)
    age = table.age_milli("guests")
    return Meal("asked", "asked", "Guests", at, asked.heads, asked.portions, True, accepts, without, age, bought=False)
