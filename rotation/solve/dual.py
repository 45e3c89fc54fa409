"""Bounds that need no trust in a solver: rows, weighed and added up, say what anything in a box costs at least.

Any weights give a bound that holds, the duals of a relaxation the best one (weak duality; A. Neumaier and
O. Shcherbina, *Safe bounds in linear and mixed-integer linear programming*, Mathematical Programming 99, 2004; from
memory). So what a solver says is taken for a hint, and worked out again from the rows.
"""

from __future__ import annotations

import numpy as np

from rotation.grid import Bools, Ints
from rotation.solve.rows import Box, Floats


class Dual:
    """The rows of a relaxation, by its columns."""

    def __init__(self) -> None:
        self.low, self.high, self.factors = np.zeros(0), np.zeros(0), np.zeros(0)
        self.bounded = np.zeros((2, 0))
        """1 where a row has a lower, or an upper bound, else 0; the bound counts as 0 there."""
        self.of, self.columns = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)

    def add(self, low: Floats, high: Floats, of: Ints, columns: Ints, factors: Floats) -> None:
        """Add rows: their bounds, and for each factor its row among them and its column."""
        self.of = np.concatenate([self.of, of + len(self.low)])
        finite = np.isfinite([low, high])
        self.low = np.concatenate([self.low, np.where(finite[0], low, 0.0)])
        self.high = np.concatenate([self.high, np.where(finite[1], high, 0.0)])
        self.bounded = np.concatenate([self.bounded, finite.astype(float)], axis=1)
        self.columns = np.concatenate([self.columns, columns])
        self.factors = np.concatenate([self.factors, factors])

    def keep(self, rows: Bools) -> None:
        """Take out all rows but some."""
        places, number = rows[self.of], np.cumsum(rows) - 1
        self.of, self.columns, self.factors = number[self.of[places]], self.columns[places], self.factors[places]
        self.low, self.high, self.bounded = self.low[rows], self.high[rows], self.bounded[:, rows]

    def bound(self, weights: Floats, costs: Floats, box: Box) -> tuple[float, Floats]:
        """Return what anything in a box costs at least, and what one more of each column costs then."""
        up, down = np.maximum(weights, 0.0) * self.bounded[0], np.minimum(weights, 0.0) * self.bounded[1]
        reduced = costs - np.bincount(self.columns, self.factors * (up + down)[self.of], len(costs))
        rows = up @ self.low + down @ self.high
        return float(rows + np.maximum(reduced, 0.0) @ box[0] + np.minimum(reduced, 0.0) @ box[1]), reduced

    def excludes(self, ray: Floats, box: Box) -> bool:
        """Say whether rows, weighed by a ray, can be kept nowhere in a box (J. Farkas, 1902): 0 would be above 0."""
        nothing = np.zeros(len(box[0]))
        return max(self.bound(side * ray, nothing, box)[0] for side in (1.0, -1.0)) > 0
