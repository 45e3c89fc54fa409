"""The linear relaxation of a choice of days, kept hot in HiGHS: bounds change, rows are added, the basis stays.

Most rows never bind. Those that are slack at first are set aside, and come back when a solution breaks them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from rotation.grid import Bools
from rotation.model import Model, Row, Term
from rotation.solve.answer import Faulty

Floats = NDArray[np.float64]
Box = tuple[Floats, Floats]
"""Lower and upper bounds of all variables."""

EXACT = 0.01
"""How far the value of a relaxation may lie from the truth, in milli: far more than the library's tolerances."""

SLACK = 1e-6
"""By how much a row may be broken before it is brought back."""

PASSES = 4
"""How often rows are gone through for what they leave of a box."""

WORK_PER_SOLVE, WORK_PER_STEP = 1.5e-3, 3.5e-8
"""Deterministic work: of a solve, and of a step of it for each row; about a second a unit on a small machine."""


class Quiet(highspy.Highs):
    """HiGHS without its banner, which it prints while it is made."""

    def enableCallbacks(self) -> None:  # noqa: N802 -- the library's name
        """Silence the output before the first word."""
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()  # type: ignore[no-untyped-call]  # the library has no types here


@dataclass(frozen=True)
class Stand:
    """Where the simplex stands: a basis, and for how many columns and rows it was made."""

    basis: highspy.HighsBasis
    columns: int
    rows: int


class Relaxation:
    """A model without its whole numbers, within a box. `lower`, `upper`: bounds now; `work`: what has been done so far.

    Variables that the box fixes are left out, and rows that nothing in the box can break.
    """

    def __init__(self, model: Model, goal: list[Term], box: Box | None = None) -> None:
        self.model, self.work = model, 0.0
        self.goal = np.zeros(len(model.bounds))
        for coefficient, variable in goal:
            self.goal[variable] += coefficient
        self.solver = Quiet()  # type: ignore[no-untyped-call]  # nor here
        for option, value in (("threads", 1), ("presolve", "off"), ("simplex_dual_edge_weight_strategy", 1)):
            self.solver.setOptionValue(option, value)
        bounds = np.array(model.bounds, dtype=float).reshape(-1, 2)
        self.rows, narrow = narrowed(model.rows, model.flows, box or (bounds[:, 0], bounds[:, 1]))
        self.lower: Floats = narrow[0]
        self.upper: Floats = narrow[1]
        self.kept = np.flatnonzero(self.lower < self.upper)
        """The variables that are in, by column."""
        self.column = np.full(len(self.lower), -1)
        self.column[self.kept] = np.arange(len(self.kept))
        fixed = np.where(self.column < 0, self.lower, 0.0)
        self.seen = len(model.rows)
        nothing = np.zeros(0, dtype=np.int32)
        self.solver.addCols(
            len(self.kept), self.goal[self.kept], self.lower[self.kept], self.upper[self.kept], 0, nothing, nothing,
            np.zeros(0),
        )  # fmt: skip
        self.solver.changeObjectiveOffset(float(self.goal @ fixed))
        self.aside = Aside()
        self._add(self.rows)

    def grow(self) -> None:
        """Take over variables and rows that the model was given since."""
        old, new = len(self.lower), len(self.model.bounds)
        if new > old:
            bounds = np.array(self.model.bounds[old:], dtype=float)
            cost = dict[int, int]()
            for terms in self.model.costs.values():
                for coefficient, variable in terms:
                    if variable >= old:
                        cost[variable] = cost.get(variable, 0) + coefficient
            costs = np.array([cost.get(variable, 0) for variable in range(old, new)], dtype=float)
            nothing = np.zeros(0, dtype=np.int32)
            self.solver.addCols(new - old, costs, bounds[:, 0], bounds[:, 1], 0, nothing, nothing, np.zeros(0))
            self.goal = np.concatenate([self.goal, costs])
            self.lower = np.concatenate([self.lower, bounds[:, 0]])
            self.upper = np.concatenate([self.upper, bounds[:, 1]])
            self.column = np.concatenate([self.column, len(self.kept) + np.arange(new - old)])
            self.kept = np.concatenate([self.kept, np.arange(old, new)])
        self._add(self.model.rows[self.seen :])
        self.seen = len(self.model.rows)

    def _add(self, rows: list[Row]) -> None:
        """Add rows; what is fixed counts by its value."""
        if not rows:
            return
        low, high, starts, variables, factors = as_arrays(rows)
        columns = self.column[variables]
        of = np.repeat(np.arange(len(rows)), np.diff([*starts, len(variables)]))
        out = columns < 0
        given = np.bincount(of[out], factors[out] * self.lower[variables[out]], len(rows))
        sizes = np.bincount(of[~out], minlength=len(rows))
        starts = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int32)
        self.solver.addRows(
            len(rows), low - given, high - given, int((~out).sum()), starts, columns[~out].astype(np.int32),
            factors[~out],
        )  # fmt: skip

    def set_aside(self) -> None:
        """Take out the inequalities that are slack at the solution found last."""
        basic = highspy.HighsBasisStatus.kBasic
        status = list(self.solver.getBasis().row_status)
        loose = [at for at, row in enumerate(self.rows) if status[at] == basic and row.low != row.high]
        self.aside = Aside([self.rows[at] for at in loose])
        self.solver.deleteRows(len(loose), np.array(loose, dtype=np.int32))

    def box(self, lower: Floats, upper: Floats) -> None:
        """Set all bounds, but of what is left out."""
        changed = self.kept[(lower[self.kept] != self.lower[self.kept]) | (upper[self.kept] != self.upper[self.kept])]
        if len(changed):
            columns = self.column[changed].astype(np.int32)
            self.solver.changeColsBounds(len(changed), columns, lower[changed], upper[changed])
            self.lower[changed], self.upper[changed] = lower[changed], upper[changed]

    def within(self, variable: int, low: float, high: float) -> None:
        """Set the bounds of one variable."""
        self.solver.changeColBounds(int(self.column[variable]), low, high)
        self.lower[variable], self.upper[variable] = low, high

    def solve(self, cutoff: float) -> float:
        """Return the least cost, all rows kept; infinite if there is none, or none below `cutoff`."""
        while True:
            value = self.glance(cutoff, None)
            if value == math.inf:
                return value
            broken = self.aside.broken_by(self.values())
            if not broken:
                return value
            self._add(broken)

    def glance(self, cutoff: float, steps: int | None) -> float:
        """Return the least cost over the rows that are in, or what it is known to be at least after some steps."""
        solver, states = self.solver, highspy.HighsModelStatus
        solver.setOptionValue("simplex_iteration_limit", 2**31 - 1 if steps is None else steps)
        solver.setOptionValue("objective_bound", cutoff)
        solver.run()
        state, info = solver.getModelStatus(), solver.getInfo()
        self.work += WORK_PER_SOLVE + WORK_PER_STEP * info.simplex_iteration_count * solver.getNumRow()
        if state in (states.kInfeasible, states.kObjectiveBound):
            return math.inf
        if state not in (states.kOptimal, states.kIterationLimit) or (steps is None and state != states.kOptimal):
            raise Faulty(f"HiGHS ended with {solver.modelStatusToString(state)}")
        return float(info.objective_function_value)

    def values(self) -> Floats:
        """Return the values found last."""
        values = self.lower.copy()
        values[self.kept] = self.solver.getSolution().col_value
        return values

    def reduced(self) -> Floats:
        """Return what one more of each variable would cost; nothing for what is left out."""
        reduced = np.zeros(len(self.lower))
        reduced[self.kept] = self.solver.getSolution().col_dual
        return reduced

    def stand(self) -> Stand:
        """Return where the simplex stands."""
        return Stand(self.solver.getBasis(), self.solver.getNumCol(), self.solver.getNumRow())

    def back_to(self, stand: Stand) -> None:
        """Let the simplex stand where it stood; columns and rows that have come since are out of the way."""
        more_columns, more_rows = self.solver.getNumCol() - stand.columns, self.solver.getNumRow() - stand.rows
        basis, states = stand.basis, highspy.HighsBasisStatus
        if more_columns or more_rows:
            basis = highspy.HighsBasis()
            basis.col_status = [*stand.basis.col_status, *([states.kLower] * more_columns)]
            basis.row_status = [*stand.basis.row_status, *([states.kBasic] * more_rows)]
        self.solver.setBasis(basis)


class Aside:
    """Rows that are not in the relaxation, so as to be held against its solutions all at once."""

    def __init__(self, rows: Sequence[Row] = ()) -> None:
        self.rows = list(rows)
        self.low, self.high, starts, self.variables, self.factors = as_arrays(self.rows)
        self.of = np.repeat(np.arange(len(self.rows)), np.diff([*starts, len(self.variables)]))
        self.out: Bools = np.ones(len(self.rows), dtype=np.bool_)

    def broken_by(self, values: Floats) -> list[Row]:
        """Return the rows that values break, and forget them."""
        if not self.rows:
            return []
        totals = np.bincount(self.of, self.factors * values[self.variables], len(self.rows))
        broken = self.out & ((totals < self.low - SLACK) | (totals > self.high + SLACK))
        self.out &= ~broken
        return [self.rows[at] for at in np.flatnonzero(broken)]


def narrowed(rows: Sequence[Row], flows: set[int], box: Box) -> tuple[list[Row], Box]:
    """Return the rows that something in a box can break, and what the rows leave of the box."""
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
        crossed = lower > upper
        upper[crossed] = lower[crossed]  # nothing is left: the rows, which are kept, say so
    return [rows[int(at)] for at in np.flatnonzero((least < low - SLACK) | (most > high + SLACK))], (lower, upper)


def as_arrays(rows: Sequence[Row]) -> tuple[Floats, Floats, NDArray[np.int32], NDArray[np.int32], Floats]:
    """Return bounds, where each row starts, variables and coefficients."""
    low = np.array([-math.inf if row.low is None else row.low for row in rows], dtype=float)
    high = np.array([math.inf if row.high is None else row.high for row in rows], dtype=float)
    starts = np.cumsum([0, *(len(row.terms) for row in rows[:-1])], dtype=np.int32)[: len(rows)]
    variables = np.array([variable for row in rows for _, variable in row.terms], dtype=np.int32)
    factors = np.array([coefficient for row in rows for coefficient, _ in row.terms], dtype=float)
    return low, high, starts, variables, factors
