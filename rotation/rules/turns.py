"""Loads of a bake go through the oven in the turns its vessels and places allow, with hands at every event."""

from __future__ import annotations

from collections.abc import Iterator

from rotation.oven_turns import bake_turns, events, temperatures
from rotation.plan import Bake, Plan
from rotation.problem import Oven, Problem, Programme
from rotation.rules.broken import Broken

NAME = "turns"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the bakes whose stay is not what their programme makes of their pieces."""
    for bake in plan.bakes:
        programme = problem.bread(bake.bread).process(bake.process).programme
        if bake.stay.degc != programme.degc or bake.stay.vessel != (programme.covered > 0):
            yield Broken(NAME, bake.id, f"{bake.stay.degc} degC, vessel {bake.stay.vessel}: not its programme")
        yield from _turns(problem, bake, programme, problem.oven(bake.stay.oven))


def _turns(problem: Problem, bake: Bake, programme: Programme, oven: Oven) -> Iterator[Broken]:
    process, start = problem.bread(bake.bread).process(bake.process), bake.stay.start
    try:
        right = bake_turns(process, bake.pieces, oven)
    except ValueError as error:
        yield Broken(NAME, bake.id, str(error))
        return
    loads = [(turn.pieces, start + turn.start, start + turn.uncover, start + turn.out) for turn in right]
    if [(load.pieces, load.start, load.uncover, load.out) for load in bake.stay.loads] != loads:
        yield Broken(NAME, bake.id, f"loads are not (pieces, in, lid off, out) {loads}")
    last = max((out for _, _, _, out in loads), default=start)
    if bake.stay.end != last:
        yield Broken(NAME, bake.id, f"the stay ends at {bake.stay.end}, the last load is out at {last}")
    if bake.stay.turns != (heats := temperatures(right, programme)):
        yield Broken(NAME, bake.id, f"the oven is set to {bake.stay.turns} on the way, not (minutes, degC) {heats}")
    hands = events(right, programme)
    at = [(event.name, start + event.offset, start + event.offset + programme.handling) for event in hands]
    if [(event.name, event.start, event.end) for event in bake.stay.events] != at:
        yield Broken(NAME, bake.id, f"hands at the oven are not {at}")
