"""Parts of a choice of days: the likeliest runs and ways for a first plan, all but a few days held for a mend."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from rotation.choices import Choices
from rotation.hot import WARM
from rotation.runs import Run
from rotation.tasks import Asked
from rotation.thaws import Way

Item = TypeVar("Item", Run, Way)


def likely(all_runs: list[Run], all_ways: list[Way]) -> tuple[list[Run], list[Way]]:
    """Return the runs and ways most plans are made of: of each kind the least effort, on no other's heat."""
    begun = [run for run in all_runs if run.under_way is not None]
    fresh = (run for run in all_runs if run.under_way is None and run.heat != WARM)
    kept_runs = _least(
        fresh,
        lambda run: (run.slot, run.oven, run.ready, run.put_day is None, run.least, run.most, run.wish),
        lambda run: (run.cost, run.put_day or 0),
    )
    kept_ways = _least(
        (way for way in all_ways if way.heat != WARM),
        lambda way: (way.bread, way.form, way.ready, way.oven, way.wish),
        lambda way: (way.cost, -way.take_day),
    )
    runs, ways = {*begun, *kept_runs}, set(kept_ways)
    return [run for run in all_runs if run in runs], [way for way in all_ways if way in ways]


def _least(
    items: Iterable[Item], kind: Callable[[Item], tuple[object, ...]], effort: Callable[[Item], tuple[int, int]]
) -> list[Item]:
    """Return the first item of least effort of each kind."""
    best: dict[tuple[object, ...], Item] = {}
    for item in items:
        key = kind(item)
        if key not in best or effort(item) < effort(best[key]):
            best[key] = item
    return list(best.values())


def hold_far(choices: Choices, asked: Asked, near: frozenset[int]) -> None:
    """Hold what was asked on all days but those near by."""
    days = {day + shift for day in near for shift in (-1, 0, 1)}
    kept = {task.run for task in asked.bakes} | {task.way for task in asked.ways}
    for index, run in enumerate(choices.runs):
        if run.day not in days:
            choices.model.bounds[choices.run[index]] = (int(run in kept),) * 2
    for index, way in enumerate(choices.ways):
        if way.take_day not in days:
            choices.model.bounds[choices.way[index]] = (int(way in kept),) * 2


def hold_nothing(choices: Choices) -> None:
    """Hold all bakes but those under way, and all finishes, at none."""
    for index, run in enumerate(choices.runs):
        if run.under_way is None:
            choices.model.bounds[choices.run[index]] = (0, 0)
    for variable in choices.way:
        choices.model.bounds[variable] = (0, 0)


def as_asked(choices: Choices, asked: Asked) -> dict[int, int]:
    """Return the values that a choice of days gives to runs, ways, pieces and units."""
    values: dict[int, int] = {}
    bakes = {task.run: task for task in asked.bakes}
    ways = {task.way: task for task in asked.ways}
    for index, run in enumerate(choices.runs):
        values[choices.run[index]] = int(run in bakes)
    for (index, id_), variable in choices.pieces.items():
        bake = bakes.get(choices.runs[index])
        values[variable] = 0 if bake is None else sum(count for of, count in bake.pieces if of == id_)
    for index, way in enumerate(choices.ways):
        values[choices.way[index]] = int(way in ways)
        values[choices.units[index]] = ways[way].units if way in ways else 0
    return values
