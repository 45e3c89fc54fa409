"""The far days, chosen two weeks at a time by dives into one relaxation: what is chosen is held, the next follow.

Nothing is proven of it, and no minute is timed: a sketch keeps the daily rules (rotation/far/daily.py), no more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from rotation.chains import runs
from rotation.choices import Choices, choose
from rotation.errors import NothingPlanned
from rotation.far import Eaten, Out, Ready, Sketch, SketchBake, daily
from rotation.grid import Grid
from rotation.moments import Moments
from rotation.problem import Problem
from rotation.runs import undominated
from rotation.solve.day_level import rows
from rotation.solve.days import ranks
from rotation.solve.dive import dive
from rotation.solve.goals import cost, strict
from rotation.solve.highs import whole
from rotation.solve.relaxation import Relaxation
from rotation.thaws import ways

TOGETHER, AHEAD = 14, 4
"""Days that are settled at once, and how far beyond them is looked."""


def sketch(problem: Problem, first: int) -> Sketch:
    """Return what is baked and eaten on the local days from `first` on. problem: that of those days (`far.after`).

    Raises NothingPlanned if not even bought bread and short meals make a sketch.
    """
    grid, moments = Grid(problem), Moments(problem)
    days = range(first, problem.days)
    found = undominated(list(runs(problem, grid, moments, days)))
    choices = choose(problem, moments, found, list(ways(problem, grid, moments, days)))
    rows(choices, grid)
    daily.rows(choices, first)
    return _read(choices, _chosen(choices, first), first)


def _chosen(choices: Choices, first: int) -> tuple[int, ...]:
    """Return the values of all variables; strict portions are no goal of their own here, but have a price."""
    problem, model = choices.problem, choices.model
    goal = [*cost(model), *((problem.weights.strict_portion, variable) for _, variable in strict(problem, choices))]
    bounds = np.array(model.bounds, dtype=float).reshape(-1, 2)
    lower, upper = bounds[:, 0].copy(), bounds[:, 1].copy()
    days = np.full(len(lower), -1)
    for index, run in enumerate(choices.runs):
        days[choices.run[index]] = run.day
    for (index, _), variable in choices.pieces.items():
        days[variable] = choices.runs[index].day
    for index, way in enumerate(choices.ways):
        days[[choices.way[index], choices.units[index]]] = way.take_day
    values = None
    for start in range(first, problem.days, TOGETHER):
        high = np.where(days >= start + TOGETHER + AHEAD, 0.0, upper)
        values = dive(Relaxation(model, goal, (lower, high)), ranks(choices), math.inf)
        if values is None:
            raise NothingPlanned(f"No sketch of the days after {problem.date_of(start)} fits the daily rules.")
        held = (days >= 0) & (days < start + TOGETHER)
        lower[held] = upper[held] = np.round(values[held])
    assert values is not None
    return whole(model, goal, values)


def _read(choices: Choices, values: tuple[int, ...], first: int) -> Sketch:
    """Return the sketch that values stand for."""
    problem = choices.problem
    servings: list[Eaten] = [(meal, _ready(choices, *node), values[v]) for (node, meal), v in choices.eaten.items()]
    for (bread, route, meal), variable in choices.toast.items():
        servings.append((meal, _at_once(problem, bread, route, meal), values[variable]))
    servings += [(meal, item, values[v]) for (item, meal), v in choices.boxed.items()]
    servings += [(meal, problem.shop.closes[index], values[v]) for (index, meal), v in choices.bought.items()]
    loaves = ((closes, values[v]) for closes, v in zip(problem.shop.closes, choices.loaves, strict=True))
    return Sketch(
        first,
        problem.shown_days,
        tuple(_bakes(choices, values)),
        tuple(_outs(choices, values)),
        tuple(one for one in loaves if one[1]),
        tuple(one for one in servings if one[2]),
    )


def _ready(choices: Choices, bread: str, route: str, of: int) -> Ready:
    """Return what fills a node."""
    return Ready(bread, route, *choices.moments.span(bread, of))


def _at_once(problem: Problem, bread: str, route: str, meal: str) -> Ready:
    """Return what is taken from the freezer at a meal."""
    at = next(one.at for one in problem.meals if one.id == meal)
    return Ready(bread, route, at, at)


def _bakes(choices: Choices, values: tuple[int, ...]) -> Iterator[SketchBake]:
    """Yield the bakes, by day."""
    for index, run in sorted(enumerate(choices.runs), key=lambda pair: (pair[1].day, pair[0])):
        if values[choices.run[index]]:
            counts = ((id_, values[v]) for (of, id_), v in choices.pieces.items() if of == index)
            ready = None if run.ready is None else _ready(choices, run.bread, "", run.ready)
            date = choices.problem.date_of(run.day)
            yield SketchBake(
                f"{run.bread}-{run.process}-{date:%m%d}", run.bread, run.process, run.day,
                tuple(one for one in counts if one[1]), ready, run.put_day,
            )  # fmt: skip


def _outs(choices: Choices, values: tuple[int, ...]) -> Iterator[Out]:
    """Yield what leaves the freezer."""
    problem = choices.problem
    for index, way in enumerate(choices.ways):
        if values[choices.units[index]]:
            ready = _ready(choices, way.bread, way.route, way.ready)
            yield Out(way.bread, way.form, values[choices.units[index]], way.take_day, ready)
    for (bread, route, meal), variable in choices.toasted.items():
        if values[variable]:
            ready = _at_once(problem, bread, route, meal)
            form = problem.bread(bread).route(route).form
            yield Out(bread, form, values[variable], problem.day_of(ready.first), ready)
    for (bread, form, day), variable in choices.discards.items():
        if values[variable]:
            yield Out(bread, form, values[variable], day, None)
