"""From a solution of the day level to the tasks it asks of the minutes."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace

from rotation.choices import Choices, good_from, supply
from rotation.moments import Node
from rotation.oven_turns import Turn, bake_turns, turns
from rotation.problem import Programme, Route
from rotation.tasks import Asked, BakeTask, WayTask

ANY_TIME = (-(10**6), 10**6)


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
        name = run.under_way or f"{run.bread}-{run.process}-{problem.date_of(run.day):%m%d}"
        task = BakeTask(name, run, bread, process, pieces, made, ANY_TIME)
        if task.node is not None:
            ready, eater, shared = limits[task.node].of(task.portions)
            task = replace(task, ready=ready, eater=eater, shared=shared)
        bakes.append(task)
    for index, way in enumerate(choices.ways):
        units = values[choices.units[index]]
        if not units:
            continue
        bread = problem.bread(way.bread)
        route = bread.route(way.route)
        name = f"{way.bread}-{way.route}-{problem.date_of(way.take_day):%m%d}-{way.ready}".replace(" ", "-")
        name = f"{name}-asked" if way.wish else name
        made = finish_turns(route, units, choices, way.oven)
        limit = limits[way.bread, way.route, way.ready]
        ready, eater, _ = limit.of(limit.total)  # there is one way of a node at most (rules/together.py)
        ways.append(WayTask(name, way, bread, route, units, made, ready, eater))
    return Asked(tuple(bakes), tuple(ways), values)


def finish_turns(route: Route, units: int, choices: Choices, oven: str | None) -> tuple[Turn, ...]:
    """Return the loads of a finish: all go in at once."""
    if route.oven is None or oven is None:
        return ()
    full, rest = divmod(units, route.load_units)
    loads = [(route.load_units, route.oven[1])] * full + ([(rest, route.oven[1])] if rest else [])
    return turns(loads, Programme(route.oven[0], 0, route.load_units, route.handling), choices.problem.oven(oven))


@dataclass(frozen=True)
class _Limit:
    """Within which minutes the bread of a node must be ready, for those who eat of it.

    total: portions of it; late: for each meal that wants it no sooner than some minute within the class: that minute,
    the meal, and the portions that it and all others eat of what is ready no sooner.
    """

    span: tuple[int, int]
    total: int
    late: tuple[tuple[int, str, int], ...]

    def of(self, portions: int) -> tuple[tuple[int, int], str, tuple[tuple[int, int], ...]]:
        """Return `ready`, `eater` and `shared` of a task that gives so many of the portions.

        What the rest does not feed hangs on it alone. Of what the rest might feed all that is sure is how many portions
        may be ready too soon.
        """
        first, eater = self.span[0], ""
        for since, meal, count in self.late:
            if count > self.total - portions and since > first:
                first, eater = since, meal
        shared = {since: self.total - count for since, _, count in self.late if since > first}
        return (first, self.span[1]), eater, tuple(sorted(shared.items()))


def _limits(choices: Choices, values: tuple[int, ...]) -> dict[Node, _Limit]:
    """Return the limits of each node."""
    problem, meals = choices.problem, {meal.id: meal for meal in choices.problem.meals}
    wanted: dict[Node, list[tuple[int, str, int]]] = defaultdict(list)
    for (node, meal_id), variable in choices.eaten.items():
        if values[variable]:
            wanted[node].append((good_from(problem, node, meals[meal_id]), meal_id, values[variable]))
    limits: dict[Node, _Limit] = {}
    for node, terms in supply(choices).items():
        first, last = choices.moments.span(node[0], node[2])
        first = first or ANY_TIME[0]  # what is out of the oven already may have been ready before the plan begins
        late = tuple(
            (since, meal, sum(count for other, _, count in wanted[node] if other >= since))
            for since, meal, _ in wanted[node]
            if since > first
        )
        limits[node] = _Limit((first, last), sum(each * values[variable] for each, variable in terms), late)
    return limits
