"""From a solution of the day level to the tasks it asks of the minutes."""

from __future__ import annotations

from collections import defaultdict

from rotation.choices import Choices, keeps, nodes_of
from rotation.moments import Node
from rotation.oven_turns import Turn, bake_turns, turns
from rotation.problem import FRESH, Meal, Programme, Route
from rotation.tasks import Asked, BakeTask, WayTask

ANY_TIME = (-(10**6), 10**6, "")


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
        made = bake_turns(process, pieces, oven)
        first, last, eater = limits[run.bread, "", run.ready] if run.ready is not None else ANY_TIME
        name = run.under_way or f"{run.bread}-{run.process}-{problem.date_of(run.day):%m%d}"
        bakes.append(BakeTask(name, run, bread, process, pieces, made, (first, last), eater))
    for index, way in enumerate(choices.ways):
        units = values[choices.units[index]]
        if not units:
            continue
        bread = problem.bread(way.bread)
        route = bread.route(way.route)
        name = f"{way.bread}-{way.route}-{problem.date_of(way.take_day):%m%d}-{way.ready}-{way.heat}".replace(" ", "-")
        name = f"{name}-asked" if way.wish else name
        made = finish_turns(route, units, choices, way.oven)
        first, last, eater = limits[way.bread, way.route, way.ready]
        ways.append(WayTask(name, way, bread, route, units, made, (first, last), eater))
    return Asked(tuple(bakes), tuple(ways), values)


def finish_turns(route: Route, units: int, choices: Choices, oven: str | None) -> tuple[Turn, ...]:
    """Return the loads of a finish: all go in at once."""
    if route.oven is None or oven is None:
        return ()
    full, rest = divmod(units, route.load_units)
    loads = [(route.load_units, route.oven[1])] * full + ([(rest, route.oven[1])] if rest else [])
    return turns(loads, Programme(route.oven[0], 0, route.load_units, route.handling), choices.problem.oven(oven))


def _limits(choices: Choices, values: tuple[int, ...]) -> dict[Node, tuple[int, int, str]]:
    """Return for each node within which minutes its bread must be ready, and the meal that wants it no sooner."""
    problem, meals = choices.problem, {meal.id: meal for meal in choices.problem.meals}
    limits: dict[Node, tuple[int, int, str]] = defaultdict(lambda: ANY_TIME)
    eaten_at: dict[Node, list[Meal]] = defaultdict(list)
    for (node, meal_id), variable in choices.eaten.items():
        if values[variable]:
            eaten_at[node].append(meals[meal_id])
    for node in nodes_of(choices):
        bread, route, of = node
        kind = problem.bread(bread).route(route).gives if route else FRESH
        (first, last), eater = choices.moments.span(bread, of), ""
        first = first or ANY_TIME[0]  # what is out of the oven already may have been ready before the plan begins
        for meal in eaten_at[node]:
            age = max(a.max_age for a in meal.accepts if a.bread == bread and kind in a.kinds)
            since = meal.at - min(keeps(problem, node), age)
            first, eater = (since, meal.id) if since > first else (first, eater)
        limits[node] = (first, last, eater)
    return limits
