"""Rows of lot sizing: they hold for every plan, whatever window and size, and raise the bound of the relaxation."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from rotation.problem import Kept, Problem
from rotation.solve import limits, lots
from rotation.solve.lots import Lots, factor
from rotation.solve.planner import Planner
from rotation.solve.relaxation import Relaxation
from tests.solve.homes import any_home, home


def with_reserve(problem: Problem) -> Problem:
    """Return a home that keeps some portions of all its breads, and some of its first bread."""
    forms = tuple((bread.id, form.id) for bread in problem.breads for form in bread.forms)
    first = tuple(form for form in forms if form[0] == problem.breads[0].id)
    return replace(problem, reserve=(Kept(forms, 11, 50, 1500), Kept(first, 5, 50, 1500)))


HOMES = {
    "a week": lambda: home(4, 2, tail=2),
    "a reserve": lambda: with_reserve(home(4, 3, tail=2, seed=5)),
    "any": lambda: with_reserve(any_home(3)),
    "another": lambda: with_reserve(any_home(11)),
    "bought": lambda: home(4, 1, tail=2, seed=2),
}


def test_the_factor_of_a_row_holds_for_all_whole_numbers() -> None:
    """Listed: where what there is does, so does the rounded row, however the rest is split."""
    tight = 0
    for need, size, other in itertools.product(range(1, 30), (4, 9, 14), (3, 9, 20)):
        times = -(-need // size)
        part = need - size * (times - 1)
        for some, more in itertools.product(range(5), range(4)):
            rest = max(0, need - size * some - other * more)
            given = (
                rest + int(factor(np.array(part), size, size)) * some + int(factor(np.array(part), other, size)) * more
            )
            assert given >= part * times
            tight += given == part * times
    assert tight > 500


@pytest.mark.parametrize("which", list(HOMES))
def test_every_row_holds_for_the_plan_of_a_home(which: str) -> None:
    """All windows and sizes, not only those that the relaxation breaks."""
    problem = HOMES[which]()
    planner = Planner(problem, limits("quick"), lambda _: None)
    planner.solve()
    assert planner.best.asked is not None
    values = np.array(planner.best.asked.values, dtype=float)
    choices = planner.days.held(traced=True)[0]
    rows = list(every(Lots(choices)))
    assert len(rows) > 10
    for row in rows:
        assert row.low is not None
        assert sum(times * values[variable] for times, variable in row.terms) >= row.low - 1e-6
    assert not Lots(choices).broken_by(values)


def every(found: Lots) -> Iterator[lots.Row]:
    """Yield the rows of all windows and sizes of all groups."""
    for group in found.groups:
        for k, d in itertools.combinations_with_replacement(range(found.days), 2):
            need = int(group.wanted[k : d + 1].sum()) + group.reserve - (group.start if k == 0 else 0)
            for size in group.made:
                if need > 0:
                    times = -(-need // size)
                    yield lots._row(group, k, d, need - size * (times - 1), times, size)


def test_the_relaxation_breaks_some_and_its_bound_rises() -> None:
    problem = with_reserve(home(10, 3, seed=3, tail=2, lots=4, loaves_a_week=1, guests=False))
    choices = Planner(problem, limits("quick"), lambda _: None).days.held(traced=True)[0]
    goal = [(milli, variable) for terms in choices.model.costs.values() for milli, variable in terms]
    relaxation, found = Relaxation(choices.model, goal), Lots(choices)
    before = relaxation.solve(math.inf)
    values = relaxation.values()
    rows = found.broken_by(values)
    assert rows
    for row in rows:
        assert row.low is not None
        assert sum(times * values[variable] for times, variable in row.terms) < row.low
    choices.model.rows += rows
    relaxation.grow()
    assert relaxation.solve(math.inf) > before * 1.01
