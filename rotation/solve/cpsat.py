"""CP-SAT as a solver of rows: always there, and the second opinion where HiGHS fails."""

from __future__ import annotations

import math

from rotation.model import Model, Term
from rotation.solve.answer import Answer, Faulty, holds
from rotation.solve.constraints import LEAST, MOST, Constraints


class CpSat:
    """Callable as `RowSolver`."""

    name = "CP-SAT"

    def __init__(self, *, presolve: bool = True) -> None:
        self.presolve = presolve

    def __call__(
        self, model: Model, goal: list[Term], *, work: float, gap: float, start: dict[int, int] | None = None
    ) -> Answer:
        """Solve with one worker and a deterministic limit."""
        made = Constraints()
        for low, high in model.bounds:
            made.variable(low, high)
        for row in model.rows:
            made.linear(row.terms, (LEAST if row.low is None else row.low, MOST if row.high is None else row.high))
        total: dict[int, int] = {}
        for coefficient, variable in goal:
            total[variable] = total.get(variable, 0) + coefficient
        found = made.solve(
            [(coefficient, variable) for variable, coefficient in total.items()], 0, work, start,
            linearization_level=2, relative_gap_limit=gap, cp_model_presolve=self.presolve,
        )  # fmt: skip
        if found.values is None and found.proven:
            return Answer(None, 0, True)
        bound = math.ceil(found.bound - 1e-6)
        if found.values is None:
            return Answer(None, bound, False)
        values = tuple(found.values)
        if not holds(model, values):
            raise Faulty("CP-SAT gave values that break a row")
        if bound > sum(coefficient * values[variable] for coefficient, variable in goal):
            raise Faulty("CP-SAT said that its own values cost too little")
        return Answer(values, bound, found.proven)
