"""A choice of days some days at a time: the first ones as if the plan ended soon after, then held, and so on.

Each part is the problem of fewer days, with what is left at its end worth as much as at the end of all: nothing new
comes after it, nobody eats there, and but for the reserve of later weeks nothing costs there. So a part is as easy as a
week, and what it chooses does not count on days of which a relaxation has a hundredth of a bake.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np

from rotation.choices import Choices
from rotation.model import Term
from rotation.solve.goals import Goals
from rotation.solve.rows import Box, Floats

SPAN, AHEAD = 10, 4
"""How many days the first part has, and how many days of each are looked at and chosen anew by the next one."""


NOTHING_MISSED = Goals()
"""No wish dropped, no strict portion short."""


@dataclass(frozen=True)
class Part:
    """All days before `end`; those before `held` are as the part before chose them."""

    held: int
    end: int


def parts(days: int) -> Iterator[Part]:
    """Yield the parts of so many days, in their order."""
    held, end = 0, SPAN
    while end < days - AHEAD:
        yield Part(held, end)
        held, end = end - AHEAD, end - AHEAD + SPAN
    yield Part(held, days)


def without_later(choices: Choices, part: Part, goal: list[Term]) -> list[Term]:
    """Return a goal without what later days cost."""
    later = _costs(choices, part.end)
    return [(coefficient, variable) for coefficient, variable in goal if variable not in later]


def box(choices: Choices, part: Part, before: Mapping[int, float], goals: Goals = NOTHING_MISSED) -> Box:
    """Return bounds: nothing comes later, and all before the part is as it was. before: values by variable.

    goals: how many wishes may be dropped, and strict portions short, before its end.
    """
    bounds = np.array(choices.model.bounds, dtype=float).reshape(-1, 2)
    lower, upper = bounds[:, 0].copy(), bounds[:, 1].copy()
    for day, variable in _chosen(choices):
        if day >= part.end:
            upper[variable] = lower[variable]
        elif day < part.held:
            lower[variable] = upper[variable] = round(before[variable])
    upper[_eaten(choices, part.end)] = 0.0
    _no_more_missed(choices, part.end, goals, upper)
    return lower, upper


def _no_more_missed(c: Choices, since: int, goals: Goals, upper: Floats) -> None:
    """Let no more be missed of what is asked for before a day than must be of all."""
    for wish in c.problem.wishes:
        if wish.id in c.dropped and c.problem.day_of(wish.at) < since:
            upper[c.dropped[wish.id]] = min(upper[c.dropped[wish.id]], goals.dropped)
    for meal in c.problem.meals:
        if meal.strict and c.problem.day_of(meal.at) < since:
            upper[c.short[meal.id]] = min(upper[c.short[meal.id]], goals.short)


@contextmanager
def later_missed(c: Choices, since: int) -> Iterator[None]:
    """Let all be missed, for as long as it is looked at, that is asked for from a day on."""
    if c.spare is None:
        yield
        return
    later = [wish for wish in c.problem.wishes if wish.id in c.dropped and c.problem.day_of(wish.at) >= since]
    guests = (meal for meal in c.problem.meals if meal.strict and c.problem.day_of(meal.at) >= since)
    bounds, (dropped, short) = c.model.bounds, c.spare
    bounds[dropped], bounds[short] = (0, len(later)), (0, sum(meal.portions for meal in guests))
    try:
        yield
    finally:
        bounds[dropped] = bounds[short] = (0, 0)


def _chosen(c: Choices) -> Iterator[tuple[int, int]]:
    """Yield the day and the variable of each run and way; a bake under way is of the first day."""
    for run, variable in zip(c.runs, c.run, strict=True):
        yield (0 if run.under_way else run.day), variable
    for way, variable in zip(c.ways, c.way, strict=True):
        yield way.take_day, variable


def _eaten(c: Choices, since: int) -> list[int]:
    """Return the variables of what is eaten from a day on."""
    later = {meal.id for meal in c.problem.meals if c.problem.day_of(meal.at) >= since}
    found = [variable for (_, meal), variable in c.eaten.items() if meal in later]
    found += [variable for (_, _, meal), variable in c.toast.items() if meal in later]
    found += [variable for (_, meal), variable in c.boxed.items() if meal in later]
    return found + [variable for (_, meal), variable in c.bought.items() if meal in later]


def _costs(c: Choices, since: int) -> set[int]:
    """Return the variables of what may cost something from a day on."""
    last = c.problem.days - 1
    found = {c.short[meal.id] for meal in c.problem.meals if c.problem.day_of(meal.at) >= since}
    found |= {variable for (_, _, day), variable in c.stock.items() if since <= day < last}
    return found | {variable for day, variable in c.missing if day >= since}
