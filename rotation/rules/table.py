"""All rules, in the order they are checked."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol, runtime_checkable

from rotation.choices import Choices, Offer, Serves
from rotation.minutes import Freezer, Minutes
from rotation.plan import Plan
from rotation.problem import Meal, Problem
from rotation.rules import (
    accepted,
    allergens,
    buying,
    closed,
    cooled,
    dates,
    fifo,
    filled,
    finishes,
    freezer_room,
    freezing_rate,
    frozen_through,
    grid,
    hands,
    heat,
    horizon,
    keeping,
    kitchen,
    one_mix,
    oven,
    pieces,
    places,
    portions,
    references,
    rested,
    stages,
    starter,
    stock,
    thawed,
    toast,
    together,
    turns,
    under_way,
    waits,
    watch,
    wishes,
)
from rotation.rules.broken import Broken


class Rule(Protocol):
    """A module of this package: its name, and what it finds broken in a finished plan.

    Its model half is in functions beside the check: `Serving`, `Daily`, `Timely`, `Cold`. A rule that follows from
    others, or from what the variables stand for, has none (tests/rules/test_model_halves.py says why).
    """

    NAME: str

    def check(self, problem: Problem, plan: Plan) -> Iterator[Broken]:
        """Yield every place where the plan breaks the rule."""


@runtime_checkable
class Serving(Protocol):
    """A rule that says what a meal may be served."""

    def serves(self, problem: Problem, meal: Meal, offer: Offer) -> bool:
        """Say whether a meal may be served what is offered, in the best case."""


@runtime_checkable
class Daily(Protocol):
    """A rule that adds to the choice of days."""

    def days(self, choices: Choices) -> None:
        """Add rows that every plan keeps."""


@runtime_checkable
class Timely(Protocol):
    """A rule that adds to the choice of minutes."""

    def minutes(self, minutes: Minutes) -> None:
        """Add what the minutes of every plan keep."""


@runtime_checkable
class Cold(Protocol):
    """A rule that adds to the choice of minutes what the freezer asks for."""

    def freezer(self, minutes: Minutes, freezer: Freezer) -> None:
        """Add what the freezer keeps at every minute of every plan."""


RULES: tuple[Rule, ...] = (
    references, grid, horizon, pieces, stages, under_way, waits, one_mix,
    hands, watch, turns, finishes, together, closed, oven, heat, places, kitchen,
    cooled, rested, frozen_through, thawed, filled, freezer_room, freezing_rate, stock, fifo, dates,
    toast, portions, keeping, accepted, allergens, buying, wishes, starter,
)  # fmt: skip
"""`references` comes first: the others look up what a plan names."""


def serving() -> Serves:
    """Return what says whether every rule lets a meal be served what is offered."""
    rules = [rule for rule in RULES if isinstance(rule, Serving)]
    return lambda problem, meal, offer: all(rule.serves(problem, meal, offer) for rule in rules)


def days(choices: Choices) -> None:
    """Add every rule to a choice of days."""
    for rule in RULES:
        if isinstance(rule, Daily):
            rule.days(choices)


def minutes(of: Minutes) -> None:
    """Add every rule to a choice of minutes, but those of the freezer."""
    for rule in RULES:
        if hasattr(rule, "minutes"):  # quicker than to ask for the protocol
            rule.minutes(of)


def freezer(of: Minutes, what: Freezer) -> None:
    """Add the rules of the freezer to a choice of minutes."""
    for rule in RULES:
        if hasattr(rule, "freezer"):
            rule.freezer(of, what)
