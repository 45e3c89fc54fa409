"""What is chosen on the level of days: which runs, how many pieces of each treatment, what leaves the freezer, who eats what.

The variables of the day-level model, by what they mean. The rules (rotation/rules/) and the cost terms
(rotation/costs.py) add rows and prices over them; rotation/solve/ finds values, and then the minutes.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from rotation.chains import Run
from rotation.model import Model, Term
from rotation.moments import Moments
from rotation.problem import FRESH, TABLE, TOAST, BoxItem, Meal, Problem
from rotation.thaws import Way

Node = tuple[str, str, int]
"""Ready bread alike: bread id, route id ("" for a bake's table pieces), moment class."""


@dataclass
class Choices:
    """The day-level variables of a problem. Numbers are indices into `model`."""

    problem: Problem
    moments: Moments
    model: Model
    runs: list[Run]
    ways: list[Way]
    run: list[int] = field(default_factory=list)
    pieces: dict[tuple[int, str], int] = field(default_factory=dict)
    """(run, treatment) -> pieces."""
    way: list[int] = field(default_factory=list)
    units: list[int] = field(default_factory=list)
    """Units taken out, of each way."""
    toast: dict[tuple[str, str, str], int] = field(default_factory=dict)
    """(bread, route, meal) -> portions taken from the freezer at the meal."""
    eaten: dict[tuple[Node, str], int] = field(default_factory=dict)
    """(node, meal) -> portions."""
    boxed: dict[tuple[str, str], int] = field(default_factory=dict)
    """(box item, meal) -> portions."""
    loaves: list[int] = field(default_factory=list)
    """Loaves bought before each closing of the shop."""
    bought: dict[tuple[int, str], int] = field(default_factory=dict)
    """(closing, meal) -> portions."""
    short: dict[str, int] = field(default_factory=dict)
    """meal -> portions short."""
    discards: dict[tuple[str, str, int], int] = field(default_factory=dict)
    """(bread, form, day) -> units thrown away."""
    stock: dict[tuple[str, str, int], int] = field(default_factory=dict)
    """(bread, form, day) -> units in the freezer at the end of the day."""
    dropped: dict[str, int] = field(default_factory=dict)
    """wish -> 1 if dropped."""


def choose(problem: Problem, moments: Moments, runs: list[Run], ways: list[Way]) -> Choices:
    """Return the variables of the day level, in a fixed order, with the bounds that need no row."""
    made = Choices(problem, moments, Model(), runs, ways)
    model = made.model
    for index, run in enumerate(runs):
        made.run.append(model.binary(f"run {index}"))
        for treatment in problem.bread(run.bread).process(run.process).treatments:
            if treatment.id in run.forms or (treatment.id == TABLE and run.ready is not None):
                made.pieces[index, treatment.id] = model.integer(0, run.most, f"pieces {index} {treatment.id}")
    for index, way in enumerate(ways):
        made.way.append(model.binary(f"way {index}"))
        made.units.append(model.integer(0, min(way.most, _most_units(problem, way.bread, way.form)), f"units {index}"))
    _meals(made)
    for bread in problem.breads:
        for form in bread.forms:
            most = _most_units(problem, bread.id, form.id)
            for day in range(problem.days):
                made.stock[bread.id, form.id, day] = model.integer(0, most, f"stock {bread.id} {form.id} {day}")
                made.discards[bread.id, form.id, day] = model.integer(0, most, f"discard {bread.id} {form.id} {day}")
    for wish in problem.wishes:
        if wish.kind == "fixed":
            made.dropped[wish.id] = model.binary(f"dropped {wish.id}")
    return made


def _meals(made: Choices) -> None:
    """Add what each meal may be fed from, and what it may be short of."""
    problem, model = made.problem, made.model
    sources = {node: keeps for node, keeps in _nodes(made).items()}
    made.loaves.extend(model.integer(0, 50, f"loaves {index}") for index in range(len(problem.shop.closes)))
    for meal in problem.meals:
        made.short[meal.id] = model.integer(0, meal.portions, f"short {meal.id}")
        for node in sorted(node for node in sources if may_eat(made, node, meal, sources[node])):
            made.eaten[node, meal.id] = model.integer(0, meal.portions, f"eaten {node} {meal.id}")
        for bread in problem.breads:
            for route in bread.routes:
                if route.gives == TOAST and accepted(problem, meal, bread.id, TOAST) is not None:
                    key = (bread.id, route.id, meal.id)
                    made.toast[key] = model.integer(0, meal.portions, f"toast {key}")
        for item in problem.box:
            if box_feeds(problem, item, meal):
                made.boxed[item.id, meal.id] = model.integer(0, meal.portions, f"box {item.id} {meal.id}")
        if shop_feeds(problem, meal):
            for index, closes in enumerate(problem.shop.closes):
                if closes <= meal.at <= closes + problem.shop.keeps:
                    made.bought[index, meal.id] = model.integer(0, meal.portions, f"bought {index} {meal.id}")


def _nodes(made: Choices) -> dict[Node, int]:
    """Return every node that a run or a way can fill, with how long it keeps at most."""
    problem = made.problem
    nodes: dict[Node, int] = {}
    for run in made.runs:
        if run.ready is not None:
            nodes[run.bread, "", run.ready] = problem.bread(run.bread).keeps
    for way in made.ways:
        nodes[way.bread, way.route, way.ready] = problem.bread(way.bread).route(way.route).keeps
    return nodes


def kind_of(problem: Problem, node: Node) -> str:
    """Return how the bread of a node came: FRESH, FINISHED or THAWED."""
    return problem.bread(node[0]).route(node[1]).gives if node[1] else FRESH


def accepted(problem: Problem, meal: Meal, bread: str, kind: str) -> int | None:
    """Return the greatest age at which a bread will do at a meal this way; None if it will not, or must not be served."""
    allergens = problem.bread(bread).allergens
    if allergens & meal.without or (meal.without and "?" in allergens):
        return None
    ages = [accept.max_age for accept in meal.accepts if accept.bread == bread and kind in accept.kinds]
    return max(ages, default=None)


def may_eat(made: Choices, node: Node, meal: Meal, keeps: int) -> bool:
    """Say whether bread that is ready at some minute of a class may still be eaten at a meal."""
    bread, _, of = node
    age = accepted(made.problem, meal, bread, kind_of(made.problem, node))
    if age is None:
        return False
    first, last = made.moments.span(bread, of)
    return first <= meal.at and meal.at - last <= min(keeps, age)


def box_feeds(problem: Problem, item: BoxItem, meal: Meal) -> bool:
    """Say whether bread that is ready at the start may be eaten at a meal."""
    age = accepted(problem, meal, item.bread, item.kind)
    return age is not None and item.ready <= meal.at <= item.until and meal.at - item.ready <= age


def shop_feeds(problem: Problem, meal: Meal) -> bool:
    """Say whether a bought loaf may stand in at a meal: everyday, and nobody there has to avoid what it may hold."""
    clear = not meal.without or not (meal.without & problem.shop.allergens or "?" in problem.shop.allergens)
    return not meal.strict and clear


def most_eaten(made: Choices) -> dict[Node, int]:
    """Return the portions that the meals within reach of each node want in all."""
    wanted = {meal.id: meal.portions for meal in made.problem.meals}
    most: dict[Node, int] = defaultdict(int)
    for node, meal in made.eaten:
        most[node] += wanted[meal]
    return most


def at_once(made: Choices) -> list[tuple[object, ...]]:
    """Return for each way what at most one way may be of: one bread and form for one moment, if one can hold all of it.

    Where the meals in reach want more than one stay holds, each route has its own.
    """
    eaten, keys = most_eaten(made), []
    for index, way in enumerate(made.ways):
        portions = made.problem.bread(way.bread).form(way.form).portions_per_unit
        holds = made.model.bounds[made.units[index]][1] * portions >= eaten[way.bread, way.route, way.ready]
        keys.append((way.bread, way.form if holds else way.route, way.ready, holds))
    return keys


def supply(made: Choices) -> dict[Node, list[Term]]:
    """Return what fills each node, in portions."""
    problem, out = made.problem, defaultdict[Node, list[Term]](list)
    for index, run in enumerate(made.runs):
        if run.ready is not None:
            variable = made.pieces[index, TABLE]
            out[run.bread, "", run.ready].append((problem.bread(run.bread).portions, variable))
    for index, way in enumerate(made.ways):
        bread = problem.bread(way.bread)
        out[way.bread, way.route, way.ready].append((bread.form(way.form).portions_per_unit, made.units[index]))
    return dict(out)


def _most_units(problem: Problem, bread: str, form: str) -> int:
    """Return a bound on the units of a form that can ever be in the freezer."""
    here = sum(lot.units for lot in problem.lots if lot.bread == bread and lot.form == form)
    room = max(value for _, value in problem.kitchen.freezer_dl)
    return max(here, room // max(1, problem.bread(bread).form(form).unit_dl))
