"""What a family may change so that bread is there: small changes, in their words, with what each asks of them."""

from __future__ import annotations

from rotation.problem import Meal, Problem
from rotation.reasons.at_table import at_table
from rotation.reasons.change import Change
from rotation.reasons.hours import hours
from rotation.reasons.room import room

REACH = 2
"""Days before a meal whose hours may be changed for it."""


def catalogue(problem: Problem, meal: Meal) -> list[Change]:
    """Return the changes that may help a meal, in a fixed order."""
    first = problem.midnights[max(problem.day_of(meal.at) - REACH, 0)]
    near = (max(first, 0), meal.at)
    return [*at_table(problem, meal), *hours(problem, near), *room(problem, near)]
