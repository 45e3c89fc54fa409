"""At every instant what is in the freezer has room, from the minute it is put in until it is gone."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices, forms
from rotation.plan import Plan
from rotation.problem import Problem, value_at
from rotation.rules.broken import Broken

NAME = "freezer_room"


def days(c: Choices) -> None:
    """At each midnight what is in the freezer fits."""
    for day in range(c.problem.days):
        terms = [(form.unit_dl, c.stock[bread, form.id, day]) for bread, form in forms(c.problem)]
        c.model.row(None, terms, value_at(c.problem.kitchen.freezer_dl, c.problem.midnights[day + 1] - 1))


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
