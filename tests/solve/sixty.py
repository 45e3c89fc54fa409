"""Sixty homes from a few numbers each: what the planner has to cope with, from a week of one bread to a dozen weeks.

The numbers are drawn once, from a seed that is the case's own; the homes are those of tests/solve/homes.py, larger.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

from rotation.problem import Oven, Problem
from tests.solve.homes import home

COUNT = 60


@dataclass(frozen=True)
class Case:
    """The numbers of one home. tight: share of everybody's free hours and of the freezer's room that is taken away."""

    number: int
    breads: int
    people: int
    ovens: int
    days: int
    lots: int
    tight: float

    def __str__(self) -> str:
        """Return the numbers in one line."""
        return (
            f"{self.number:>2}: {self.breads} breads, {self.people} people, {self.ovens} ovens, {self.days} days, "
            f"{self.lots} lots, {self.tight:.0%} tight"
        )


def case(number: int) -> Case:
    """Return the numbers of a case: each fifth of the set is larger than the one before."""
    rng, size = random.Random(101 + number), 5 * number // COUNT
    days = ((7,), (7, 14), (14, 21), (14, 28), (42, 84))[size]
    return Case(
        number,
        rng.randint(1, (2, 3, 4, 6, 8)[size]),
        rng.randint(1, (2, 2, 3, 4, 6)[size]),
        rng.randint(1, (1, 1, 2, 2, 3)[size]),
        rng.choice(days),
        rng.randint(0, (4, 10, 30, 80, 200)[size]),
        rng.choice((0.0, 0.0, 0.3, 0.6)),
    )


def problem(of: Case) -> Problem:
    """Return the home of a case. Its lots fit into the freezer, with room beside them for the bread of a week."""
    made = home(of.days, of.breads, of.people, of.number, lots=of.lots, loaves_a_week=3 + of.people)
    held = sum(lot.units * made.bread(lot.bread).form(lot.form).unit_dl for lot in made.lots)
    room = held + round(180 * (1 - of.tight / 2))
    rng = random.Random(-1 - of.number)
    people = tuple(
        replace(person, free=tuple(span for span in person.free if rng.random() >= of.tight / 2))
        for person in made.people
    )
    ovens = tuple(_oven(made.ovens[0], number) for number in range(of.ovens))
    return replace(made, people=people, ovens=ovens, kitchen=replace(made.kitchen, freezer_dl=((0, room),)))


def _oven(like: Oven, number: int) -> Oven:
    """Return one of several ovens alike, each with bookings of its own."""
    if not number:
        return like
    bookings = tuple(replace(one, id=f"{one.id}, oven {number}") for one in like.bookings)
    return replace(like, id=f"oven {number}", name=f"oven {number}", bookings=bookings)
