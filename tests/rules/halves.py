"""Small homes that stand at the edge of many rules, and what becomes of a choice of days or minutes in them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rotation.chains import runs
from rotation.choices import Choices, choose
from rotation.grid import Grid
from rotation.moments import Moments
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.runs import undominated
from rotation.solve import shelves
from rotation.solve.cpsat import CpSat
from rotation.solve.day_level import rows
from rotation.solve.dealing import deal
from rotation.solve.tasks import ask
from rotation.solve.timing import Timing
from rotation.tasks import Asked, Task
from rotation.thaws import ways
from tests.solve.homes import DAY, home

BEFORE_COST = 10**7
"""Milli that stand for one strict portion short, or one wish dropped: more than any cost here."""


def weekend(seed: int, breads: int = 2, **changes: object) -> Problem:
    """Return four days of a home where everybody is in and free by day, with a meal that wants a lot on each."""
    made = home(3, breads, 2, seed, tail=1, lots=3, loaves_a_week=9, guests=False)
    free = tuple((DAY * day + 450, DAY * day + 1260) for day in range(made.days))
    inside = tuple((DAY * day + 390, DAY * day + 1380) for day in range(made.days))
    people = tuple(replace(person, inside=inside, free=free, quick=()) for person in made.people)
    return replace(made, people=people, **changes)  # type: ignore[arg-type] # fields of Problem, by name


def _homes() -> dict[str, Problem]:
    plain, thaws = weekend(1), weekend(1, 1)
    lots = tuple(replace(lot, units=2) for lot in thaws.lots)
    thaws = replace(thaws, lots=lots)
    return {
        "plain": plain,
        "busy": home(4, 3, 1, 5, tail=1, lots=3, loaves_a_week=9),
        "thaws": thaws,
        "strict dates": replace(thaws, lots=tuple(replace(lot, strict=DAY) for lot in lots)),
        "little room": replace(thaws, kitchen=replace(plain.kitchen, freezer_dl=((0, 210), (DAY, 100)))),
        "guests": replace(plain, meals=tuple(replace(m, strict=m.id.startswith("supper")) for m in plain.meals)),
        "allergic": replace(plain, meals=tuple(replace(m, without=frozenset({"milk"})) for m in plain.meals)),
    }


HOMES = _homes()


@dataclass(frozen=True)
class Days:
    """A solved choice of days."""

    choices: Choices
    values: tuple[int, ...]
    total: int


def days(problem: Problem) -> Days:
    """Return the best choice of days, what comes before cost weighed as more than any cost."""
    grid, moments = Grid(problem), Moments(problem)
    found = undominated(list(runs(problem, grid, moments)))
    choices = choose(problem, moments, found, list(ways(problem, grid, moments)))
    rows(choices, grid)
    total, constant = choices.model.objective()
    first = [choices.short[meal.id] for meal in problem.meals if meal.strict] + list(choices.dropped.values())
    goal = [(total.pop(variable, 0) + BEFORE_COST, variable) for variable in first]
    goal += [(coefficient, variable) for variable, coefficient in sorted(total.items())]
    answer = CpSat()(choices.model, goal, work=20, gap=0)
    assert answer.values is not None
    assert answer.proven
    return Days(choices, answer.values, constant + sum(c * answer.values[v] for c, v in goal))


def pushed(of: Days) -> Iterator[Plan]:
    """Yield the plans of a choice of days with one step after another put as early, and as late, as it goes."""
    asked: Asked = ask(of.choices, of.values)
    tasks: Sequence[Task] = [*asked.bakes, *asked.ways]
    grid = Grid(of.choices.problem)
    names = [key for key, start in Timing(of.choices.problem, grid, tasks).minutes.starts.items() if not start.fixed]
    for key in names:
        for way in (1, -1):
            timing = Timing(of.choices.problem, grid, tasks)
            shelves.add(timing, of.choices, asked, tasks)
            timing.clock.prefer(timing.minutes.starts[key] * way)
            timing.clock.costs.clear()
            found = timing.solve(10)
            if found is not None:
                yield deal(of.choices, asked, found)
