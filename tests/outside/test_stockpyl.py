"""Random single-item lot sizing, against the Wagner-Whitin recursion of the reference library `stockpyl` (PyPI)."""

from __future__ import annotations

import random

import pytest
from stockpyl.wagner_whitin import wagner_whitin

from rotation.rules.checked import broken
from rotation.solve import Limits, solve
from tests.outside.lot_sizing import Item, Prices, as_bread, made

PROOF = Limits(days=60, minutes=20, rounds=20)
SCALE = 1000


def check(seed: int) -> None:
    """Hold the cost and quantities of a seed against the library's. A minute a piece, so all fit two hours."""
    rng = random.Random(seed)
    periods = rng.randint(3, 10)
    demand = [rng.choice((0, rng.randint(1, 11))) for _ in range(periods)]
    demand[0] = demand[0] or 1
    setups = [rng.randint(5, 60) for _ in range(periods)]
    holding, prices = rng.randint(1, 5), [rng.randint(1, 4) for _ in range(periods)]
    theirs, cost = wagner_whitin(periods, holding, setups, demand, prices)[:2]
    item = Item(demand, tuple(range(1, sum(demand) + 1)), [SCALE * price for price in setups], (0, 1))
    problem = as_bread([item], Prices([SCALE * price for price in prices], SCALE * holding))
    plan = solve(problem, PROOF)
    assert broken(problem, plan) == ()
    assert plan.status == "optimal"
    assert plan.total == round(SCALE * cost)
    ours = made(problem, plan)
    assert sum(ours) == sum(theirs[1:]) == sum(demand)


@pytest.mark.parametrize("seed", range(5))
def test_costs_what_the_library_says(seed: int) -> None:
    check(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(5, 100))
def test_costs_what_the_library_says_at_length(seed: int) -> None:
    check(seed)
