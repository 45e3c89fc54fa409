"""Ways back to the table: each route of each frozen bread, by the day it leaves the freezer and when it is ready.

Like the runs of a bake (rotation/chains.py), a `Way` stands for all take-outs and finishes alike in what matters to a
choice, with the least cost of any of them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from rotation.grid import INF, Grid, Ints, least_by, range_min, shifted
from rotation.hot import NOWHERE, Spell, sessions, stay_heats
from rotation.moments import Moments
from rotation.problem import DIAL, GRID, TOAST, Bread, Oven, Problem, Route, Wish

STRAIGHT = 10
"""Longest minutes from the freezer to the oven of a route without a thaw."""


@dataclass(frozen=True)
class Way:
    """Take-outs of one bread by one route. oven: None where nothing is finished; `most`: units at once.

    ready: moment class in which it may be eaten. cost: of hands at the oven, without the trip and the switch-on.
    latest: the last minute at which it can leave the freezer. wish: that of the family it is there for.
    """

    bread: str
    form: str
    route: str
    oven: str | None
    heat: int
    session: int
    take_day: int
    ready: int
    most: int
    cost: int
    latest: int
    wish: str | None = None
    stay: Spell = NOWHERE
    """When it may be in the oven."""


def thaw_lag(route: Route) -> tuple[int, int]:
    """Return the shortest and longest minutes from the freezer to the oven."""
    return route.thaw if route.place else (0, STRAIGHT)


def ways(problem: Problem, grid: Grid, moments: Moments, days: Collection[int] | None = None) -> Iterator[Way]:
    """Yield the ways of every bread, but those that no meal could eat, in a fixed order. days: of leaving; all."""
    some = range(problem.days) if days is None else sorted(days)
    for bread in problem.breads:
        for route in bread.routes:
            if route.gives == TOAST or not any(
                a.bread == bread.id and route.gives in a.kinds for m in problem.meals for a in m.accepts
            ):
                continue
            of_bread = (wish for wish in problem.wishes if wish.bread == bread.id)
            asked = [wish for wish in of_bread if wish.kind in ("fixed thaw", "fixed finish")]
            for wish in (None, *asked):
                if route.oven is not None:
                    for oven in problem.ovens:
                        yield from _finished(problem, grid, moments, bread, route, oven, wish, some)
                elif wish is None or wish.kind == "fixed thaw":
                    yield from _thawed(problem, grid, moments, bread, route, wish, some)


def _finished(
    problem: Problem,
    grid: Grid,
    moments: Moments,
    bread: Bread,
    route: Route,
    oven: Oven,
    wish: Wish | None,
    days: Sequence[int],
) -> Iterator[Way]:
    """Yield the ways through one oven on some days, all or those that a wish is about."""
    assert route.oven is not None
    degc, minutes = route.oven
    handling = grid.job("finishes", route.handling)
    into = handling if wish is None or wish.kind != "fixed finish" else _only(grid, route.handling, wish.at)
    hands = into + shifted(handling, minutes)
    for after, _ in route.turns:
        hands = hands + shifted(grid.job("finishes", DIAL), after)
    hands = np.minimum(hands, INF)[::GRID]
    starts = np.arange(len(hands)) * GRID
    if route.until is not None:
        hands = np.where(starts <= route.until, hands, INF)
    ready = moments.classes(bread.id, starts + minutes + route.stand)
    session = sessions(grid, oven)[::GRID]
    low, high = thaw_lag(route)
    allowed = _allowed(problem, moments, bread, route, int(ready[-1]))
    trips = _trips(grid, route, wish)
    room = _room_since(grid, route)
    for heat, able in stay_heats(grid, oven, degc, False, minutes, "finishes"):
        cost = np.where(able[::GRID], hands, INF)
        possible = np.flatnonzero((cost < INF) & allowed[ready])
        if not len(possible):
            continue
        for day in days:
            here = _reachable(problem, trips, day, starts[possible], low, high, room)
            chosen = possible[here]
            most = oven.places * route.load_units
            last = np.minimum(starts[chosen] - low, problem.midnights[day + 1] - 1)
            yield from _least(
                bread, route, oven.id, heat, session[chosen], day, ready[chosen], cost[chosen], last, most, wish,
                starts[chosen],
            )  # fmt: skip


def _thawed(
    problem: Problem,
    grid: Grid,
    moments: Moments,
    bread: Bread,
    route: Route,
    wish: Wish | None,
    days: Sequence[int],
) -> Iterator[Way]:
    """Yield the ways on some days that need no oven, ready once thawed: all or those that a wish is about."""
    trips = _trips(grid, route, wish)
    starts = np.flatnonzero(trips < INF) * GRID
    ready = moments.classes(bread.id, starts + route.thaw[0])
    allowed = _allowed(problem, moments, bread, route, int(ready.max(initial=0)))
    for day in days:
        chosen = np.flatnonzero((grid.days[starts] == day) & allowed[ready])
        nothing = np.zeros(len(chosen), dtype=np.int64)
        yield from _least(
            bread, route, None, 0, nothing, day, ready[chosen], nothing, starts[chosen], 10**6, wish, nothing
        )


def _least(
    bread: Bread, route: Route, oven: str | None, heat: int, session: Ints, day: int, ready: Ints, cost: Ints,
    latest: Ints, most: int, wish: Wish | None, starts: Ints,
) -> Iterator[Way]:  # fmt: skip
    """Yield one way for each session and moment class, at its least cost."""
    degc, length = route.oven if route.oven is not None else (0, 0)
    degrees = (degc, route.turns[-1][1] if route.turns else degc)
    for (of_session, of_ready), (value, first, last) in least_by((session, ready), cost).items():
        here = (session == of_session) & (ready == of_ready)
        until, stay = int(latest[here].max()), Spell(int(starts[first]), int(starts[last]), length, length, degrees)
        yield Way(
            bread.id,
            route.form,
            route.id,
            oven,
            heat,
            of_session,
            day,
            of_ready,
            most,
            value,
            until,
            wish.id if wish else None,
            stay,
        )


def _trips(grid: Grid, route: Route, wish: Wish | None) -> Ints:
    """Return the least cost of a trip to the freezer at each start on the grid; all the others are no start."""
    trips = grid.job("finishes", route.handling_out)
    return (_only(grid, route.handling_out, wish.at) if wish and wish.kind == "fixed thaw" else trips)[::GRID]


def _only(grid: Grid, minutes: int, at: int) -> Ints:
    """Return the cost of a job at one minute alone: who moved it there is free then."""
    only = np.full(grid.minutes, INF)
    if 0 <= at < grid.minutes:
        only[at] = grid.moved("finishes", minutes, at)
    return only


def _room_since(grid: Grid, route: Route) -> Ints:
    """Return for each minute since when the fridge has had room for one of what thaws in it."""
    if route.place != "fridge" or not route.fridge_units:
        return np.zeros(grid.minutes, dtype=np.int64)
    full = grid.steps(grid.problem.kitchen.fridge_spots) < 1
    return np.maximum.accumulate(np.where(full, np.arange(grid.minutes) + 1, 0))


def _reachable(problem: Problem, trips: Ints, day: int, starts: Ints, low: int, high: int, room: Ints) -> Ints:
    """Return which stays can be fed by a trip to the freezer on a local day; `room`: since when the fridge has any."""
    first, last = -(-problem.midnights[day] // GRID), -(-problem.midnights[day + 1] // GRID)
    since = np.maximum(starts - high, room[np.maximum(starts - 1, 0)])
    left, right = np.maximum(-(-since // GRID), first), np.minimum((starts - low) // GRID, last - 1)
    return np.flatnonzero(range_min(trips, left, right) < INF)


def _allowed(
    problem: Problem, moments: Moments, bread: Bread, route: Route, last: int
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Say for each moment class whether some meal could still eat what is ready in it."""
    allowed = np.zeros(last + 2, dtype=np.bool_)
    for of in range(last + 1):
        first, until = moments.span(bread.id, of)
        allowed[of] = any(
            first <= meal.at and meal.at - until <= min(route.keeps, accept.max_age) and route.gives in accept.kinds
            for meal in moments.meals(bread.id)
            for accept in meal.accepts
            if accept.bread == bread.id
        )
    return allowed
