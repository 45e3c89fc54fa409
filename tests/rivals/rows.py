"""A mixed-integer programme under construction, and HiGHS on it: better plans as they come, the bound, seconds."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

import highspy
import numpy as np

from tests.rivals.by_cpsat import Trial, stopped_after

Terms = dict[int, float]
INF = highspy.kHighsInf


@dataclass
class Rows:
    """Columns by index, prices in milli; rows `low <= sum <= high`."""

    high: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    price: list[float] = field(default_factory=list)
    rows: list[tuple[float, Terms, float]] = field(default_factory=list)

    def binary(self, price: float = 0) -> int:
        """Add a variable of 0 or 1."""
        return self.amount(1, price)

    def amount(self, most: float, price: float = 0, *, whole: bool = True) -> int:
        """Add a variable of 0 up to `most`."""
        self.high.append(most)
        self.whole.append(whole)
        self.price.append(price)
        return len(self.high) - 1

    def row(self, low: float, terms: Terms, high: float) -> None:
        """Add a row; one that cannot be broken is left out."""
        if terms or low > 0 or high < 0:
            self.rows.append((low, terms, high))

    def model(self) -> highspy.HighsLp:
        """Return all of it, prices in effort minutes."""
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.high), len(self.rows)
        lp.col_cost_, lp.col_lower_ = np.array(self.price) / 1000, np.zeros(len(self.high))
        lp.col_upper_ = np.array(self.high, dtype=float)
        lp.row_lower_ = np.array([low for low, _, _ in self.rows])
        lp.row_upper_ = np.array([high for _, _, high in self.rows])
        sizes = [len(terms) for _, terms, _ in self.rows]
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int32)
        lp.a_matrix_.index_ = np.array([v for _, terms, _ in self.rows for v in terms], dtype=np.int32)
        lp.a_matrix_.value_ = np.array([k for _, terms, _ in self.rows for k in terms.values()], dtype=float)
        kinds = highspy.HighsVarType
        lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in self.whole]
        return lp


def plus(*parts: Terms | Iterable[int], by: float = 1) -> Terms:
    """Return the sum of sums and of variables."""
    total: Terms = defaultdict(float)
    for part in parts:
        for variable, k in part.items() if isinstance(part, dict) else ((v, 1.0) for v in part):
            total[variable] += by * k
    return dict(total)


def search(rows: Rows, begin: float, seconds: float, cost: Callable[[Any], int | None]) -> tuple[Trial, Any]:
    """Return what HiGHS finds, and its last values. cost: what values come to as a plan, None if it breaks a rule."""
    trial, best, solver = Trial(), list[Any](), highspy.Highs()
    solver.setOptionValue("output_flag", False)
    for option, value in (("threads", 1), ("mip_rel_gap", 0.0), ("random_seed", 1)):
        solver.setOptionValue(option, value)
    solver.passModel(rows.model())
    off = np.array([v for v, most in enumerate(rows.high) if most == 1], dtype=np.int32)
    solver.setSolution(len(off), off, np.zeros(len(off)))  # to begin with: nothing is baked, nothing taken out
    stop = [False]

    def better(event: Any) -> None:
        values = np.array(event.data_out.mip_solution)
        found = cost(values)
        if found is not None:
            trial.steps.append((time.process_time() - begin, found))
            best.append(values)

    def interrupted(event: Any) -> None:
        if stop[0]:
            event.interrupt()

    solver.cbMipImprovingSolution.subscribe(better)
    solver.cbMipInterrupt.subscribe(interrupted)
    solver.cbSimplexInterrupt.subscribe(interrupted)
    done = stopped_after(seconds - (time.process_time() - begin), lambda: stop.__setitem__(0, True))
    solver.run()
    done.set()
    trial.seconds = time.process_time() - begin
    trial.proven = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return trial, best[-1] if best else None
