"""Rows that follow from rounding: they cut off no whole number, and they say more than the relaxation does."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from rotation.model import Model, Term
from rotation.solve.answer import holds
from rotation.solve.goals import cost
from rotation.solve.highs import Highs
from rotation.solve.relaxation import Relaxation
from rotation.solve.rounding import cut_off, strengthen


def any_model(seed: int) -> Model:
    """Return a small model: bounded whole numbers, rows of all kinds, some of whose factors are large."""
    chance, model = random.Random(seed), Model()
    for number in range(5):
        low = chance.choice((0, 0, 1))
        model.integer(low, low + chance.randint(1, 3), f"x{number}")
    for _ in range(4):
        factors = [chance.choice((0, 1, 2, 3, 7, 12, 14, 16, -14, 5000)) for _ in range(5)]
        point = [chance.randint(*bounds) for bounds in model.bounds]
        at = sum(factor * value for factor, value in zip(factors, point, strict=True))
        low, high = chance.choice(((at, None), (at, None), (None, at), (at - 1, at + 3), (at, at)))
        model.row(low, [(factor, number) for number, factor in enumerate(factors)], high)
    model.cost("cost", [(chance.randint(-2, 20), number) for number in range(5)])
    return model


def points(model: Model) -> set[tuple[int, ...]]:
    """Return all whole numbers that keep every row, by listing."""
    spans = [range(low, high + 1) for low, high in model.bounds]
    return {point for point in itertools.product(*spans) if holds(model, point)}


def test_no_whole_number_is_cut_off_and_the_bound_comes_nearer() -> None:
    """Every point of 150 small models is listed before and after."""
    cuts, nearer = 0, 0
    for seed in range(150):
        model = any_model(seed)
        before, rows, goal = points(model), len(model.rows), cost(model)
        bound = Relaxation(model, goal).solve(math.inf)
        found = strengthen(model, goal)
        assert points(model) == before, seed
        assert found is not None or bound == math.inf, seed
        cuts += len(model.rows) - rows
        after = Relaxation(model, goal).solve(math.inf)
        assert after >= bound - 1e-6, seed
        nearer += bound + 1e-3 < after < math.inf
    assert cuts > 50
    assert nearer > 20


def test_each_cut_is_broken_by_the_values_it_was_made_for() -> None:
    made = 0
    for seed in range(100):
        model = any_model(seed)
        relaxation = Relaxation(model, cost(model))
        if relaxation.solve(math.inf) == math.inf:
            continue
        values = relaxation.values()
        for row in cut_off(relaxation):
            assert row.high is not None
            assert sum(factor * values[variable] for factor, variable in row.terms) > row.high
            made += 1
    assert made > 20


@pytest.mark.parametrize("seed", range(8))
def test_the_optimum_stays_the_least_of_all_points(seed: int) -> None:
    model = any_model(seed)
    goal: list[Term] = cost(model)
    listed = [sum(factor * point[variable] for factor, variable in goal) for point in points(model)]
    strengthen(model, goal)
    answer = Highs()(model, goal, work=5, gap=0)
    found = None if answer.values is None else sum(factor * answer.values[variable] for factor, variable in goal)
    assert found == min(listed, default=None)


def test_costs_that_change_while_a_relaxation_lives_are_taken_over() -> None:
    """Charges that come to share a day are one charge: what the others cost is taken off again."""
    model = Model()
    first, second = model.flow(0, 10, "first"), model.flow(0, 10, "second")
    model.row(3, [(1, first)], None)
    model.row(4, [(1, second)], None)
    model.cost("hands", [(1, first), (1, second)])
    living = Relaxation(model, cost(model))
    assert living.solve(math.inf) == 7
    both = model.flow(0, 10, "both")
    model.cost("hands", [(1, both), (-1, first), (-1, second)])
    for one in (first, second):
        model.row(0, [(1, both), (-1, one)], None)
    living.grow()
    assert living.solve(math.inf) == Relaxation(model, cost(model)).solve(math.inf) == 4


def test_a_relaxation_begun_where_another_stood_says_the_same() -> None:
    for seed in range(30):
        model = any_model(seed)
        goal = cost(model)
        whole = Relaxation(model, goal)
        value = whole.solve(math.inf)
        if value < math.inf:
            assert Relaxation(model, goal, None, whole.warm()).solve(math.inf) == pytest.approx(value)
            box = (whole.lower.copy(), whole.upper.copy())
            box[1][0] = box[0][0]
            cold = Relaxation(model, goal, box).solve(math.inf)
            assert Relaxation(model, goal, box, whole.warm()).solve(math.inf) == pytest.approx(cold)
