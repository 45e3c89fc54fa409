"""What is put in during any 24 elapsed hours stays within what the freezer can freeze."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from rotation import facts
from rotation.choices import Choices, forms
from rotation.clockwork import Hold, Sum, lacking
from rotation.freezer_flow import put_in
from rotation.minutes import Freezer, Minutes
from rotation.model import Term
from rotation.plan import Plan
from rotation.problem import Problem, value_at
from rotation.rules.broken import Broken

NAME = "freezing_rate"

WINDOW = 1440


def days(c: Choices) -> None:
    """What is put in on one day is within the rating of 24 hours."""
    most = max(value for _, value in c.problem.kitchen.freezing_grams_24h)
    loads: dict[int, list[Term]] = defaultdict(list)
    for bread, form in forms(c.problem):
        for day, _, (units, variable) in put_in(c, bread, form):
            loads[day].append((units * form.load_grams, variable))
    for day, terms in loads.items():
        if c.problem.midnights[day + 1] - c.problem.midnights[day] <= WINDOW:
            c.model.row(None, terms, most)


def freezer(m: Minutes, freezer: Freezer) -> None:
    """What is put in counts for 24 hours, what was put in before the start too."""
    steps, problem = m.problem.kitchen.freezing_grams_24h, m.problem
    before: dict[int, int] = defaultdict(int)
    for lot in problem.lots:
        if -WINDOW < lot.bagged <= 0:
            before[lot.bagged] += problem.bread(lot.bread).form(lot.form).load_grams * lot.units
    if sum(grams for _, grams in freezer.loads) + sum(before.values()) <= min(value for _, value in steps):
        return
    most, missing = lacking(steps, m.never)
    holds = [Hold(at, at + WINDOW, grams) for at, grams in freezer.loads]
    holds += [Hold(Sum((), at), Sum((), at + WINDOW), min(grams, most)) for at, grams in before.items()]
    m.clock.room([*holds, *missing], most)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the minutes by which too much was put in: where something goes in, and where the rating falls."""
    opening = {lot.id for lot in problem.lots}
    put_in = []
    for batch in facts.batches(problem, plan).values():
        grams = batch.units * problem.bread(batch.bread).form(batch.form).load_grams
        put_in.append((batch.bagged, grams, batch.id in opening))
    steps = problem.kitchen.freezing_grams_24h
    for minute in sorted({at for at, _, _ in put_in if at >= 0} | {at for at, _ in steps if at > 0}):
        within = [(grams, old) for at, grams, old in put_in if minute - WINDOW < at <= minute]
        total = sum(grams for grams, _ in within)
        if total > value_at(steps, minute) and not all(old for _, old in within):
            at = facts.when(problem, minute)
            yield Broken(NAME, at, f"{total} g in 24 hours, the freezer takes {value_at(steps, minute)}")
