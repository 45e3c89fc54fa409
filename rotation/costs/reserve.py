"""Portions that the freezer holds less at each local midnight than are kept for bad days.

The stock's worth at the end says nothing of the days before it. This does: a loaf that is gone is made up for by a
larger bake, or an earlier one, among those that are planned anyway. Each night costs a little, so that it is soon; the
lowest of each seven costs more, so that bread lost or wanted before the next bake finds some there, and a week in which
there was none is no reason to have none in the next. What an everyday meal goes without of such bread, or is bought,
counts as eaten from then on: nobody goes hungry, and no loaf is bought, so that the freezer stays full.
"""

from __future__ import annotations

from collections import Counter

from rotation import facts
from rotation.choices import Choices, forms
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import BOUGHT, Kept, Meal, Problem

NAME = "reserve"

NIGHTS = 7
"""So many nights have one lowest; the last of a plan those too that are left over."""


def days(c: Choices, _: Grid) -> None:
    """Price what is missing at the end of each day, and at the lowest, of all that may stand in for each other."""
    for number, kept in enumerate(c.problem.reserve):
        held = [(bread, form) for bread, form in forms(c.problem) if (bread, form.id) in kept.forms]
        lowest, eaters, without = dict[int, int](), eaters_of(c.problem, kept), list[int]()
        bought = [(meal, variable) for (_, meal), variable in c.bought.items()]
        most = kept.portions + sum(meal.portions for meal in eaters)
        for day in range(c.problem.days):
            of_day = {meal.id for meal in eaters if c.problem.day_of(meal.at) == day}
            if of_day:
                gone = [v for meal, v in [*c.short.items(), *bought] if meal in of_day] + without
                without = [c.model.flow(0, most, f"reserve {number} gone without by {day}")]
                c.model.row(0, [(1, without[0]), *((-1, each) for each in gone)], None)
            since = _since(c.problem, day)
            if since == day:
                lowest[day] = c.model.flow(0, most, f"reserve {number} missing at most from {day}")
                c.model.cost(NAME, [(kept.lowest, lowest[day])])
            c.lowest[number, day] = lowest[since]
            missing = c.model.flow(0, most, f"reserve {number} missing {day}")
            c.missing.append((day, missing))
            there = [(form.portions_per_unit, c.stock[bread, form.id, day]) for bread, form in held]
            there += [(-1, each) for each in without]
            c.model.row(kept.portions, [(1, missing), *there], None)
            c.model.row(kept.portions, [(1, lowest[since]), *there], None)
            c.model.cost(NAME, [(kept.milli, missing)])


def score(problem: Problem, plan: Plan) -> int:
    """Return what is missing of the reserve costs in a plan."""
    if not problem.reserve:
        return 0
    lots, moves = facts.batches(problem, plan), facts.moves(problem, plan)
    missing: list[list[int]] = [[] for _ in problem.reserve]
    served, sources = Counter[str](), facts.sources(problem, plan)
    for serving in plan.servings:
        served[serving.meal] += serving.portions if sources[serving.source].kind != BOUGHT else 0
    eaters = [eaters_of(problem, kept) for kept in problem.reserve]
    for midnight in problem.midnights[1:]:
        there = Counter[tuple[str, str]]()
        for lot, units in facts.held(moves, midnight - 1).items():
            there[lots[lot].bread, lots[lot].form] += facts.portions_of(problem, lots[lot], units)
        for short, kept, meals in zip(missing, problem.reserve, eaters, strict=True):
            without = sum(meal.portions - served[meal.id] for meal in meals if meal.at < midnight)
            short.append(max(0, kept.portions + without - sum(there[form] for form in kept.forms)))
    total = 0
    for kept, short in zip(problem.reserve, missing, strict=True):
        weeks: dict[int, list[int]] = {}
        for day, portions in enumerate(short):
            weeks.setdefault(_since(problem, day), []).append(portions)
        total += kept.milli * sum(short) + kept.lowest * sum(map(max, weeks.values()))
    return total


def eaters_of(problem: Problem, kept: Kept) -> list[Meal]:
    """Return the everyday meals that can be given some of what is kept."""
    gives = {(bread, route.gives) for bread, form in kept.forms for route in problem.bread(bread).routes
             if route.form == form}  # fmt: skip
    return [
        meal for meal in problem.meals
        if not meal.strict and any((a.bread, kind) in gives for a in meal.accepts for kind in a.kinds)
    ]  # fmt: skip


def _since(problem: Problem, day: int) -> int:
    """Return the first day of the seven, or more, that a day is one of."""
    return min(day // NIGHTS, max(problem.days // NIGHTS - 1, 0)) * NIGHTS
