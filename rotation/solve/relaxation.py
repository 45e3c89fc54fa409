"""The linear relaxation of a choice of days, kept hot in HiGHS: bounds change, rows are added, the basis stays.

Most rows never bind. Those that are slack at first are set aside, and come back when a solution breaks them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import highspy
import numpy as np

from rotation.model import Model, Row, Term
from rotation.solve.answer import Faulty, tell, trusting
from rotation.solve.dual import Dual
from rotation.solve.rows import Aside, Box, Floats, as_arrays, narrowed
from rotation.solve.simplex import Quiet, Stand, Warm

SCALED = 12
"""Rows of larger factors than this power of two are given to the library divided by it."""

EXACT = 0.01
"""How far the value of a relaxation may lie from the truth, in milli: far more than the library's tolerances."""

WORK_PER_SOLVE, WORK_PER_STEP = 1.5e-3, 3.5e-8
"""Deterministic work: of a solve, and of a step of it for each row; about a second a unit on a small machine."""


class Relaxation:
    """A model without its whole numbers, within a box. `lower`, `upper`: bounds now; `work`: what has been done so far.

    Variables that the box fixes are left out, and rows that nothing in the box can break. warm: where to begin; rows
    that do not bind there are set aside.
    """

    def __init__(self, model: Model, goal: list[Term], box: Box | None = None, warm: Warm | None = None) -> None:
        self.model, self.work = model, 0.0
        self.goal = np.zeros(len(model.bounds))
        for coefficient, variable in goal:
            self.goal[variable] += coefficient
        self.beside = self.goal - self._objective()
        """What the goal has beside the cost of the model."""
        self.solver = Quiet()  # type: ignore[no-untyped-call]  # nor here
        for option, value in (("threads", 1), ("presolve", "off"), ("simplex_dual_edge_weight_strategy", 1)):
            self.solver.setOptionValue(option, value)
        bounds = np.array(model.bounds, dtype=float).reshape(-1, 2)
        given = box or (bounds[:, 0], bounds[:, 1])
        left = narrowed(model.rows, model.flows, given)
        self.nothing = left is None
        """Whether rows and box exclude each other at first sight."""
        numbers, narrow = left or (np.zeros(0, dtype=np.int64), given)
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
        self.offset = float(self.goal @ fixed)
        self.solver.changeObjectiveOffset(self.offset)
        self.numbers: list[int] = []
        """The rows that are in, by their numbers in the model."""
        self.scales: list[float] = []
        """What each of them is divided by for the library."""
        self.weighed = np.zeros(0)
        self.dual = Dual()
        """The rows that are in, to weigh what the library says against."""
        self.aside = Aside()
        if warm is None:
            self.bring(numbers.tolist())
            return
        basic, known = highspy.HighsBasisStatus.kBasic, len(warm.rows)
        loose = [n for n in numbers.tolist() if n < known and warm.rows[n] == basic and not _is_equality(model.rows[n])]
        self.aside = Aside(model.rows, loose)
        self.bring(np.setdiff1d(numbers, np.array(loose, dtype=np.int64)).tolist())
        basis = highspy.HighsBasis()
        lower, columns = highspy.HighsBasisStatus.kLower, len(warm.columns)
        basis.col_status = [warm.columns[v] if v < columns else lower for v in self.kept.tolist()]
        basis.row_status = [warm.rows[n] if n < known else basic for n in self.numbers]
        self.solver.setBasis(basis)

    def warm(self) -> Warm:
        """Return where the simplex stands, in terms of the model."""
        basis, states = self.solver.getBasis(), highspy.HighsBasisStatus
        columns, rows = [states.kLower] * len(self.lower), [states.kBasic] * len(self.model.rows)
        for variable, status in zip(self.kept.tolist(), basis.col_status, strict=True):
            columns[variable] = status
        for number, status in zip(self.numbers, basis.row_status, strict=True):
            rows[number] = status
        return Warm(tuple(columns), tuple(rows))

    def grow(self) -> None:
        """Take over variables and rows that the model was given since."""
        old, new = len(self.lower), len(self.model.bounds)
        if new > old:
            bounds = np.array(self.model.bounds[old:], dtype=float)
            costs = np.zeros(new - old)
            nothing = np.zeros(0, dtype=np.int32)
            self.solver.addCols(new - old, costs, bounds[:, 0], bounds[:, 1], 0, nothing, nothing, np.zeros(0))
            self.goal = np.concatenate([self.goal, costs])
            self.lower = np.concatenate([self.lower, bounds[:, 0]])
            self.upper = np.concatenate([self.upper, bounds[:, 1]])
            self.column = np.concatenate([self.column, len(self.kept) + np.arange(new - old)])
            self.kept = np.concatenate([self.kept, np.arange(old, new)])
        self._reprice()
        self.bring(range(self.seen, len(self.model.rows)))
        self.seen = len(self.model.rows)

    def _objective(self) -> Floats:
        """Return what each variable costs in the model."""
        costs = self.model.objective()[0]
        objective = np.zeros(len(self.model.bounds))
        objective[list(costs)] = list(costs.values())
        return objective

    def _reprice(self) -> None:
        """Take over what variables cost since the model was given more; also old ones may cost something else."""
        goal = self._objective()
        goal[: len(self.beside)] += self.beside
        changed = np.flatnonzero(goal != self.goal)
        columns = self.column[changed]
        assert (columns >= 0).all() or not self.lower[changed[columns < 0]].any(), "what is left out cannot be repriced"
        for variable, column in zip(changed.tolist(), columns.tolist(), strict=True):
            if column >= 0:
                self.solver.changeColCost(column, goal[variable])
        self.goal = goal

    def bring(self, numbers: Sequence[int]) -> None:
        """Add rows of the model; what is fixed counts by its value."""
        if not numbers:
            return
        rows = [self.model.rows[number] for number in numbers]
        self.numbers += numbers
        low, high, starts, variables, factors = as_arrays(rows)
        columns = self.column[variables]
        of = np.repeat(np.arange(len(rows)), np.diff([*starts, len(variables)]))
        out = columns < 0
        given = np.bincount(of[out], factors[out] * self.lower[variables[out]], len(rows))
        sizes = np.bincount(of[~out], minlength=len(rows))
        starts = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int32)
        by = np.ones(len(rows))
        np.maximum.at(by, of, np.abs(factors))
        by = np.exp2(np.floor(np.log2(by)) // SCALED * SCALED)
        self.scales += by.tolist()
        self.solver.addRows(
            len(rows), (low - given) / by, (high - given) / by, int((~out).sum()), starts,
            columns[~out].astype(np.int32), factors[~out] / by[of[~out]],
        )  # fmt: skip
        self.dual.add((low - given) / by, (high - given) / by, of[~out], columns[~out], factors[~out] / by[of[~out]])

    def set_aside(self) -> None:
        """Take out the inequalities that are slack at the solution found last."""
        status, basic = list(self.solver.getBasis().row_status), highspy.HighsBasisStatus.kBasic
        loose = [
            at
            for at, number in enumerate(self.numbers)
            if status[at] == basic and not _is_equality(self.model.rows[number])
        ]
        out = [*self.aside.numbers[self.aside.out].tolist(), *(self.numbers[at] for at in loose)]
        self.aside, gone = Aside(self.model.rows, out), set(loose)
        self.numbers = [number for at, number in enumerate(self.numbers) if at not in gone]
        self.scales = [scale for at, scale in enumerate(self.scales) if at not in gone]
        self.solver.deleteRows(len(loose), np.array(loose, dtype=np.int32))
        self.dual.keep(np.isin(np.arange(len(status)), loose, invert=True))

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
            self.bring(broken)

    def surely(self, cutoff: float) -> float:
        """Return the least cost as `solve` does, worked out from the rows as well."""
        value = self.solve(cutoff)
        if value < math.inf and self._weighed() < value - EXACT:
            self._doubt("HiGHS said that a choice of days costs more than it must")
            value = self.solve(cutoff)
            if value < math.inf and self._weighed() < value - EXACT:
                raise Faulty("HiGHS said so again")
        return value

    def glance(self, cutoff: float, steps: int | None) -> float:
        """Return the least cost over the rows that are in, or what it is known to be at least after some steps."""
        solver, states = self.solver, highspy.HighsModelStatus
        if self.nothing:
            return math.inf
        solver.setOptionValue("simplex_iteration_limit", 2**31 - 1 if steps is None else steps)
        solver.setOptionValue("objective_bound", cutoff)
        known = {states.kInfeasible, states.kObjectiveBound, states.kOptimal, states.kModelEmpty}
        known |= set() if steps is None else {states.kIterationLimit}
        for again in (True, False):
            try:
                with trusting("HiGHS"):
                    solver.run()
                state, info = solver.getModelStatus(), solver.getInfo()
                self.work += WORK_PER_SOLVE + WORK_PER_STEP * info.simplex_iteration_count * solver.getNumRow()
                if state in known and self._holds(state, cutoff, again=again):
                    break
                raise Faulty(f"HiGHS ended with {solver.modelStatusToString(state)}")
            except Faulty as fault:
                if not again:
                    raise
                self._doubt(str(fault))
        if state in (states.kInfeasible, states.kObjectiveBound):
            return math.inf
        if state == states.kModelEmpty:
            return float(self.goal @ self.lower)
        return float(info.objective_function_value)

    def _doubt(self, what: str) -> None:
        """Begin from nothing, which mends most: some bases it does not get on with."""
        tell(self.model.path, f"{what}, and was asked again")
        self.solver.clearSolver()

    def _holds(self, state: highspy.HighsModelStatus, cutoff: float, *, again: bool) -> bool:
        """Say whether the rows bear out that there is nothing, or nothing below a cutoff."""
        if state == highspy.HighsModelStatus.kObjectiveBound:
            return self._weighed() > cutoff - EXACT
        if state != highspy.HighsModelStatus.kInfeasible:
            return True
        _, known, ray = self.solver.getDualRay()  # type: ignore[attr-defined]  # its description lacks it
        box = self.lower[self.kept], self.upper[self.kept]
        if not known:  # said without a simplex, as of a box with nothing in it: believed if it is said twice
            return bool((box[0] > box[1]).any()) or not again
        return self.dual.excludes(np.array(ray), box)

    def _weighed(self) -> float:
        """Return what anything in the box costs at least, as the duals found last say; keep the reduced costs."""
        weights = np.array(self.solver.getSolution().row_dual)
        box = self.lower[self.kept], self.upper[self.kept]
        least, reduced = self.dual.bound(weights, self.goal[self.kept], box)
        self.weighed = reduced
        return least + self.offset

    def values(self) -> Floats:
        """Return the values found last."""
        values = self.lower.copy()
        values[self.kept] = self.solver.getSolution().col_value
        return values

    def reduced(self) -> Floats:
        """Return what one more of each variable would cost, after `surely`; nothing for what is left out."""
        reduced = np.zeros(len(self.lower))
        reduced[self.kept] = self.weighed
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


def _is_equality(row: Row) -> bool:
    return row.low is not None and row.low == row.high
