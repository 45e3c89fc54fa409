"""Rows that follow from rounding: every variable is a whole number, so what lies between two of them is cut off.

A basic variable that is not whole gives a sum of rows which its basis makes tight; rounded, it is Gomory's cut for
whole numbers (R. E. Gomory, 1960; L. A. Wolsey, *Integer Programming*, 1998, chapter 8; from memory). The sums are
taken in whole numbers from the start: how much of each row there is, is rounded first, and any multiples will do. So a
cut holds exactly, whatever the library's tolerances, and it is a row like all others.

Flows count as whole too: the portions, units and charges that they stand for are.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from rotation.grid import Ints
from rotation.model import Model, Row, Term
from rotation.solve.relaxation import Relaxation
from rotation.solve.rows import SLACK, Floats, as_arrays
from rotation.solve.simplex import Warm

ONE = 2**34
"""What stands for 1 in the multiples of rows."""

LARGEST = 2**16
"""The largest coefficient of a cut."""

TOO_MUCH = 2.0**60
"""What a whole number of the library must not reach."""

DENSE, SHORT = 0.4, 100
"""The share of the variables that a cut may speak of, or so many: full rows make every step of the simplex slow."""

TRIED = 200
"""Variables that are not whole whose rows are rounded."""

TAKEN, ALIKE = 80, 0.98
"""Cuts taken at once, and how parallel two of them may be (1: the same)."""

ROUNDS, ENOUGH = 8, 3e-4
"""How often cuts are looked for, and what share the bound must rise by each time to go on."""

LEAST = 2e-3
"""How deep a cut must go, as a distance."""


@dataclass(frozen=True)
class Found:
    """A cut over columns: `factors @ x <= most`; depth: how far it is from the values it cuts off."""

    columns: Ints
    factors: NDArray[np.int64]
    most: int
    depth: float


@dataclass(frozen=True)
class Table:
    """The rows of a relaxation, in whole numbers. start: where each row's columns and factors begin."""

    low: Floats
    high: Floats
    start: Ints
    columns: Ints
    factors: NDArray[np.int64]

    @staticmethod
    def of(relaxation: Relaxation) -> Table:
        """Return the rows that are in; what is fixed counts by its value."""
        rows = [relaxation.model.rows[number] for number in relaxation.numbers]
        low, high, starts, variables, factors = as_arrays(rows)
        of, columns = np.repeat(np.arange(len(rows)), np.diff([*starts, len(variables)])), relaxation.column[variables]
        out = columns < 0
        given = np.bincount(of[out], factors[out] * relaxation.lower[variables[out]], len(rows))
        sizes = np.bincount(of[~out], minlength=len(rows))
        start = np.concatenate([[0], np.cumsum(sizes)])
        return Table(low - given, high - given, start, columns[~out], factors[~out].astype(np.int64))

    def entries(self, rows: Ints) -> tuple[Ints, Ints]:
        """Return where the entries of rows are, and which of the rows each is of."""
        sizes = self.start[rows + 1] - self.start[rows]
        of = np.repeat(np.arange(len(rows)), sizes)
        within = np.arange(len(of)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
        return self.start[rows][of] + within, of


def strengthen(model: Model, goal: list[Term], lots: Callable[[Floats], list[Row]] = lambda _: []) -> Warm | None:
    """Add to a model cuts of its relaxation; return where to begin with it, None if nothing holds.

    lots: gives more rows that hold for whole numbers and not for some values.

    Those that do not bind in the end are forgotten.
    """
    relaxation, own = Relaxation(model, goal), len(model.rows)
    value = relaxation.solve(math.inf)
    if value == math.inf:
        return None
    relaxation.set_aside()
    relaxation.solve(math.inf)
    for _ in range(ROUNDS):
        model.rows += cut_off(relaxation)
        before, value = value, _again(relaxation)
        if value - before < ENOUGH * abs(before):
            break
    for _ in range(ROUNDS):
        model.rows += lots(relaxation.values())
        before, value = value, _again(relaxation)
        if value - before < ENOUGH * abs(before):
            break
    warm, basic = relaxation.warm(), highspy.HighsBasisStatus.kBasic
    tight = [at < own or warm.rows[at] != basic for at in range(len(model.rows))]
    model.rows[:] = [row for row, is_ in zip(model.rows, tight, strict=True) if is_]
    rows = tuple(status for status, is_ in zip(warm.rows, tight, strict=True) if is_)
    return Warm(warm.columns, rows)


def _again(relaxation: Relaxation) -> float:
    """Return the least cost with the rows that have come."""
    relaxation.grow()
    return relaxation.solve(math.inf)


def cut_off(relaxation: Relaxation) -> list[Row]:
    """Return rows that hold for all whole numbers and not for the values found last."""
    solver, kept = relaxation.solver, relaxation.kept
    solution = solver.getSolution()
    values, scale = np.array(solution.col_value), np.array(relaxation.scales)
    activity = np.array(solution.row_value) * scale
    lower, upper = np.ceil(relaxation.lower[kept] - SLACK), np.floor(relaxation.upper[kept] + SLACK)
    if not solver.getNumNz() or (lower < 0).any():  # an empty matrix is never factored: asked for it, the library dies
        return []
    basic = np.array(solver.getBasicVariables()[1])  # type: ignore[attr-defined]  # its types lack it
    part = np.where(basic >= 0, np.abs(values - np.round(values))[np.maximum(basic, 0)], 0.0)
    tried = sorted(np.flatnonzero(part > 5e-3).tolist(), key=lambda at: (-round(float(part[at]), 6), int(basic[at])))
    table, found = Table.of(relaxation), list[Found]()
    for at in tried[:TRIED]:
        _, row, count, places = solver.getBasisInverseRowSparse(at)  # type: ignore[attr-defined]  # nor this
        rows = np.sort(places[:count])
        rows = rows[np.abs(row[rows]) > 1e-7 * scale[rows]]
        cut = _rounded(table, rows, row[rows] / scale[rows], int(basic[at]), values, activity, lower, upper)
        if cut is not None:
            found.append(cut)
    return [
        Row(None, tuple(zip(cut.factors.tolist(), kept[cut.columns].tolist(), strict=True)), cut.most)
        for cut in _best(found, len(values))
    ]


def _rounded(
    table: Table, rows: Ints, times: Floats, basic: int, values: Floats, activity: Floats, lower: Floats, upper: Floats
) -> Found | None:
    """Return a sum of rows, rounded, if it cuts off the values."""
    if not len(rows):
        return None
    where, of = table.entries(rows)
    columns, factors = table.columns[where], table.factors[where]
    low, high = table.low[rows], table.high[rows]
    at_high = high - activity[rows] <= activity[rows] - low
    side = np.where(at_high, high, low).astype(np.int64)
    multiples = np.round(times * ONE).astype(np.int64)
    total = _summed(columns, factors, multiples[of], len(values))
    if total is None or not total[basic]:
        return None
    if total[basic] < 0:
        multiples, total = -multiples, -total
    support = np.flatnonzero(total)
    low_of, high_of = lower[support], upper[support]
    turned = high_of - values[support] < values[support] - low_of
    ends, own = np.where(turned, high_of, low_of).astype(np.int64), total[support]
    if _too_much(multiples, side) or _too_much(own, ends):
        return None
    of_column, of_slack = np.where(turned, -own, own), np.where(at_high, multiples, -multiples)
    right = int((multiples * side).sum()) - int((own * ends).sum())
    part = right % ONE
    if not ONE / 100 < part < ONE * 99 / 100:
        return None
    column_factors, slack_factors = _rounding(of_column, part), _rounding(of_slack, part)
    # the slack of a row at its high side is that side less the row, at its low side the row less that side
    row_factors = np.where(at_high, -slack_factors, slack_factors)
    result, own = (
        _summed(columns, factors, row_factors[of], len(values)),
        np.where(turned, -column_factors, column_factors),
    )
    if result is None or _too_much(row_factors, side) or _too_much(own, ends):
        return None
    result[support] += own
    most = (right // ONE) * (ONE - part) + int((own * ends).sum()) + int((row_factors * side).sum())
    return _scaled(result, most, values)


def _too_much(factors: NDArray[np.int64], times: NDArray[np.int64]) -> bool:
    """Say whether a sum of products may be too large."""
    return float(np.abs(factors.astype(float) * times).sum()) > TOO_MUCH


def _rounding(factors: NDArray[np.int64], part: int) -> NDArray[np.int64]:
    """Return Gomory's function of factors, in ONEths of ONE less the part of the right side."""
    return (factors // ONE) * (ONE - part) + np.maximum(factors % ONE - part, 0)


def _summed(columns: Ints, factors: NDArray[np.int64], times: NDArray[np.int64], size: int) -> NDArray[np.int64] | None:
    """Return a sum of rows by column, None where its numbers are too large."""
    if np.bincount(columns, np.abs(factors.astype(float) * times), size).max() > TOO_MUCH:
        return None
    total = np.zeros(size, dtype=np.int64)
    np.add.at(total, columns, factors * times)
    return total


def _scaled(factors: NDArray[np.int64], most: int, values: Floats) -> Found | None:
    """Return a cut in small whole numbers: rounded down, it holds for all that is not below zero."""
    by = max(1, int(np.abs(factors).max()) // LARGEST)
    small = factors // by
    columns = np.flatnonzero(small)
    if not 0 < len(columns) <= max(SHORT, DENSE * len(small)):
        return None
    right = most // by
    over = float(small[columns] @ values[columns]) - right
    depth = over / math.sqrt(float(small[columns].astype(float) @ small[columns]))
    return Found(columns, small[columns], right, depth) if depth > LEAST else None


def _best(found: Sequence[Found], size: int) -> list[Found]:
    """Return the deepest cuts that are not too much alike."""
    taken, lines = list[Found](), np.zeros((0, size))
    for cut in sorted(found, key=lambda cut: -round(cut.depth, 9)):
        line = np.zeros(size)
        line[cut.columns] = cut.factors / np.sqrt(float(cut.factors.astype(float) @ cut.factors))
        if len(taken) < TAKEN and (lines @ line < ALIKE).all():
            taken.append(cut)
            lines = np.vstack([lines, line])
    return taken
