"""Rows that no rule asks for: they leave the best plans as they are, and make them quicker to find and to prove."""

from __future__ import annotations

from collections import defaultdict

from rotation.choices import Alike, Choices, Node, at_once, most_eaten
from rotation.model import Term
from rotation.problem import TABLE


def rows(c: Choices) -> None:
    """Add all of them."""
    no_more_than_is_eaten(c)
    nothing_from_nothing(c)
    bakes_of_a_week(c)


def no_more_than_is_eaten(c: Choices) -> None:
    """Fewer pieces for the table, and fewer units taken out, are enough if all that could eat them want less."""
    eaten = most_eaten(c)
    for index, run in enumerate(c.runs):
        if run.ready is not None:
            most = -(-eaten[run.bread, "", run.ready] // c.problem.bread(run.bread).portions)
            most = max(most, run.least)  # a batch that cannot be smaller may have pieces nobody eats
            if most < run.most:
                c.model.row(None, [(1, c.pieces[index, TABLE]), (-most, c.run[index])], 0)
    for index, way in enumerate(c.ways):
        portions = c.problem.bread(way.bread).form(way.form).portions_per_unit
        most = -(-eaten[way.bread, way.route, way.ready] // portions)
        if most < c.model.bounds[c.units[index]][1]:
            c.model.row(None, [(1, c.units[index]), (-most, c.way[index])], 0)


def nothing_from_nothing(c: Choices) -> None:
    """No meal is fed by a node that no run or way fills. Implied, but the bound is far better for it."""
    wanted = {meal.id: meal.portions for meal in c.problem.meals}
    filled: dict[Alike, list[int]] = defaultdict(list)
    alike: dict[Node, set[Alike]] = defaultdict(set)
    for index, run in enumerate(c.runs):
        if run.ready is not None:
            node = (run.bread, "", run.ready)
            alike[node].add(node)
            filled[node].append(c.run[index])
    for index, (way, key) in enumerate(zip(c.ways, at_once(c), strict=True)):
        alike[way.bread, way.route, way.ready].add(key)
        filled[key].append(c.way[index])
    fed: dict[tuple[Alike, str], list[Term]] = defaultdict(list)
    for (node, meal), variable in c.eaten.items():
        if len(alike[node]) == 1:
            fed[next(iter(alike[node])), meal].append((1, variable))
    for (of, meal), terms in fed.items():
        c.model.row(None, [*terms, *((-wanted[meal], made) for made in filled[of])], 0)
    for (closing, meal), variable in c.bought.items():
        most = min(wanted[meal], c.problem.shop.portions)
        c.model.row(None, [(1, variable), (-most, c.loaves[closing])], 0)


def bakes_of_a_week(c: Choices) -> None:
    """Name the number of bakes of each bread in each week, a good thing to branch on."""
    for bread in c.problem.breads:
        for first in range(0, c.problem.days, 7):
            week = range(first, first + 7)
            here = [(1, c.run[i]) for i, run in enumerate(c.runs) if run.bread == bread.id and run.day in week]
            if here:
                c.model.row(0, [*here, (-1, c.model.integer(0, len(here), f"bakes {bread.id} {first}"))], 0)
