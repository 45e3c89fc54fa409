"""At every instant what is in the freezer has room, from the minute it is put in until it is gone."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices, forms
from rotation.clockwork import Sum
from rotation.minutes import Freezer, Minutes
from rotation.plan import Plan
from rotation.problem import Problem, value_at
from rotation.rules.broken import Broken

NAME = "freezer_room"


def days(c: Choices) -> None:
    """In the last minute of a day, before anything is thrown away, what is in the freezer fits, and after it too.

    For room that grows less as the day begins, something may be thrown away the evening before.
    """
    steps = c.problem.kitchen.freezer_dl
    for day in range(c.problem.days):
        midnight = c.problem.midnights[day + 1]
        stays = [(form.unit_dl, c.stock[bread, form.id, day]) for bread, form in forms(c.problem)]
        thrown = [(form.unit_dl, c.discards[bread, form.id, day]) for bread, form in forms(c.problem)]
        c.model.row(None, [*stays, *thrown], value_at(steps, midnight - 1))
        if value_at(steps, midnight) < value_at(steps, midnight - 1):
            c.model.row(None, stays, value_at(steps, midnight))


def freezer(m: Minutes, freezer: Freezer) -> None:
    """At every minute what is held has room; where there is less room, something else fills it."""
    kitchen, changes = m.problem.kitchen, list[tuple[Sum, int]]()
    for bread, form in forms(m.problem):
        changes += [(at, units * form.unit_dl) for at, units in freezer.held[bread, form.id]]
    most, filled = max(value for _, value in kitchen.freezer_dl), 0
    for at, value in kitchen.freezer_dl:
        changes.append((Sum((), max(at, 0)), most - value - filled))
        filled = most - value
    if sum(change for _, change in changes if change > 0) > most:
        m.clock.level([(at, change) for at, change in changes if change], -(10**7), most)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the minutes at which the freezer is overfull."""
    batches, moves = facts.batches(problem, plan), facts.moves(problem, plan)
    steps = problem.kitchen.freezer_dl
    for minute in sorted({0} | {move.at for move in moves if move.at > 0} | {at for at, _ in steps if at > 0}):
        held = facts.held(moves, minute).items()
        taken = sum(units * _unit_dl(problem, batches[lot]) for lot, units in held if lot in batches)
        if taken > value_at(steps, minute):
            yield Broken(NAME, facts.when(problem, minute), f"{taken} dl, there is room for {value_at(steps, minute)}")


def _unit_dl(problem: Problem, batch: facts.Batch) -> int:
    return problem.bread(batch.bread).form(batch.form).unit_dl
