"""Rows all at once, as arrays: which of them values break, and what they leave of a box."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rotation.grid import Bools, Ints
from rotation.model import Row

Floats = NDArray[np.float64]
Box = tuple[Floats, Floats]
"""Lower and upper bounds of all variables."""

SLACK = 1e-6
"""By how much a row may be broken before it is brought back."""

PASSES = 4
"""How often rows are gone through for what they leave of a box."""


class Aside:
    """Rows that are not in the relaxation, so as to be held against its solutions all at once.

    numbers: which of the model's.
    """

    def __init__(self, rows: Sequence[Row] = (), numbers: Sequence[int] = ()) -> None:
        self.numbers: Ints = np.array(numbers, dtype=np.int64)
        self.low, self.high, starts, self.variables, self.factors = as_arrays([rows[number] for number in numbers])
        self.of = np.repeat(np.arange(len(numbers)), np.diff([*starts, len(self.variables)]))
        self.out: Bools = np.ones(len(numbers), dtype=np.bool_)

    def broken_by(self, values: Floats) -> list[int]:
        """Return the numbers of the rows that values break, and forget them."""
        if not len(self.numbers):
            return []
        totals = np.bincount(self.of, self.factors * values[self.variables], len(self.numbers))
        broken = self.out & ((totals < self.low - SLACK) | (totals > self.high + SLACK))
        self.out &= ~broken
        return [int(number) for number in self.numbers[broken]]


def narrowed(rows: Sequence[Row], flows: set[int], box: Box) -> tuple[Ints, Box] | None:
    """Return the numbers of the rows that something in a box can break, and what the rows leave of it, if anything."""
    lower, upper = box[0].copy(), box[1].copy()
    low, high, starts, variables, factors = as_arrays(rows)
    of = np.repeat(np.arange(len(rows)), np.diff([*starts, len(variables)]))
    whole = np.ones(len(lower), dtype=np.bool_)
    whole[sorted(flows)] = False
    up = factors > 0
    for _ in range(PASSES):
        least_of, most_of = (
            np.where(up, lower[variables], upper[variables]),
            np.where(up, upper[variables], lower[variables]),
        )
        least = np.bincount(of, factors * least_of, len(rows))
        most = np.bincount(of, factors * most_of, len(rows))
        at_most = (high[of] - least[of] + factors * least_of) / factors
        at_least = (low[of] - most[of] + factors * most_of) / factors
        top, bottom = np.full(len(upper), math.inf), np.full(len(lower), -math.inf)
        np.minimum.at(top, variables, np.where(up, at_most, at_least))
        np.maximum.at(bottom, variables, np.where(up, at_least, at_most))
        top[whole], bottom[whole] = np.floor(top[whole] + SLACK), np.ceil(bottom[whole] - SLACK)
        moved = (top < upper - SLACK) | (bottom > lower + SLACK)
        if not moved.any():
            break
        upper[moved], lower[moved] = np.minimum(upper, top)[moved], np.maximum(lower, bottom)[moved]
        if (lower > upper).any():
            return None
    return np.flatnonzero((least < low - SLACK) | (most > high + SLACK)), (lower, upper)


def as_arrays(rows: Sequence[Row]) -> tuple[Floats, Floats, NDArray[np.int32], NDArray[np.int32], Floats]:
    """Return bounds, where each row starts, variables and coefficients."""
    low = np.array([-math.inf if row.low is None else row.low for row in rows], dtype=float)
    high = np.array([math.inf if row.high is None else row.high for row in rows], dtype=float)
    starts = np.cumsum([0, *(len(row.terms) for row in rows[:-1])], dtype=np.int32)[: len(rows)]
    variables = np.array([variable for row in rows for _, variable in row.terms], dtype=np.int32)
    factors = np.array([coefficient for row in rows for coefficient, _ in row.terms], dtype=float)
    return low, high, starts, variables, factors
