"""Until when a meal can still be decided on: all goes on as planned until then, and only after it is anything new done.

A moment is probed by a plan in which nobody has hands before it but for what was planned anyway, as planned; the last
one from which the meal is still fed is searched by halving.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rotation import facts
from rotation.choices import Choices
from rotation.plan import Bake, Plan, TakeOut
from rotation.problem import GRID, Person, Problem, Spans, union
from rotation.reasons.again import best
from rotation.reasons.held import is_of, is_out
from rotation.solve import Shape

STEP = 15
"""Minutes between the moments that are probed."""


@dataclass(frozen=True)
class Last:
    """The last moment to decide, and a plan that begins with it. at None: nothing new has to be done at all."""

    at: int | None
    plan: Plan


def last(problem: Problem, before: Plan, meal: str, found: Plan) -> Last:
    """Return the last moment from which a meal can still be fed.

    before: the plan of the same minutes without it; found: a plan that feeds it, with all decided at once.
    """
    moments = [0, *_moments(problem, meal)]
    plan = _fed_from(problem, before, meal, moments[-1])
    if plan is not None:
        return Last(None, plan)
    plan, at, after = _halved(problem, before, meal, moments, found)
    plan, at, after = _halved(problem, before, meal, [*range(at, after, GRID), after], plan)
    known = set(_begun(before))  # what begins anew after that is for other meals
    return Last(min((one for one in _begun(plan) if at <= one < after and one not in known), default=at), plan)


def _halved(problem: Problem, before: Plan, meal: str, moments: Sequence[int], plan: Plan) -> tuple[Plan, int, int]:
    """Return the plan of the last of some moments from which a meal can be fed, that moment, and the one after it.

    plan: that of the first moment; from the last it cannot be fed.
    """
    low, high = 0, len(moments) - 1
    while high - low > 1:
        middle = (low + high) // 2
        later = _fed_from(problem, before, meal, moments[middle])
        low, high, plan = (low, middle, plan) if later is None else (middle, high, later)
    return plan, moments[low], moments[high]


def _moments(problem: Problem, meal: str) -> list[int]:
    """Return the moments worth a probe: somebody who bakes or finishes has hands; the last is that of the meal."""
    at = next(one.at for one in problem.meals if one.id == meal)
    spans = union(span for person in problem.people if facts.allowed(person, bakes=False) for span in person.free)
    inside = {m for start, end in spans for m in range(-(-max(start, 1) // STEP) * STEP, min(end, at), STEP)}
    return [*sorted(inside), at]


def _begun(plan: Plan) -> list[int]:
    """Return when each bake and each take-out of a plan begins, in time order; what began before it is left out."""
    bakes = [_first(bake) for bake in plan.bakes if bake.under_way is None]
    return sorted([*bakes, *(out.at for out in plan.take_outs if out.who is not None)])


def _first(bake: Bake) -> int:
    return min(step.start for step in bake.steps)


def _fed_from(problem: Problem, before: Plan, meal: str, moment: int) -> Plan | None:
    """Return a plan that feeds a meal and does nothing new before a moment; None if none was found."""
    plan = best(_held(problem, before, moment), _as_before(before, moment))
    if plan is None:
        return None
    served = sum(serving.portions for serving in plan.servings if serving.meal == meal)
    wanted = next(one.portions for one in problem.meals if one.id == meal)
    return plan if served == wanted and _acts(plan, moment) <= _acts(before, moment) else None


def _acts(plan: Plan, moment: int) -> set[tuple[object, ...]]:
    """Return what a plan begins before a moment."""
    bakes = (bake for bake in plan.bakes if bake.under_way is None and _first(bake) < moment)
    outs = (out for out in plan.take_outs if out.who is not None and out.at < moment)
    return {
        *((bake.bread, bake.process, _first(bake), bake.total) for bake in bakes),
        *((out.bread, out.route, out.at, out.units) for out in outs),
    }


def _held(problem: Problem, before: Plan, moment: int) -> Problem:
    """Return the problem in which hands before a moment are free for what a plan does then, and for nothing else."""

    def free(person: Person) -> Spans:
        jobs = [job for job in facts.jobs(problem, before) if job.person == person.id and job.start < moment]
        later = [(max(start, moment), end) for start, end in person.free if end > moment]
        return union((*later, *((job.start, job.end) for job in jobs)))

    def quick(person: Person) -> Spans:
        return tuple((max(start, moment), end) for start, end in person.quick if end > moment)

    people = tuple(replace(person, free=free(person), quick=quick(person)) for person in problem.people)
    return replace(problem, people=people, starter=None)


def _as_before(before: Plan, moment: int) -> Shape:
    """Return the shape of plans that begin before a moment what another does, in the same pieces, and nothing else."""
    bakes = [bake for bake in before.bakes if bake.under_way is None and _first(bake) < moment]
    outs = [out for out in before.take_outs if out.who is not None and out.at < moment]

    def rows(choices: Choices) -> None:
        problem = choices.problem
        over = [day for day in range(problem.days) if problem.midnights[day + 1] <= moment]
        ran = {index for bake in bakes for index in _runs(choices, bake)}
        for index, run in enumerate(choices.runs):
            if run.under_way is None and run.day in over and index not in ran:
                choices.model.bounds[choices.run[index]] = (0, 0)
        for bake in bakes:
            choices.model.row(1, [(1, choices.run[index]) for index in _runs(choices, bake)], 1)
            for index in _runs(choices, bake):
                counts = [(1, variable) for (of, _), variable in choices.pieces.items() if of == index]
                choices.model.row(0, [*counts, (-bake.total, choices.run[index])], 0)
        taken = {index for out in outs for index in _ways(choices, before, out)}
        for index, way in enumerate(choices.ways):
            if way.take_day in over and index not in taken:
                choices.model.bounds[choices.way[index]] = (0, 0)

    return Shape(rows)


def _runs(choices: Choices, bake: Bake) -> list[int]:
    return [index for index, run in enumerate(choices.runs) if is_of(choices.moments, run, bake)]


def _ways(choices: Choices, plan: Plan, out: TakeOut) -> list[int]:
    return [index for index, way in enumerate(choices.ways) if is_out(choices.moments, way, plan, out)]
