"""How far one step alone could move, and what keeps it there: the plan moved step by step and judged by the rules."""

from __future__ import annotations

from dataclasses import replace

from rotation.naming import OUT
from rotation.plan import Bake, Load, Plan, Stay, Step
from rotation.problem import GRID, TABLE, Problem
from rotation.reasons.answers import Slack
from rotation.rules.checked import broken

FURTHEST = 240
"""Minutes a step is moved at most, each way."""


def slack(problem: Problem, plan: Plan, bake: Bake, step: str) -> Slack | None:
    """Return how far one step of a bake could move alone; None for a step that is done, or is no moment of hands."""
    name = "oven" if step == OUT else step
    found = bake.step(name)
    if found is None or found.who is None:
        return None
    ends, why = [], []
    for way in (-GRID, GRID):
        moved, reasons = 0, tuple[str, ...]()
        while abs(moved) < FURTHEST and not reasons:
            trial = _moved(problem, plan, bake, name, moved + way)
            reasons = tuple(dict.fromkeys(one.rule for one in broken(problem, trial)))
            moved += 0 if reasons else way
        ends.append(found.start + moved)
        why.append(reasons)
    return Slack(name, found.start, ends[0], ends[1], why[0], why[1])


def _moved(problem: Problem, plan: Plan, bake: Bake, name: str, by: int) -> Plan:
    """Return a plan in which one step of a bake begins so much later; loaves are ready, or in the freezer, with it."""
    steps = tuple(_later(step, by) if step.name == name else step for step in bake.steps)
    stay = _stay(bake.stay, by) if name == "oven" else bake.stay
    rest = problem.bread(bake.bread).process(bake.process).treatment(TABLE).cool if bake.count(TABLE) else 0
    put_in = bake.put_in + by if bake.put_in is not None and name == "bag" else bake.put_in
    other = replace(bake, steps=steps, stay=stay, ready=stay.end + rest, put_in=put_in)
    return replace(plan, bakes=tuple(other if one.id == bake.id else one for one in plan.bakes))


def _later(step: Step, by: int) -> Step:
    return replace(step, start=step.start + by, end=step.end + by)


def _stay(stay: Stay, by: int) -> Stay:
    loads = tuple(Load(load.pieces, load.start + by, load.uncover + by, load.out + by) for load in stay.loads)
    return replace(
        stay, heat_from=stay.heat_from + by, start=stay.start + by, end=stay.end + by, loads=loads,
        events=tuple(_later(event, by) for event in stay.events),
    )  # fmt: skip
