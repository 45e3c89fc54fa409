"""Of equally cheap minutes those that come first: earliest starts, then hands in the household's order, then heat.

CP-SAT tries the values of all that is shown in that order, the least first, so that what it finds first is the least,
or nearly: it rewrites a model before it searches. A second question proves it: whether anything as cheap comes before.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from rotation.solve.timing import Timed, Timing, summed


def earliest(timing: Timing, work: float) -> Timed | None:
    """Return the least of the cheapest minutes, None where that is not proven within deterministic `work`.

    The order: each step's start, in the order of the tasks and their steps; each job's person, in the order of the
    household; how each stay gets hot; whose trip is shared. The timing is used up.
    """
    clock, left = timing.clock, work
    try:
        found = clock.solve(work)
    except TimeoutError:
        return None
    if found is None or found[1] > found[2]:
        return None
    clock.between(None, summed(clock.costs), found[1])
    clock.model.clear_objective()  # type: ignore[no-untyped-call]  # the library has no type here
    starts, literals = _shown(timing)
    clock.model.add_decision_strategy(starts, cp_model.CHOOSE_FIRST, cp_model.SELECT_MIN_VALUE)
    clock.model.add_decision_strategy(literals, cp_model.CHOOSE_FIRST, cp_model.SELECT_MAX_VALUE)
    while left > 0:
        solver, status = _solved(clock.model, left, in_order=True)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        least = timing.read(solver, found[1], found[2])
        _before(clock.model, starts, [solver.value(start) for start in starts], literals, solver)
        other, status = _solved(clock.model, left, in_order=False)
        if status == cp_model.INFEASIBLE:
            return least
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        left -= sum(one.response_proto.deterministic_time for one in (solver, other))
    return None


def _solved(
    model: cp_model.CpModel, work: float, *, in_order: bool
) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
    """Return a solver that was asked for any values, and what it says. in_order: whether to try them as they come."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.catch_sigint_signal = False
    solver.parameters.symmetry_level = 0
    solver.parameters.search_branching = cp_model.FIXED_SEARCH if in_order else cp_model.AUTOMATIC_SEARCH
    solver.parameters.keep_all_feasible_solutions_in_presolve = True
    solver.parameters.max_deterministic_time = work
    return solver, solver.solve(model)


def _shown(timing: Timing) -> tuple[list[cp_model.IntVar], list[cp_model.IntVar]]:
    """Return the variables that a plan shows: those of which less comes first, and literals, the true ones first."""
    made, variables = timing.minutes, timing.clock.variables
    starts = [variables[variable] for start in made.starts.values() for _, variable in start.terms]
    literals = [literal for job in made.jobs for literal in job.who.values()]
    literals += [heating.literal for stay in made.stays for heating in stay.heatings]
    literals += [literal for shared in made.trips.values() for literal in shared.values()]
    return starts, [variables[literal] for literal in literals]


def _before(
    model: cp_model.CpModel,
    starts: list[cp_model.IntVar],
    values: list[int],
    literals: list[cp_model.IntVar],
    solver: cp_model.CpSolver,
) -> None:
    """Ask for values that come before those found: the same up to some place, and less there."""
    true = [solver.boolean_value(literal) for literal in literals]
    same = model.new_constant(1)
    first: list[cp_model.IntVar] = []
    for variable, value in zip(starts, values, strict=True):
        here, after = model.new_bool_var(""), model.new_bool_var("")
        model.add(variable <= value - 1).only_enforce_if(here)
        model.add(variable == value).only_enforce_if(after)
        for literal in (here, after):
            model.add_implication(literal, same)
        first.append(here)
        same = after
    for variable, is_ in zip(literals, true, strict=True):
        after = model.new_bool_var("")
        model.add_implication(after, variable if is_ else ~variable)
        model.add_implication(after, same)
        if not is_:
            here = model.new_bool_var("")
            model.add_implication(here, variable)
            model.add_implication(here, same)
            first.append(here)
        same = after
    model.add_bool_or(first)
