"""A finish is one stay of all its units at once, for the minutes and at the heats of its route; somebody sets each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices
from rotation.plan import Finish, Load, Plan, TakeOut
from rotation.problem import DIAL, Problem
from rotation.rules.broken import Broken

NAME = "finishes"


def days(c: Choices) -> None:
    """A way takes out some units if it is chosen, else none."""
    for way, units in zip(c.way, c.units, strict=True):
        most = c.model.bounds[units][1]
        c.model.row(None, [(1, units), (-most, way)], 0)
        c.model.row(0, [(1, units), (-1, way)], None)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the take-outs finished too often or not at all, and the stays that are not the route's."""
    number = Counter(finish.take_out for finish in plan.finishes)
    for out in plan.take_outs:
        wanted = 0 if facts.route_of(problem, out).oven is None else 1
        if number[out.id] != wanted:
            yield Broken(NAME, out.id, f"is finished {number[out.id]} times, its route wants {wanted}")
    for finish in plan.finishes:
        yield from _stay(problem, finish, facts.taken_for(plan, finish))


def _stay(problem: Problem, finish: Finish, out: TakeOut) -> Iterator[Broken]:
    route, stay = facts.route_of(problem, out), finish.stay
    if route.oven is None:
        return
    degc, minutes = route.oven
    if stay.turns != route.turns:
        yield Broken(NAME, finish.id, f"the oven is set to {stay.turns} on the way, not (minutes, degC) {route.turns}")
    settings = tuple((f"set {to}", stay.start + after, stay.start + after + DIAL) for after, to in route.turns)
    if tuple((event.name, event.start, event.end) for event in stay.events) != settings:
        yield Broken(NAME, finish.id, f"hands at the oven are not at each change of its heat: {settings}")
    if (stay.degc, stay.end - stay.start, stay.vessel) != (degc, minutes, False):
        yield Broken(NAME, finish.id, f"{stay.degc} degC for {stay.end - stay.start} min, not {degc} for {minutes}")
    if len(stay.loads) != -(-out.units // route.load_units) or sum(load.pieces for load in stay.loads) != out.units:
        yield Broken(NAME, finish.id, f"{len(stay.loads)} loads for {out.units} units, {route.load_units} on a place")
    for load in stay.loads:
        if load != Load(load.pieces, stay.start, stay.start, stay.end) or not 1 <= load.pieces <= route.load_units:
            yield Broken(NAME, finish.id, f"a load of {load.pieces} from {load.start} to {load.out}")
