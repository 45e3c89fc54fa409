"""A first choice for large homes: a week at a time, each by a dive, nothing new in the weeks after it.

A dive costs as many relaxations as there is to settle, and each costs more, the larger the home: four weeks one after
the other take half as long as at once, and less memory. What a week leaves is what the next one begins with.
"""

from __future__ import annotations

import math

import numpy as np

from rotation.choices import Choices
from rotation.problem import Problem
from rotation.solve.days import ranks
from rotation.solve.dive import dive
from rotation.solve.goals import cost, strict, wishes
from rotation.solve.highs import whole
from rotation.solve.relaxation import Relaxation
from rotation.solve.rows import Floats

WEEK = 7
DROPPED, SHORT = 10**7, 10**6
"""Milli of a wish dropped, of a strict portion short: more than either could spare."""


def weekly(problem: Problem, choices: Choices) -> tuple[int, ...] | None:
    """Return values of a choice of days whose goals are open; None where a week leads nowhere."""
    goal = [(DROPPED, v) for _, v in wishes(choices)] + [(SHORT, v) for _, v in strict(problem, choices)]
    goal += cost(choices.model)
    bounds = np.array(choices.model.bounds, dtype=float).reshape(-1, 2)
    begins = [(run.day, choices.run[index]) for index, run in enumerate(choices.runs)]
    begins += [(way.take_day, choices.way[index]) for index, way in enumerate(choices.ways)]
    day, variable = np.array(begins, dtype=np.int64).reshape(-1, 2).T
    week = np.maximum(day, 0) // WEEK
    values: Floats | None = None
    for now in range(-(-problem.days // WEEK)):
        lower, upper = bounds[:, 0].copy(), bounds[:, 1].copy()
        held = variable[week != now]
        lower[held] = upper[held] = 0.0 if values is None else np.round(values[held])
        values = dive(Relaxation(choices.model, goal, (lower, upper)), ranks(choices), math.inf)
        if values is None:
            return None
    return None if values is None else whole(choices.model, goal, values)
