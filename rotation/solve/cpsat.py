"""CP-SAT as a solver of rows: always there, and the second opinion where HiGHS fails."""

from __future__ import annotations

import math

from ortools.sat.python import cp_model

from rotation.model import Model, Term
from rotation.solve.answer import Answer, Faulty, holds


class CpSat:
    """Callable as `RowSolver`."""

    name = "CP-SAT"

    def __init__(self, *, presolve: bool = True) -> None:
        self.presolve = presolve

    def __call__(
        self, model: Model, goal: list[Term], *, work: float, gap: float, start: dict[int, int] | None = None
    ) -> Answer:
        """Solve with one worker and a deterministic limit."""
        made = cp_model.CpModel()
        variables = [made.new_int_var(low, high, "") for low, high in model.bounds]
        for row in model.rows:
            total = cp_model.LinearExpr.weighted_sum([variables[v] for _, v in row.terms], [c for c, _ in row.terms])
            low = cp_model.INT32_MIN * 2**20 if row.low is None else row.low
            high = cp_model.INT32_MAX * 2**20 if row.high is None else row.high
            made.add_linear_constraint(total, low, high)
        made.minimize(cp_model.LinearExpr.weighted_sum([variables[v] for _, v in goal], [c for c, _ in goal]))
        if start is not None:
            for variable, value in start.items():
                made.add_hint(variables[variable], value)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.catch_sigint_signal = False
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = work
        solver.parameters.relative_gap_limit = gap
        solver.parameters.cp_model_presolve = self.presolve
        status = solver.solve(made)
        if status == cp_model.MODEL_INVALID:
            raise Faulty("CP-SAT called the model invalid")
        if status == cp_model.INFEASIBLE:
            return Answer(None, 0, True)
        bound = math.ceil(solver.best_objective_bound - 1e-6)
        if status == cp_model.UNKNOWN:
            return Answer(None, bound, False)
        values = tuple(solver.value(variable) for variable in variables)
        if not holds(model, values):
            raise Faulty("CP-SAT gave values that break a row")
        return Answer(values, bound, status == cp_model.OPTIMAL)
