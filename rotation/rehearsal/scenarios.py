"""The kinds of weeks a household is rehearsed in: its own, and its own made harder in one way each.

Rates and changes are written here, before any run; the test seeds (`TEST_SEEDS`) are never tuned on.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from rotation.problem import Problem
from rotation.rehearsal.chance import Rates
from rotation.rehearsal.window import without

TRAINING_SEEDS = (101, 102)
"""Seeds that rules of thumb are tuned on."""

TEST_SEEDS = tuple(range(211, 241))
"""Seeds that results are told of. Those up to 30 were spoilt: a rate was changed after an early look at seed 1; a week
of 201 was seen when the script was tried. None of these was run before this was written (28 November 2026)."""

DAY = 1440


@dataclass(frozen=True)
class Scenario:
    """One kind of weeks. said: in words; rates: of what happens; change: what is other about the house."""

    name: str
    said: str
    rates: Rates
    change: Callable[[Problem], Problem] = lambda problem: problem


def _crowded(problem: Problem) -> Problem:
    """Take two evenings of each week from everybody: Tuesday and Thursday by the calendar."""
    return _busy(problem, lambda day: problem.date_of(day).weekday() in (1, 3), 16 * 60, 22 * 60)


def _shifts(problem: Problem) -> Problem:
    """Let whoever bakes first work late in every second week: out of the house from noon to ten, Monday to Friday."""
    first = next((p.id for p in problem.people if p.bakes), "")

    def late(day: int) -> bool:
        return problem.date_of(day).weekday() < 5 and (day // 7) % 2 == 1

    return _busy(problem, late, 12 * 60, 22 * 60, first)


def _busy(problem: Problem, on: Callable[[int], bool], start: int, end: int, only: str = "") -> Problem:
    people = []
    for person in problem.people:
        if person.id == only or not only:
            for day in filter(on, range(problem.days)):
                span = problem.midnights[day] + start, problem.midnights[day] + end
                free, quick = without(person.free, *span), without(person.quick, *span)
                inside = without(person.inside, *span) if only else person.inside
                person = replace(person, free=free, quick=quick, inside=inside)
        people.append(person)
    return replace(problem, people=tuple(people))


def _small(problem: Problem) -> Problem:
    """Halve the freezer."""
    steps = tuple((at, value // 2) for at, value in problem.kitchen.freezer_dl)
    return replace(problem, kitchen=replace(problem.kitchen, freezer_dl=steps))


def _holidays(problem: Problem) -> Problem:
    """Let everybody be away in every eighth week: nobody eats, nobody bakes."""

    def away(day: int) -> bool:
        return (day // 7) % 8 == 4

    everybody = problem
    for person in problem.people:
        everybody = _busy(everybody, away, 0, DAY, person.id)
    meals = tuple(meal for meal in problem.meals if not away(problem.day_of(meal.at)))
    return replace(everybody, meals=meals)


SCENARIOS = (
    Scenario("usual", "your own weeks, with what usually comes between", Rates()),
    Scenario("easy", "weeks in which little happens", Rates(0.1, guests=0.25, eaten=0.1, moved=0.5, spread=0.1)),
    Scenario("crowded", "two evenings gone each week, and much that moves", Rates(moved=4, moved_notice=1), _crowded),
    Scenario("shifts", "whoever bakes works late every second week", Rates(), _shifts),
    Scenario("small-freezer", "half the room in the freezer", Rates(), _small),
    Scenario("guests", "guests three weeks in two, everybody away in the eighth", Rates(guests=1.5), _holidays),
    Scenario("appetite", "appetite grows by a third on the way", Rates(drift=1 / 3)),
    Scenario("oven", "an oven out of order for days, every three weeks", Rates(oven=1 / 3)),
)
"""All of them, the plainest first."""


def scenario(name: str) -> Scenario:
    """Return the scenario with this name. Raises KeyError."""
    return {each.name: each for each in SCENARIOS}[name]


STABILITY = Rates(late=1 / 3, guests=0.5, notice=(1, 4), eaten=1, moved=2, spread=0)
"""What a week has in the trial of planning again: one bake in three late by 30 to 90 minutes, half a guest event at one
to four days' notice, a loaf eaten, two appointments moved. Fixed before any run."""

STABILITY_SEEDS = (17, 18, 19)
"""Lived on no other prices: what came of 11 to 16 was seen while those were chosen."""

STABILITY_WEEKS = 8
