"""All rules, in the order they are checked."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol

from rotation.plan import Plan
from rotation.problem import Problem
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
    stock,
    thawed,
    toast,
    turns,
    under_way,
    waits,
    watch,
    wishes,
)
from rotation.rules.broken import Broken


class Rule(Protocol):
    """A module of this package: its name, and what it finds broken in a finished plan."""

    NAME: str

    def check(self, problem: Problem, plan: Plan) -> Iterator[Broken]:
        """Yield every place where the plan breaks the rule."""


RULES: tuple[Rule, ...] = (
    references, grid, horizon, pieces, stages, under_way, waits, one_mix,
    hands, watch, turns, finishes, closed, oven, heat, places, kitchen,
    cooled, rested, frozen_through, thawed, filled, freezer_room, freezing_rate, stock, fifo, dates,
    toast, portions, keeping, accepted, allergens, buying, wishes,
)  # fmt: skip
"""`references` comes first: the others look up what a plan names."""
