"""At every instant bowls, the dough in them, bannetons and fridge spots suffice."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import clockwork, facts
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Problem, value_at
from rotation.rules.broken import Broken

NAME = "kitchen"


def minutes(m: Minutes) -> None:
    """Bowls, dough, bannetons and fridge spots keep within what the house holds; what it lacks at times is held too."""
    kitchen = m.problem.kitchen
    has = {"bowl": kitchen.bowls, "dough": kitchen.dough_grams, "banneton": kitchen.bannetons}
    has["fridge"] = kitchen.fridge_spots
    held: dict[str, list[clockwork.Hold]] = {what: [] for what in has}
    for task in m.bakes:
        for use in task.process.uses:
            if use.until not in m.done(task):
                since, until = m.starts[task.id, use.since], m.starts[task.id, use.until]
                until += task.turns[-1].start if use.until == "oven" else 0
                held[use.what].append(clockwork.Hold(since, until, 1 if use.what == "bowl" else task.total))
                if use.what == "bowl":
                    held["dough"].append(clockwork.Hold(since, until, task.total * task.bread.dough_grams))
    for way in m.ways:
        if way.route.place == "fridge" and way.route.fridge_units:
            out = m.starts[way.id, "out"]
            until = m.starts.get((way.id, "in"), out + way.route.thaw[0])
            held["fridge"].append(clockwork.Hold(out, until, -(-way.units // way.route.fridge_units)))
    for what, holds in held.items():
        if sum(hold.amount for hold in holds) > min(value for _, value in has[what]):
            most, missing = clockwork.lacking(has[what], m.never)
            m.clock.room([*holds, *missing], most)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the minutes at which more is held than there is."""
    has = {
        "bowl": problem.kitchen.bowls,
        "dough": problem.kitchen.dough_grams,
        "banneton": problem.kitchen.bannetons,
        "fridge": problem.kitchen.fridge_spots,
    }
    holds: dict[str, list[facts.Hold]] = {what: [] for what in has}
    for what, hold in facts.holds(problem, plan):
        holds[what].append(hold)
    for what, steps in has.items():
        moments = {start for start, _, _ in holds[what]} | {minute for minute, _ in steps} | {0}
        for minute in sorted(moment for moment in moments if moment >= 0):
            amount, most = facts.fullest(holds[what], minute), value_at(steps, minute)
            if amount > most:
                yield Broken(NAME, what, f"{amount} at {facts.when(problem, minute)}, there are {most}")
