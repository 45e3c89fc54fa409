"""Parts of a choice of days: nothing new at all, or all but a few days of a plan as they are."""

from __future__ import annotations

import numpy as np

from rotation.choices import Choices
from rotation.solve.cuts import planned
from rotation.solve.rows import Box, Floats
from rotation.tasks import Asked, Task

NEAR = 0.02
"""How near a value of a relaxation is to a plan's where they agree."""


def around(choices: Choices, asked: Asked, days: range, *, without: Task | None = None) -> Box:
    """Return bounds that hold what was asked on all days but some; without: what must not be there again."""
    bounds = np.array(choices.model.bounds, dtype=float).reshape(-1, 2)
    lower, upper = bounds[:, 0].copy(), bounds[:, 1].copy()
    kept = {task.run for task in asked.bakes} | {task.way for task in asked.ways}
    chosen = [(run.day, run in kept, choices.run[index]) for index, run in enumerate(choices.runs)]
    chosen += [(way.take_day, way in kept, choices.way[index]) for index, way in enumerate(choices.ways)]
    for day, is_, variable in chosen:
        if day not in days:
            lower[variable] = upper[variable] = float(is_)
    if without is not None:
        lower[choices.variable(planned(without))] = upper[choices.variable(planned(without))] = 0.0
    return lower, upper


def agreed(choices: Choices, asked: Asked, relaxed: Floats) -> Box:
    """Return bounds that hold the runs and ways of which a relaxation says the same as what was asked."""
    bounds = np.array(choices.model.bounds, dtype=float).reshape(-1, 2)
    lower, upper = bounds[:, 0].copy(), bounds[:, 1].copy()
    kept = {task.run for task in asked.bakes} | {task.way for task in asked.ways}
    chosen = [(float(run in kept), choices.run[index]) for index, run in enumerate(choices.runs)]
    chosen += [(float(way in kept), choices.way[index]) for index, way in enumerate(choices.ways)]
    for is_, variable in chosen:
        if abs(relaxed[variable] - is_) < NEAR:
            lower[variable] = upper[variable] = is_
    return lower, upper


def counted(choices: Choices, values: Floats) -> Box:
    """Return bounds that hold how many bakes of each bread there are by each day."""
    bounds = np.array(choices.model.bounds, dtype=float).reshape(-1, 2)
    lower, upper = bounds[:, 0].copy(), bounds[:, 1].copy()
    counts = sorted(choices.so_far.values())
    lower[counts] = upper[counts] = np.round(values[counts])
    return lower, upper


def hold_nothing(choices: Choices) -> None:
    """Hold all bakes but those under way, and all finishes, at none."""
    for index, run in enumerate(choices.runs):
        if run.under_way is None:
            choices.model.bounds[choices.run[index]] = (0, 0)
    for variable in choices.way:
        choices.model.bounds[variable] = (0, 0)


def as_asked(choices: Choices, asked: Asked) -> dict[int, int]:
    """Return the values that a choice of days gives to runs, ways, pieces and units."""
    values: dict[int, int] = {}
    bakes = {task.run: task for task in asked.bakes}
    ways = {task.way: task for task in asked.ways}
    for index, run in enumerate(choices.runs):
        values[choices.run[index]] = int(run in bakes)
    for (index, id_), variable in choices.pieces.items():
        bake = bakes.get(choices.runs[index])
        values[variable] = 0 if bake is None else sum(count for of, count in bake.pieces if of == id_)
    for index, way in enumerate(choices.ways):
        values[choices.way[index]] = int(way in ways)
        values[choices.units[index]] = ways[way].units if way in ways else 0
    return values
