"""Portions that the freezer holds less at each local midnight than are kept for bad days.

The stock's worth at the end says nothing of the days before it. This does: a loaf that is gone is made up for by a
larger bake, or an earlier one, among those that are planned anyway. Each night costs a little, so that it is soon; the
lowest of each seven costs more, so that bread lost or wanted before the next bake finds some there, and a week in which
there was none is no reason to have none in the next.
"""

from __future__ import annotations

from collections import Counter

from rotation import facts
from rotation.choices import Choices, forms
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "reserve"

NIGHTS = 7
"""So many nights have one lowest; the last of a plan those too that are left over."""


def days(c: Choices, _: Grid) -> None:
    """Price what is missing at the end of each day, and at the lowest, of all that may stand in for each other."""
    for number, kept in enumerate(c.problem.reserve):
        held = [(bread, form) for bread, form in forms(c.problem) if (bread, form.id) in kept.forms]
        lowest = dict[int, int]()
        for day in range(c.problem.days):
            since = _since(c.problem, day)
            if since == day:
                lowest[day] = c.model.flow(0, kept.portions, f"reserve {number} missing at most from {day}")
                c.model.cost(NAME, [(kept.lowest, lowest[day])])
            c.lowest[number, day] = lowest[since]
            missing = c.model.flow(0, kept.portions, f"reserve {number} missing {day}")
            c.missing.append((day, missing))
            there = [(form.portions_per_unit, c.stock[bread, form.id, day]) for bread, form in held]
            c.model.row(kept.portions, [(1, missing), *there], None)
            c.model.row(kept.portions, [(1, lowest[since]), *there], None)
            c.model.cost(NAME, [(kept.milli, missing)])


def score(problem: Problem, plan: Plan) -> int:
    """Return what is missing of the reserve costs in a plan."""
    if not problem.reserve:
        return 0
    lots, moves = facts.batches(problem, plan), facts.moves(problem, plan)
    missing: list[list[int]] = [[] for _ in problem.reserve]
    for midnight in problem.midnights[1:]:
        there = Counter[tuple[str, str]]()
        for lot, units in facts.held(moves, midnight).items():
            there[lots[lot].bread, lots[lot].form] += facts.portions_of(problem, lots[lot], units)
        for short, kept in zip(missing, problem.reserve, strict=True):
            short.append(max(0, kept.portions - sum(there[form] for form in kept.forms)))
    total = 0
    for kept, short in zip(problem.reserve, missing, strict=True):
        weeks: dict[int, list[int]] = {}
        for day, portions in enumerate(short):
            weeks.setdefault(_since(problem, day), []).append(portions)
        total += kept.milli * sum(short) + kept.lowest * sum(map(max, weeks.values()))
    return total


def _since(problem: Problem, day: int) -> int:
    """Return the first day of the seven, or more, that a day is one of."""
    return min(day // NIGHTS, max(problem.days // NIGHTS - 1, 0)) * NIGHTS
