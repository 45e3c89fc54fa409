"""Each portion eaten from the freezer, traced to the day it was put in. No rule asks for it.

The stock of a day says only how much there is, and a tenth of a bake may feed a meal that wants a tenth of a loaf.
Traced, a meal eats of a day's bakes no more than it wants times the part of a bake there is: the plant location form of
lot sizing, whose relaxation lies far nearer to the truth. The flows make the model larger, so only the search has them.
"""

from __future__ import annotations

from collections import defaultdict

from rotation.choices import Choices
from rotation.model import Term
from rotation.moments import Node
from rotation.problem import TABLE


def trace(c: Choices) -> None:
    """Add the flows and their rows to a complete model."""
    for bread in c.problem.breads:
        _trace(c, bread.id)


def _trace(c: Choices, of: str) -> None:
    problem, bread, model = c.problem, c.problem.bread(of), c.model
    meals = {meal.id: meal for meal in problem.meals}
    put: dict[int, list[int]] = defaultdict(list)
    for index, run in enumerate(c.runs):
        if run.bread == of and run.put_day is not None:
            put[run.put_day].append(index)
    latest: dict[Node, int] = defaultdict(int)
    for way in c.ways:
        node = (way.bread, way.route, way.ready)
        latest[node] = max(latest[node], way.latest)
    eaten: dict[str, list[Term]] = defaultdict(list)
    last: dict[str, int] = defaultdict(int)
    for (toasted, _, meal), variable in c.toast.items():
        if toasted == of:
            eaten[meal].append((1, variable))
            last[meal] = meals[meal].at
    for (node, meal), variable in c.eaten.items():
        if node[0] == of and node[1]:
            eaten[meal].append((1, variable))
            last[meal] = max(last[meal], latest[node])
    there = sum(lot.units * bread.form(lot.form).portions_per_unit for lot in problem.lots if lot.bread == of)
    gone: dict[int, list[Term]] = defaultdict(list)
    opening: list[Term] = []
    for meal, terms in eaten.items():
        wanted, sources = meals[meal].portions, list[Term]()
        if there:
            sources.append((-1, model.flow(0, wanted, f"of the first stock {of} {meal}")))
            opening.append((1, sources[-1][1]))
        for day, indices in put.items():
            runs = [(-wanted, c.run[index]) for index in indices if (c.runs[index].through or 0) <= last[meal]]
            if runs:
                sources.append((-1, model.flow(0, wanted, f"of day {day} {of} {meal}")))
                gone[day].append((1, sources[-1][1]))
                model.row(None, [(1, sources[-1][1]), *runs], 0)
        model.row(0, [*terms, *sources], 0)
    model.row(None, opening, there)
    for day, indices in put.items():
        given = [
            (-form.units_per_piece * form.portions_per_unit, c.pieces[index, form.id])
            for index in indices
            for form in bread.forms
            if form.id != TABLE and (index, form.id) in c.pieces
        ]
        model.row(None, [*gone[day], *given], 0)
