"""What a choice of days asks of the minutes: the bakes and ways back to be timed, and within which limits."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from rotation.chains import Run
from rotation.choices import Choices, Node
from rotation.oven_turns import Turn, bake_turns, turns
from rotation.problem import TABLE, Bread, Process, Programme, Route
from rotation.thaws import Way


@dataclass(frozen=True)
class BakeTask:
    """One bake: its pieces are chosen, its minutes are not. ready: first and last minute its table pieces may be ready."""

    id: str
    run: Run
    bread: Bread
    process: Process
    pieces: tuple[tuple[str, int], ...]
    turns: tuple[Turn, ...]
    ready: tuple[int, int]

    @property
    def total(self) -> int:
        """Pieces of the bake."""
        return sum(count for _, count in self.pieces)

    @property
    def frozen(self) -> int:
        """Pieces that go into the freezer."""
        return sum(count for id_, count in self.pieces if id_ != TABLE)

    @property
    def length(self) -> int:
        """Minutes from the first load in to the last out."""
        return max(turn.out for turn in self.turns)

    def hands(self, name: str) -> int:
        """Return the minutes of a step."""
        if name == "oven":
            return self.process.programme.handling
        stage = next(stage for stage in self.process.stages if stage.name == name)
        return stage.hands + stage.hands_per_piece * (self.frozen if name == "bag" else self.total)


@dataclass(frozen=True)
class WayTask:
    """Units taken out of the freezer for one route, and finished if it has an oven."""

    id: str
    way: Way
    bread: Bread
    route: Route
    units: int
    turns: tuple[Turn, ...]
    ready: tuple[int, int]

    @property
    def length(self) -> int:
        """Minutes in the oven."""
        return max((turn.out for turn in self.turns), default=0)


Task = BakeTask | WayTask


@dataclass(frozen=True)
class Asked:
    """A choice of days with values: the tasks, and what every other variable came to."""

    bakes: tuple[BakeTask, ...]
    ways: tuple[WayTask, ...]
    values: tuple[int, ...]


def ask(choices: Choices, values: tuple[int, ...]) -> Asked:
    """Return the tasks of a solution of the day-level model."""
    problem, limits = choices.problem, _limits(choices, values)
    bakes, ways = [], []
    for index, run in enumerate(choices.runs):
        if not values[choices.run[index]]:
            continue
        bread = problem.bread(run.bread)
        process = bread.process(run.process)
        counts = ((t.id, choices.pieces.get((index, t.id))) for t in process.treatments)
        pieces = tuple((id_, values[variable]) for id_, variable in counts if variable is not None and values[variable])
        oven = problem.oven(run.oven)
        made = bake_turns(process, pieces, oven.vessels, oven.places)
        ready = limits[run.bread, "", run.ready] if run.ready is not None else (-(10**6), 10**6)
        name = run.under_way or f"{run.bread}-{run.process}-{problem.date_of(run.day):%m%d}"
        bakes.append(BakeTask(name, run, bread, process, pieces, made, ready))
    for index, way in enumerate(choices.ways):
        units = values[choices.units[index]]
        if not units:
            continue
        bread = problem.bread(way.bread)
        route = bread.route(way.route)
        name = f"{way.bread}-{way.route}-{problem.date_of(way.take_day):%m%d}-{way.ready}-{way.heat}"
        ready = limits[way.bread, way.route, way.ready]
        ways.append(
            WayTask(
                name.replace(" ", "-"), way, bread, route, units, finish_turns(route, units, choices, way.oven), ready
            )
        )
    return Asked(tuple(bakes), tuple(ways), values)


def finish_turns(route: Route, units: int, choices: Choices, oven: str | None) -> tuple[Turn, ...]:
    """Return the loads of a finish: all go in at once."""
    if route.oven is None or oven is None:
        return ()
    full, rest = divmod(units, route.load_units)
    loads = [(route.load_units, route.oven[1])] * full + ([(rest, route.oven[1])] if rest else [])
    places = choices.problem.oven(oven).places
    return turns(loads, Programme(route.oven[0], 0, route.load_units, route.handling), 0, places)


def _limits(choices: Choices, values: tuple[int, ...]) -> dict[Node, tuple[int, int]]:
    """Return for each node within which minutes its bread must be ready, for the meals that eat of it."""
    problem, meals = choices.problem, {meal.id: meal for meal in choices.problem.meals}
    limits: dict[Node, tuple[int, int]] = defaultdict(lambda: (-(10**6), 10**6))
    eaten_at = defaultdict(list)
    for (node, meal), variable in choices.eaten.items():
        if values[variable]:
            eaten_at[node].append(meals[meal])
    nodes = {(run.bread, "", run.ready) for run in choices.runs if run.ready is not None}
    nodes |= {(way.bread, way.route, way.ready) for way in choices.ways}
    for node in nodes:
        bread = problem.bread(node[0])
        keeps = bread.route(node[1]).keeps if node[1] else bread.keeps
        first, last = choices.moments.span(node[0], node[2])
        for meal in eaten_at[node]:
            kind = bread.route(node[1]).gives if node[1] else "fresh"
            age = max(a.max_age for a in meal.accepts if a.bread == node[0] and kind in a.kinds)
            first = max(first, meal.at - min(keeps, age))
        limits[node] = (first, last)
    return limits
