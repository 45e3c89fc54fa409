"""Rows of lot sizing: what some days eat, and hold back for bad days, takes whole bakes and whole bought loaves.

Of breads that stand in for each other, over the days `k` to `d`, all that is there before or comes in covers what their
meals want and the reserve after them:

    there + sum(gives * chosen) + missing >= wanted

with `chosen` whole and all else not below zero. Divided by a size and rounded, a tenth of a bake no longer does for a
tenth of what one gives: mixed-integer rounding (H. Marchand, L. A. Wolsey, Operations Research 49, 2001; from memory).
There are many such rows; only those that values break are written out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from rotation.choices import Choices
from rotation.costs.reserve import eaters_of
from rotation.grid import Ints
from rotation.model import Row, Term
from rotation.moments import Node
from rotation.problem import TABLE, Problem
from rotation.solve.rows import Floats

MOST = 5
"""Up to how many bakes of one size a row is worth it: of more, a part of one decides little."""

DEEP = 0.02
"""By what share of a bake's part values must break a row."""


@dataclass
class _Part:
    """Variables that count for days from `first` to `last`: in a window that both reach into."""

    variables: list[int] = field(default_factory=list)
    first: list[int] = field(default_factory=list)
    last: list[int] = field(default_factory=list)

    def add(self, variable: int, first: int, last: int) -> None:
        """Add one."""
        self.variables.append(variable)
        self.first.append(first)
        self.last.append(last)

    def sums(self, values: Floats, days: int) -> Floats:
        """Return what they come to in each window (k, d), and nonsense where d lies before k."""
        if not self.variables:
            return np.zeros((days, days))
        amounts = values[self.variables]
        begun = np.cumsum(np.bincount(np.clip(self.first, 0, days), amounts, days + 1)[:days])
        over = np.cumsum(np.bincount(np.clip(self.last, -1, days - 1) + 1, amounts, days + 1))[:days]
        return np.asarray(begun[None, :] - over[:, None])

    def within(self, k: int, d: int) -> list[int]:
        """Return the variables of one window."""
        days = zip(self.variables, self.first, self.last, strict=True)
        return [variable for variable, first, last in days if first <= d and last >= k]


@dataclass
class _Group:
    """Some breads. wanted: portions by day; start: what there is at first; stock: after each day.

    made: what comes in by the portions each gives; left: what meals go short of.
    What a meal lacks, or is bought, that counts as eaten where the reserve is counted makes up for nothing.
    """

    wanted: Ints
    reserve: int
    start: int
    made: dict[int, _Part]
    left: _Part
    stock: list[list[Term]]
    air: list[tuple[int, int, int]]
    """A variable of what is eaten, the first day it may be there, the day of its meal."""
    always: list[list[int]]
    """Variables of the reserve that is missing at the lowest, by the day of the night."""


class Lots:
    """The rows of one choice of days."""

    def __init__(self, choices: Choices) -> None:
        self.days = choices.problem.days
        self.groups = [_group(choices, breads) for breads in _sets(choices.problem)]

    def broken_by(self, values: Floats) -> list[Row]:
        """Return rows that values break, for each first day and size the one that is broken most."""
        return [row for group in self.groups for row in self._of(group, values)]

    def _of(self, group: _Group, values: Floats) -> Iterator[Row]:
        days = self.days
        need = np.cumsum(group.wanted)[None, :] - np.concatenate([[0], np.cumsum(group.wanted)[:-1]])[:, None]
        need = need + group.reserve
        need[0] -= group.start
        need[np.tril_indices(days, -1)] = 0
        come = {gives: part.sums(values, days) for gives, part in group.made.items()}
        rest = group.left.sums(values, days) + np.array([values[of].sum() for of in group.always])
        rest += np.array([sum(units * values[v] for units, v in terms) for terms in group.stock])[:, None]
        rest += _air(group, values, days)
        for size in group.made:
            times = -(-need // size)
            part = need - size * (times - 1)
            total = rest.copy()
            for gives, sums in come.items():
                total += factor(part, gives, size) * sums
            short = np.where((need > 0) & (times <= MOST), times - total / part, 0.0)
            for k, d in enumerate(short.argmax(axis=1).tolist()):
                if short[k, d] > DEEP:
                    yield _row(group, k, d, int(part[k, d]), int(times[k, d]), size)


def factor(part: Ints, gives: int, size: int) -> Ints:
    """Return what one that gives some portions counts in a rounded row.

    Where `rest + sum(gives * chosen) >= size * (times - 1) + part` and `0 < part <= size`, then
    `rest + sum(factor * chosen) >= part * times`.
    """
    return part * (gives // size) + np.minimum(part, gives % size)


def _row(group: _Group, k: int, d: int, part: int, times: int, size: int) -> Row:
    terms = group.stock[k] + [(1, variable) for variable in [*group.always[d], *group.left.within(k, d)]]
    terms += [(1, variable) for variable, first, meal in group.air if first < k <= meal <= d]
    for gives, made in group.made.items():
        each = int(factor(np.array(part), gives, size))
        terms += [(each, variable) for variable in made.within(k, d)]
    total: dict[int, int] = defaultdict(int)
    for coefficient, variable in terms:
        total[variable] += coefficient
    return Row(part * times, tuple((coefficient, variable) for variable, coefficient in sorted(total.items())), None)


def _air(group: _Group, values: Floats, days: int) -> Floats:
    """Return what is eaten in each window of what is there already on its first day, and not in the freezer."""
    total = np.zeros((days, days))
    for variable, first, meal in group.air:
        if values[variable] > 0:
            total[max(first + 1, 0) : meal + 1, meal:] += values[variable]
    return total


def _sets(problem: Problem) -> list[tuple[str, ...]]:
    """Return sets of breads that a reserve, or a meal, is of, and all of them."""
    found = [{bread for bread, _ in kept.forms} for kept in problem.reserve]
    found += [{accept.bread for accept in meal.accepts} for meal in problem.meals]
    found.append({bread.id for bread in problem.breads})
    return list(dict.fromkeys(tuple(sorted(some)) for some in found if some))


def _group(c: Choices, breads: tuple[str, ...]) -> _Group:
    problem, some = c.problem, set(breads)
    day = {meal.id: problem.day_of(meal.at) for meal in problem.meals}
    meals = [meal for meal in problem.meals if meal.accepts and {accept.bread for accept in meal.accepts} <= some]
    wanted = np.zeros(problem.days, dtype=np.int64)
    left, made, reserve, held = _Part(), defaultdict[int, _Part](_Part), 0, set[tuple[str, str]]()
    always: list[list[int]] = [[] for _ in range(problem.days)]
    goes_without = set[str]()
    for number, kept in enumerate(problem.reserve if c.lowest else ()):  # none where nothing is priced
        if {bread for bread, _ in kept.forms} <= some and not held & set(kept.forms):
            reserve += kept.portions
            held |= set(kept.forms)
            goes_without |= {meal.id for meal in eaters_of(problem, kept)}
            for night, lowest in enumerate(always):
                lowest.append(c.lowest[number, night])
    for meal in meals:
        wanted[day[meal.id]] += meal.portions
        if meal.id not in goes_without:  # else it is missing of the reserve as well
            left.add(c.short[meal.id], day[meal.id], day[meal.id])
    _bakes(c, some, made)
    eaters = {meal.id for meal in meals}
    served = defaultdict[int, list[int]](list)
    for closing, eater in c.bought:
        if eater in eaters - goes_without:
            served[closing].append(day[eater])
    for closing, of in served.items():
        made[problem.shop.portions].add(c.loaves[closing], min(of), max(of))
    forms = [(bread, form) for bread in breads for form in problem.bread(bread).forms]
    stock = [
        [(form.portions_per_unit, c.stock[bread, form.id, k - 1]) for bread, form in forms] if k else []
        for k in range(problem.days)
    ]
    first = _first_days(c)
    air = [
        (variable, first[node], day[meal])
        for (node, meal), variable in c.eaten.items()
        if node[0] in some and meal in eaters
    ]
    air += [(variable, 0, day[meal]) for (_, meal), variable in c.boxed.items() if meal in eaters]
    start = sum(item.portions for item in problem.box if item.bread in some)
    for lot in problem.lots:
        if lot.bread in some:
            start += lot.units * problem.bread(lot.bread).form(lot.form).portions_per_unit
    return _Group(wanted, reserve, start, dict(made), left, stock, air, always)


def _bakes(c: Choices, some: set[str], made: dict[int, _Part]) -> None:
    """Add the bakes of some breads: from the day the first piece may be there to the day the last one goes in."""
    each: dict[int, int] = defaultdict(int)
    for (index, id_), _ in c.pieces.items():
        bread = c.problem.bread(c.runs[index].bread)
        form = None if id_ == TABLE else bread.form(id_)
        portions = bread.portions if form is None else form.units_per_piece * form.portions_per_unit
        each[index] = max(each[index], portions)
    for index, run in enumerate(c.runs):
        if run.bread in some and each[index]:
            days = [] if run.put_day is None else [run.put_day]
            if run.ready is not None:
                days.append(c.problem.day_of(c.moments.span(run.bread, run.ready)[0]))
            made[run.most * each[index]].add(c.run[index], min(days), max(days))


def _first_days(c: Choices) -> dict[Node, int]:
    """Return the first day on which there may be bread of each node that is not in the freezer."""
    first: dict[Node, int] = {}
    for way in c.ways:
        node = (way.bread, way.route, way.ready)
        first[node] = min(first.get(node, way.take_day), way.take_day)
    for run in c.runs:
        if run.ready is not None:
            first[run.bread, "", run.ready] = c.problem.day_of(c.moments.span(run.bread, run.ready)[0])
    return first
