"""Rows that no rule asks for: they leave the best plans as they are, and make them quicker to find and to prove."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from rotation.choices import Alike, Choices, at_once, most_eaten
from rotation.model import Term
from rotation.moments import Node
from rotation.problem import TABLE


def rows(c: Choices) -> None:
    """Add all of them."""
    no_more_than_is_eaten(c)
    nothing_from_nothing(c)
    whole_pieces(c)
    bakes_so_far(c)


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


def whole_pieces(c: Choices) -> None:
    """What meals eat of some loaves is as much as whole loaves give: a loaf more than is needed feeds only the rest.

    For meals that want `k` loaves of `size` portions and `rest` more, all that `n` loaves feed lies below the line from
    `(k, k * size)` to `(k + 1, k * size + rest)`, and there is nothing where nothing is baked or taken out.
    """
    wanted = {meal.id: meal.portions for meal in c.problem.meals}
    made: dict[Alike, _Made] = defaultdict(_Made)
    of: dict[Node, set[Alike]] = defaultdict(set)
    for index, run in enumerate(c.runs):
        if run.ready is not None:
            node = (run.bread, "", run.ready)
            made[node].add(c.problem.bread(run.bread).portions, c.pieces[index, TABLE], c.run[index])
            of[node].add(node)
    for index, (way, key) in enumerate(zip(c.ways, at_once(c), strict=True)):
        portions = c.problem.bread(way.bread).form(way.form).portions_per_unit
        made[key].add(portions, c.units[index], c.way[index])
        of[way.bread, way.route, way.ready].add(key)
    fed: dict[Alike, dict[str, list[Term]]] = defaultdict(lambda: defaultdict(list))
    mixed = {key for keys in of.values() if len(keys) > 1 for key in keys}
    for (node, meal), variable in c.eaten.items():
        for key in of[node]:
            fed[key][meal].append((1, variable))
    for key, meals in fed.items():
        if key in mixed:
            continue
        size, groups = made[key].size, [list(meals)] + ([[meal] for meal in meals] if len(meals) > 1 else [])
        for group in groups:
            whole, rest = divmod(sum(wanted[meal] for meal in group), size)
            if rest:
                pieces = [(-rest, variable) for variable in made[key].pieces]
                chosen = [(-whole * (size - rest), variable) for variable in made[key].chosen]
                c.model.row(None, [*(term for meal in group for term in meals[meal]), *pieces, *chosen], 0)


@dataclass
class _Made:
    """What fills nodes of which one way at most is chosen: portions of a piece, pieces, whether there are any."""

    size: int = 1
    pieces: list[int] = field(default_factory=list)
    chosen: list[int] = field(default_factory=list)

    def add(self, size: int, pieces: int, chosen: int) -> None:
        """Add a run or a way."""
        self.size = size
        self.pieces.append(pieces)
        self.chosen.append(chosen)


def bakes_so_far(c: Choices) -> None:
    """Name the number of bakes of each bread up to each day: what is best to branch on."""
    for bread in c.problem.breads:
        before: list[Term] = []
        for day in range(c.problem.days):
            here = [(1, c.run[index]) for index, run in enumerate(c.runs) if run.bread == bread.id and run.day == day]
            if here:
                so_far = c.so_far[bread.id, day] = c.model.integer(0, len(c.runs), f"bakes {bread.id} until {day}")
                c.model.row(0, [*here, *before, (-1, so_far)], 0)
                before = [(1, so_far)]
