"""What is better: the cost of a plan term by term, in thousandths of an effort minute (`milli`).

A term is one file with two halves side by side: its expression over the model, and its score of a finished plan.
"""

from __future__ import annotations

from typing import Protocol, runtime_checkable

from rotation.choices import Choices
from rotation.costs import (
    age,
    bakes,
    bought,
    changes,
    frozen,
    hands,
    heat_ups,
    past_date,
    reserve,
    rhythm,
    stock,
    unmet,
    wasted,
)
from rotation.grid import Grid
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Problem


class Term(Protocol):
    """A module of this package."""

    NAME: str

    def days(self, choices: Choices, grid: Grid) -> None:
        """Add what a choice of days costs at least, to the term with this name."""

    def score(self, problem: Problem, plan: Plan) -> int:
        """Return what the term comes to in a plan that holds, in milli."""


@runtime_checkable
class Timely(Protocol):
    """A term that depends on the minutes."""

    def minutes(self, minutes: Minutes) -> None:
        """Add what the minutes cost."""


TERMS: tuple[Term, ...] = (
    hands, bakes, rhythm, heat_ups, unmet, bought, frozen, age, wasted, past_date, reserve, stock, changes,
)  # fmt: skip
"""All terms, in the order they are shown."""


def days(choices: Choices, grid: Grid) -> None:
    """Add every term to a choice of days."""
    for term in TERMS:
        term.days(choices, grid)


def minutes(of: Minutes) -> None:
    """Add to a choice of minutes the terms that depend on it."""
    for term in TERMS:
        if hasattr(term, "minutes"):  # quicker than to ask for the protocol
            term.minutes(of)


def scores(problem: Problem, plan: Plan) -> tuple[tuple[str, int], ...]:
    """Return each term's cost of a plan that holds (`rules.checked`); their sum is what the solver makes least."""
    return tuple((term.NAME, term.score(problem, plan)) for term in TERMS)
