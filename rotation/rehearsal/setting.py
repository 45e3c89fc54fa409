"""From a household, its calendars and its stock to a world to rehearse in."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import datetime

from rotation.household.reading import Home
from rotation.intake import Bag, build, opening, read_calendars
from rotation.problem import Problem
from rotation.rehearsal.chance import Luck, Rates, drawn
from rotation.rehearsal.world import MORNING, World

AFTER = 4
"""Days read beyond those that are lived and those a plan looks ahead."""


def long_problem(
    home: Home, start: datetime, days: int, bags: Sequence[Bag] | None = None, ours: Collection[str] = ()
) -> Problem:
    """Return the problem of many days, from the morning of the day of `start`. Reads the calendars.

    bags: in the freezer at the start (None: those of `stock.toml`, and what it says of the bread box); ours: UIDs of
    our own entries, which make nobody busy.
    """
    local = start.astimezone(home.zone)
    at = local.replace(hour=MORNING // 60, minute=MORNING % 60, second=0, microsecond=0)
    readings = {
        name: replace(reading, events=tuple(event for event in reading.events if event.uid not in ours))
        for name, reading in read_calendars(home, at, days).items()
    }
    box = home.stock.box if bags is None else ()
    if bags is None:
        bags = opening(home.stock, home.breads, home.zone, home.settings.kitchen.freezer_degc)
    made = build(home, readings, bags, box, (), None, at, days).problem
    return replace(made, under_way=(), wishes=())


def ahead(problem: Problem) -> int:
    """Return how many days of a long problem are its tail."""
    return problem.days - problem.shown_days


def world(home: Home, problem: Problem, days: int, shown: int, rates: Rates, seed: int) -> tuple[World, Luck]:
    """Return a world of so many days, made of a long problem by chance, and what chance does there."""
    known, news = drawn(problem, rates, seed)
    return World(known, home.settings, days, shown, ahead(problem), news), Luck(seed, rates, days)


def enough(days: int, shown: int) -> int:
    """Return the days a long problem wants for a life of so many, with plans of so many."""
    return days + shown + AFTER
