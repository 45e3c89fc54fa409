"""Of equally cheap minutes those that come first: earliest starts, then hands in the household's order, then heat.

CP-SAT tries the values of all that is shown in that order, the least first, so that what it finds first is the least,
or nearly: it rewrites a model before it searches. A second question proves it: whether anything as cheap comes before.
"""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model_helper as library

from rotation.clockwork import Literal
from rotation.solve.constraints import LEAST, Constraints, Found
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
    starts, literals = _shown(timing)
    clock.model.try_in_order(starts, least=True)
    clock.model.try_in_order(literals, least=False)
    while left > 0:
        first = _any(clock.model, left, in_order=True)
        if first.values is None:
            return None
        _before(clock.model, starts, literals, first.values)
        other = _any(clock.model, left, in_order=False)
        if other.values is None:
            return timing.read(first.values, found[1], found[2]) if other.proven else None
        left -= first.work + other.work
    return None


def _any(model: Constraints, work: float, *, in_order: bool) -> Found:
    """Return any values there are. in_order: whether to try them as they come."""
    return model.solve(
        None, 0, work, symmetry_level=0, keep_all_feasible_solutions_in_presolve=True,
        search_branching=library.SatParameters.FIXED_SEARCH if in_order else library.SatParameters.AUTOMATIC_SEARCH,
    )  # fmt: skip


def _shown(timing: Timing) -> tuple[list[int], list[Literal]]:
    """Return the variables that a plan shows: those of which less comes first, and literals, the true ones first."""
    made = timing.minutes
    starts = [variable for start in made.starts.values() for _, variable in start.terms]
    literals = [literal for job in made.jobs for literal in job.who.values()]
    literals += [heating.literal for stay in made.stays for heating in stay.heatings]
    literals += [literal for shared in made.trips.values() for literal in shared.values()]
    return starts, literals


def _before(model: Constraints, starts: Sequence[int], literals: Sequence[Literal], values: Sequence[int]) -> None:
    """Ask for values that come before some: the same up to some place, and less there."""
    same: list[Literal] = []
    first: list[Literal] = []
    for variable in starts:
        here, after = model.variable(0, 1), model.variable(0, 1)
        model.linear([(1, variable)], (LEAST, values[variable] - 1), [here])
        model.linear([(1, variable)], (values[variable], values[variable]), [after])
        for literal in (here, after):
            _if(model, literal, same)
        first.append(here)
        same = [after]
    for variable in literals:
        after = model.variable(0, 1)
        _if(model, after, [variable if values[variable] else ~variable, *same])
        if not values[variable]:
            here = model.variable(0, 1)
            _if(model, here, [variable, *same])
            first.append(here)
        same = [after]
    model.literals("bool_or", first)


def _if(model: Constraints, literal: Literal, others: Sequence[Literal]) -> None:
    """Let others be true where one is."""
    for other in others:
        model.literals("bool_or", [~literal, other])
