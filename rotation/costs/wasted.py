"""Portions of bread at home whose keeping time ended within the horizon, and portions thrown away."""

from __future__ import annotations

from collections import defaultdict

from rotation import facts
from rotation.choices import Choices, keeps, ready_until, supply
from rotation.grid import Grid
from rotation.model import Term
from rotation.moments import Node
from rotation.plan import Plan
from rotation.problem import BOUGHT, Problem

NAME = "wasted"


def days(c: Choices, _: Grid) -> None:
    """Price what is supplied and not eaten, where it ends in the horizon at the latest, and what is thrown away.

    Where only some of what supplies a moment surely ends in it, that is gone but for all that is eaten of the moment.
    """
    problem, price = c.problem, c.problem.weights.wasted_portion
    eaten: dict[Node, list[Term]] = defaultdict(list)
    for (node, _meal), variable in c.eaten.items():
        eaten[node].append((-price, variable))
    until = ready_until(c)
    for node, terms in supply(c).items():
        last, good = c.moments.span(node[0], node[2])[1], keeps(problem, node)
        if last + good <= problem.end:
            c.model.cost(NAME, [*((price * k, v) for k, v in terms), *eaten[node]])
        elif surely := [(k, v) for k, v in terms if until.get(v, last) + good <= problem.end]:
            most = sum(k * c.model.bounds[v][1] for k, v in surely)
            gone = c.model.flow(0, most, f"gone {node}")
            c.model.row(0, [(1, gone), *((-k, v) for k, v in surely), *((1, v) for _, v in eaten[node])], None)
            c.model.cost(NAME, [(price, gone)])
    for item in problem.box:
        if item.until <= problem.end:
            boxed = [(-price, variable) for (of, _meal), variable in c.boxed.items() if of == item.id]
            c.model.cost(NAME, boxed, price * item.portions)
    meals = {meal.id: meal.at for meal in problem.meals}
    for key, variable in c.toasted.items():
        toasted = problem.bread(key[0])
        route = toasted.route(key[1])
        each = toasted.form(route.form).portions_per_unit
        if each > 1 and meals[key[2]] + route.keeps <= problem.end:
            c.model.cost(NAME, [(price * each, variable), (-price, c.toast[key])])
    for (bread, form, _day), variable in c.discards.items():
        c.model.cost(NAME, [(price * problem.bread(bread).form(form).portions_per_unit, variable)])


def score(problem: Problem, plan: Plan) -> int:
    """Return what waste costs in a plan."""
    served: dict[str, int] = {}
    for serving in plan.servings:
        served[serving.source] = served.get(serving.source, 0) + serving.portions
    gone = sum(
        source.portions - served.get(source.id, 0)
        for source in facts.sources(problem, plan).values()
        if source.kind != BOUGHT and source.until <= problem.end
    )
    batches = facts.batches(problem, plan)
    thrown = sum(facts.portions_of(problem, batches[discard.lot], discard.units) for discard in plan.discards)
    return (gone + thrown) * problem.weights.wasted_portion
