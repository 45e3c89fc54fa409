"""What is chosen on the level of days: which runs, how many pieces of each kind, what leaves the freezer, who eats it.

The variables of the day-level model, by what they mean. The rules (rotation/rules/) say what a meal may be served and
add rows, the cost terms (rotation/costs/) add prices; rotation/solve/ finds values, and then the minutes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

from rotation.hot import Spell
from rotation.model import Model, Term
from rotation.moments import Moments, Node
from rotation.problem import BOUGHT, FIXED, FRESH, TABLE, TOAST, Form, Meal, Problem
from rotation.runs import Run
from rotation.thaws import Way

Alike = tuple[object, ...]
"""What at most one of several runs or ways may be of."""


Heat = tuple[tuple[str, int], Alike, tuple[int, int]]
"""Stays that are looked at together for their heat: session, what at most one may be of, blocks they may start in."""


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
    toasted: dict[tuple[str, str, str], int] = field(default_factory=dict)
    """(bread, route, meal) -> units taken from the freezer for them."""
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
    heated: dict[Heat, int] = field(default_factory=dict)
    """Stays alike -> 1 if the oven is heated up from cold for one of them."""
    trips: dict[int, int] = field(default_factory=dict)
    """day -> 1 if somebody goes to the freezer for what is to thaw or to be finished."""
    so_far: dict[tuple[str, int], int] = field(default_factory=dict)
    """(bread, day) -> bakes mixed up to the end of the day."""
    kept: dict[tuple[str, str, int, int], int] = field(default_factory=dict)
    """(bread, form, day, things) -> units there the night before that the first of what may leave that day leave."""

    spare: tuple[int, int] | None = None
    """How many wishes more may be dropped, strict portions more short; none, but where days are left out."""
    missing: list[tuple[int, int]] = field(default_factory=list)
    """Day, and portions that are missing of a reserve at its end."""
    lowest: dict[tuple[int, int], int] = field(default_factory=dict)
    """Portions that are missing of each reserve, by number, at the lowest of the nights that a day's is one of."""

    def variable(self, item: Run | Way) -> int:
        """Return the variable that says whether a run or a way is chosen."""
        return self.run[self.runs.index(item)] if isinstance(item, Run) else self.way[self.ways.index(item)]


@dataclass(frozen=True)
class Offer:
    """Bread that may be served: bread id ("" for a bought loaf), the way it comes, in which minutes it may be ready.

    keeps: minutes it may be eaten after it is ready.
    """

    bread: str
    kind: str
    first: int
    last: int
    keeps: int


Serves = Callable[[Problem, Meal, Offer], bool]
"""Whether a meal may be served what is offered."""


def choose(problem: Problem, moments: Moments, runs: list[Run], ways: list[Way]) -> Choices:
    """Return the variables of the day level but those of the table (`lay`), in a fixed order, with their bounds."""
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
    made.loaves.extend(model.integer(0, 50, f"loaves {index}") for index in range(len(problem.shop.closes)))
    for meal in problem.meals:
        made.short[meal.id] = model.flow(0, meal.portions, f"short {meal.id}")
    for bread, form in forms(problem):
        most = _most_units(problem, bread, form.id)
        for day in range(problem.days):
            made.stock[bread, form.id, day] = model.flow(0, most, f"stock {bread} {form.id} {day}")
            made.discards[bread, form.id, day] = model.flow(0, most, f"discard {bread} {form.id} {day}")
    for wish in problem.wishes:
        if wish.kind in FIXED:
            made.dropped[wish.id] = model.binary(f"dropped {wish.id}")
    for day in dict.fromkeys(way.take_day for way in ways):
        made.trips[day] = model.binary(f"trip {day}")
    return made


def lay(made: Choices, serves: Serves) -> None:
    """Add what each meal may be fed from, as far as it may be served it."""
    problem, model = made.problem, made.model
    nodes = {node: _offer(made, node) for node in sorted(nodes_of(made))}
    box = {
        item.id: Offer(item.bread, item.kind, item.ready, item.ready, item.until - item.ready) for item in problem.box
    }
    bought = [Offer("", BOUGHT, closes, closes, problem.shop.keeps) for closes in problem.shop.closes]
    toast = [(bread.id, route.id) for bread in problem.breads for route in bread.routes if route.gives == TOAST]
    for meal in problem.meals:
        for node, offer in nodes.items():
            if serves(problem, meal, offer):
                made.eaten[node, meal.id] = model.flow(0, meal.portions, f"eaten {node} {meal.id}")
        for bread_id, route_id in toast:
            if serves(problem, meal, Offer(bread_id, TOAST, meal.at, meal.at, 0)):
                key = (bread_id, route_id, meal.id)
                made.toast[key] = made.toasted[key] = model.flow(0, meal.portions, f"toast {key}")
                each = problem.bread(bread_id).form(problem.bread(bread_id).route(route_id).form).portions_per_unit
                if each > 1:  # a slice is a unit; of flat bread a whole one leaves the freezer
                    made.toasted[key] = model.integer(0, -(-meal.portions // each), f"toasted {key}")
                    model.row(0, [(each, made.toasted[key]), (-1, made.toast[key])], each - 1)
        for item_id, offer in box.items():
            if serves(problem, meal, offer):
                made.boxed[item_id, meal.id] = model.flow(0, meal.portions, f"box {item_id} {meal.id}")
        for index, offer in enumerate(bought):
            if serves(problem, meal, offer):
                made.bought[index, meal.id] = model.flow(0, meal.portions, f"bought {index} {meal.id}")


def nodes_of(made: Choices) -> set[Node]:
    """Return every node that a run or a way can fill."""
    fresh: set[Node] = {(run.bread, "", run.ready) for run in made.runs if run.ready is not None}
    return fresh | {(way.bread, way.route, way.ready) for way in made.ways}


def keeps(problem: Problem, node: Node) -> int:
    """Return the minutes that the bread of a node may be eaten after it is ready."""
    bread = problem.bread(node[0])
    return bread.route(node[1]).keeps if node[1] else bread.keeps


def good_from(problem: Problem, node: Node, meal: Meal) -> int:
    """Return the minute before which the bread of a node must not be ready to be good at a meal."""
    bread, route, _ = node
    kind = problem.bread(bread).route(route).gives if route else FRESH
    age = max((a.max_age for a in meal.accepts if a.bread == bread and kind in a.kinds), default=problem.end)
    return meal.at - min(keeps(problem, node), age)


def last_ready(problem: Problem, item: Run | Way) -> int:
    """Return the last minute at which the table pieces of a run, or what a way finishes, may be ready."""
    bread = problem.bread(item.bread)
    if isinstance(item, Run):
        return item.stay.last + item.stay.longest + bread.process(item.process).treatment(TABLE).cool
    return item.stay.last + item.stay.longest + bread.route(item.route).stand


def ready_until(made: Choices) -> dict[int, int]:
    """Return until when what fills a node may be ready: for pieces and units, but those that only thaw."""
    runs = ((index, run) for index, run in enumerate(made.runs) if run.ready is not None)
    last = {made.pieces[index, TABLE]: last_ready(made.problem, run) for index, run in runs}
    ways = ((index, way) for index, way in enumerate(made.ways) if way.oven is not None)
    return last | {made.units[index]: last_ready(made.problem, way) for index, way in ways}


def _offer(made: Choices, node: Node) -> Offer:
    """Return the bread of a node as it is offered to meals."""
    problem, (bread, route, of) = made.problem, node
    kind = problem.bread(bread).route(route).gives if route else FRESH
    return Offer(bread, kind, *made.moments.span(bread, of), keeps(problem, node))


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


def most_eaten(made: Choices) -> dict[Node, int]:
    """Return the portions that the meals within reach of each node want in all."""
    wanted = {meal.id: meal.portions for meal in made.problem.meals}
    most: dict[Node, int] = defaultdict(int)
    for node, meal in made.eaten:
        most[node] += wanted[meal]
    return most


def at_once(made: Choices) -> list[Alike]:
    """Return for each way what at most one way may be of: one bread and form for one moment, if one can hold all of it.

    Where the meals in reach want more than one stay holds, each route has its own.
    """
    eaten, keys = most_eaten(made), list[Alike]()
    for way in made.ways:
        portions = made.problem.bread(way.bread).form(way.form).portions_per_unit
        holds = way.most * portions >= eaten[way.bread, way.route, way.ready]
        keys.append((way.bread, way.form if holds else way.route, way.ready, holds))
    return keys


@dataclass(frozen=True)
class Hot:
    """A stay in an oven that may be chosen. session: oven and session; alike: what at most one stay may be of."""

    session: tuple[str, int]
    alike: Alike
    heat: int
    stay: Spell
    variable: int

    @property
    def key(self) -> Heat:
        """What it is looked at together with."""
        return self.session, self.alike, self.stay.blocks


def stays(made: Choices) -> list[Hot]:
    """Return the stays in ovens that may be chosen."""
    found: list[Hot] = []
    for index, run in enumerate(made.runs):
        found.append(Hot((run.oven, run.session), run.slot, run.heat, run.stay, made.run[index]))
    for index, (way, alike) in enumerate(zip(made.ways, at_once(made), strict=True)):
        if way.oven is not None:
            found.append(Hot((way.oven, way.session), alike, way.heat, way.stay, made.way[index]))
    return found


def forms(problem: Problem) -> list[tuple[str, Form]]:
    """Return every bread id with each of its forms."""
    return [(bread.id, form) for bread in problem.breads for form in bread.forms]


def _most_units(problem: Problem, bread: str, form: str) -> int:
    """Return a bound on the units of a form that can ever be in the freezer."""
    here = sum(lot.units for lot in problem.lots if lot.bread == bread and lot.form == form)
    room = max(value for _, value in problem.kitchen.freezer_dl)
    return max(here, room // max(1, problem.bread(bread).form(form).unit_dl))
