"""HiGHS as a solver of rows: the default, for its bounds. Its work is limited by nodes, never by the clock."""

from __future__ import annotations

import math

import highspy
import numpy as np

from rotation.model import Model, Term
from rotation.solve.answer import Answer, Faulty, holds, trusting
from rotation.solve.rows import Floats
from rotation.solve.simplex import Quiet

SMALL = 2400
"""Variables up to which a model is searched thoroughly."""

NODES_PER_WORK = 20
"""Nodes that stand for one unit of deterministic work, about a second of it on a model of two weeks."""


class Highs:
    """Callable as `RowSolver`."""

    name = "HiGHS"

    def __call__(
        self, model: Model, goal: list[Term], *, work: float, gap: float, start: dict[int, int] | None = None
    ) -> Answer:
        """Solve by branch and cut, one thread, fixed seed."""
        solver = _made(work, gap, thorough=work >= 1 and len(model.bounds) <= SMALL)
        solver.passModel(_linear(model, goal, frozenset(range(len(model.bounds))) - model.flows))
        if start is not None:
            values = np.array(list(start.values()), dtype=np.float64)
            solver.setSolution(len(start), np.array(list(start), dtype=np.int32), values)
        with trusting(self.name):
            solver.solve()
        answer = _answer(solver, model)
        if answer.values is not None and not holds(model, answer.values):
            made = whole(model, goal, np.array(answer.values, dtype=float))
            same = sum(c * made[v] for c, v in goal) <= answer.bound
            return Answer(made, answer.bound, answer.proven and same)
        return answer


def whole(model: Model, goal: list[Term], values: Floats) -> tuple[int, ...]:
    """Return values with flows made whole at the least cost, all else as given.

    Raises Faulty if there are none, or what else is given is not whole or breaks a row.
    """
    near = tuple(round(value) for value in values)
    if holds(model, near) and not any(abs(values[flow] - near[flow]) > 1e-6 for flow in model.flows):
        return near
    lp = _linear(model, goal, frozenset(range(len(model.bounds))))
    lower, upper = np.array(lp.col_lower_), np.array(lp.col_upper_)
    for variable, value in enumerate(near):
        if variable not in model.flows:
            lower[variable] = upper[variable] = value
    lp.col_lower_, lp.col_upper_ = lower, upper
    solver = _made(1.0, 0.0, thorough=False)
    solver.passModel(lp)
    with trusting("HiGHS"):
        solver.solve()
    answer = _answer(solver, model)
    if answer.values is None or not holds(model, answer.values):
        raise Faulty("HiGHS gave values that break a row")
    return answer.values


def _made(work: float, gap: float, *, thorough: bool) -> highspy.Highs:
    """Return a solver with its options: what pays on these models, found by trying.

    thorough: with the searches that look for good solutions at length; on models of two weeks they cost more than they
    find.
    """
    solver = Quiet()  # type: ignore[no-untyped-call]  # nor here
    for option, value in (
        ("threads", 1), ("random_seed", 1), ("mip_rel_gap", gap), ("mip_abs_gap", 0.999),
        ("mip_max_nodes", max(1, int(work * NODES_PER_WORK))), ("mip_feasibility_tolerance", 1e-6),
    ):  # fmt: skip
        solver.setOptionValue(option, value)
    for option in ("mip_allow_restart", "mip_heuristic_run_root_reduced_cost", "mip_heuristic_run_rens"):
        solver.setOptionValue(option, thorough)
    solver.HandleKeyboardInterrupt = True
    return solver


def _linear(model: Model, goal: list[Term], whole: frozenset[int]) -> highspy.HighsLp:
    """Return the model as HiGHS wants it."""
    lp, infinity = highspy.HighsLp(), highspy.kHighsInf
    lp.num_col_, lp.num_row_ = len(model.bounds), len(model.rows)
    cost = np.zeros(len(model.bounds))
    for coefficient, variable in goal:
        cost[variable] += coefficient
    lp.col_cost_ = cost
    lp.col_lower_ = np.array([low for low, _ in model.bounds], dtype=float)
    lp.col_upper_ = np.array([high for _, high in model.bounds], dtype=float)
    lp.row_lower_ = np.array([-infinity if row.low is None else row.low for row in model.rows], dtype=float)
    lp.row_upper_ = np.array([infinity if row.high is None else row.high for row in model.rows], dtype=float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0] + [len(row.terms) for row in model.rows])
    lp.a_matrix_.index_ = np.array([variable for row in model.rows for _, variable in row.terms])
    lp.a_matrix_.value_ = np.array([coefficient for row in model.rows for coefficient, _ in row.terms], dtype=float)
    kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
    lp.integrality_ = [kinds[variable in whole] for variable in range(len(model.bounds))]
    return lp


def _answer(solver: highspy.Highs, model: Model) -> Answer:
    """Return what HiGHS found, rounded to whole numbers: the caller holds it against the rows."""
    status = solver.getModelStatus()
    if status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible):
        return Answer(None, 0, True)
    if status in (highspy.HighsModelStatus.kModelError, highspy.HighsModelStatus.kSolveError):
        raise Faulty(f"HiGHS ended with {solver.modelStatusToString(status)}")
    info = solver.getInfo()
    bound = math.ceil(info.mip_dual_bound - 1e-4) if math.isfinite(info.mip_dual_bound) else -(10**12)
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    if not found:
        if status == highspy.HighsModelStatus.kOptimal:
            raise Faulty("HiGHS called it solved and gave no values")
        return Answer(None, bound, False)
    if status == highspy.HighsModelStatus.kOptimal and info.mip_node_count <= 0:
        bound = math.ceil(
            info.objective_function_value - 1e-4
        )  # solved without a tree: there is no bound but the value
    if bound > info.objective_function_value + 1:
        raise Faulty("HiGHS said that its own values cost too little")
    values = tuple(round(value) for value in solver.getSolution().col_value)
    return Answer(values, bound, status == highspy.HighsModelStatus.kOptimal)
