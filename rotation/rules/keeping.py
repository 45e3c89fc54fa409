"""Bread is served when it is ready and while it keeps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from math import inf

from rotation import facts
from rotation.choices import Choices, Offer, good_from, ready_until, supply
from rotation.clockwork import Sum, if_true
from rotation.minutes import Minutes
from rotation.moments import Node
from rotation.plan import Plan
from rotation.problem import Meal, Problem
from rotation.rules.broken import Broken
from rotation.tasks import BakeTask, WayTask

NAME = "keeping"


def serves(_: Problem, meal: Meal, offer: Offer) -> bool:
    """Say whether what is offered can be ready by a meal, and still keep."""
    return offer.first <= meal.at <= offer.last + offer.keeps


def days(c: Choices) -> None:
    """What must not be ready before some minute comes of bakes and finishes that may be ready that late."""
    meals, wanted = {meal.id: meal for meal in c.problem.meals}, defaultdict[Node, list[tuple[int, int]]](list)
    for (node, meal), variable in c.eaten.items():
        wanted[node].append((good_from(c.problem, node, meals[meal]), variable))
    last = ready_until(c)
    for node, terms in supply(c).items():
        first = c.moments.span(node[0], node[2])[0] or -inf  # what is out of the oven may be older than the plan
        for since in sorted({since for since, _ in wanted[node] if since > first}):
            able = [(-portions, variable) for portions, variable in terms if last.get(variable, since) >= since]
            if len(able) < len(terms):
                late = [(1, variable) for other, variable in wanted[node] if other >= since]
                c.model.row(None, [*late, *able], 0)


def minutes(m: Minutes) -> None:
    """Bread is ready within the minutes in which all who eat of it find it ready, and still good."""
    for task in m.tasks:
        if isinstance(task, WayTask) or task.run.ready is not None:
            m.clock.between(task.ready[0], m.ready[task.id], task.ready[1])
    for node in dict.fromkeys(task.node for task in m.bakes if task.shared):
        _shared(m, [task for task in m.bakes if task.node == node])


def _shared(m: Minutes, bakes: list[BakeTask]) -> None:
    """Of what several bakes give at one moment, no more is ready early than is left by those who want it later."""
    for since, most in sorted({limit for task in bakes for limit in task.shared}):
        early = Sum()
        for task in bakes:
            late = m.clock.literal(f"{task.id} ready from {since}")
            m.clock.between(since, m.ready[task.id], None, when=[late])
            early += if_true(~late, task.portions)
        m.clock.between(None, early, most)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the servings before their bread is ready or after it is gone."""
    sources, minutes = facts.sources(problem, plan), {meal.id: meal.at for meal in problem.meals}
    for serving in plan.servings:
        source, at = sources[serving.source], minutes[serving.meal]
        if not source.ready <= at <= source.until:
            good = f"{facts.when(problem, source.ready)} to {facts.when(problem, source.until)}"
            yield Broken(NAME, serving.meal, f"{source.id} may be eaten {good}, not at {facts.when(problem, at)}")
