"""Small whole-number programmes, for formulations written apart from the planner's: HiGHS by scipy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

Sum = Mapping[int, float]
"""Coefficient of each variable."""


@dataclass
class Programme:
    """Variables by index, with prices; rows `low <= sum <= high`."""

    prices: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    rows: list[tuple[float, Sum, float]] = field(default_factory=list)

    def whole(self, price: float = 0, most: float = np.inf) -> int:
        """Add a variable of 0, 1, ... up to `most`."""
        self.prices.append(price)
        self.most.append(most)
        return len(self.prices) - 1

    def row(self, low: float, of: Sum, high: float) -> None:
        """Add a row; `inf`: no upper bound. A large number in its place once cost HiGHS' presolve the optimum."""
        self.rows.append((low, of, high))

    def least(self, goal: Sum | None = None) -> int:
        """Return the least cost (of the prices, or of another goal), proven."""
        self.row(0, {self.whole(): 1}, 0)  # a home in which nothing can be done has no row of its own
        cost = np.array(self.prices) if goal is None else np.zeros(len(self.prices))
        for variable, coefficient in (goal or {}).items():
            cost[variable] = coefficient
        entries = [(row, variable, k) for row, (_, of, _) in enumerate(self.rows) for variable, k in of.items()]
        rows, columns, values = zip(*entries, strict=True)
        matrix = csr_array((values, (rows, columns)), shape=(len(self.rows), len(cost)))
        found = milp(
            cost,
            integrality=np.ones(len(cost)),
            bounds=Bounds(0, np.array(self.most)),
            constraints=LinearConstraint(matrix, [low for low, _, _ in self.rows], [high for _, _, high in self.rows]),
            options={"mip_rel_gap": 0.0},
        )
        assert found.status == 0, found.message
        return round(found.fun)
