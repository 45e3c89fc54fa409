"""Random perishables under capacities: every lot has a short life, a bake a largest size, the freezer little room.

And it takes only so much in a day. Held against SciPy's `milp` (HiGHS) on the formulation of test_small_lots.py, which
follows each unit to its end. Seeds are fixed; a failure says its seed.
"""

from __future__ import annotations

import random

import pytest

from rotation.rules.checked import broken
from rotation.solve import solve
from tests.outside.lot_sizing import Item, Prices
from tests.outside.test_small_lots import PROOF, Lots, as_problem, least

OPEN: frozenset[int] = frozenset()
"""Not proven: the freezer is fullest within a day, and the days see it only at midnight."""


def perishables(seed: int) -> Lots:
    """Return a random problem in which every capacity may bind: demand is near what bakes and freezer give."""
    rng = random.Random(1000 + seed)
    days, count = rng.randint(4, 7), rng.choice((1, 1, 2))
    hands = [rng.randint(5, 25) * 100 for _ in range(days)]
    items = tuple(_item(rng, days) for _ in range(count))
    prices = Prices(hands, rng.choice((0, 50, 150)), rng.choice((1500, 4000, 9000)), rng.choice((200, 1000)))
    shared = tuple(rng.randint(0, 3) for _ in range(days)) if count == 2 else ()
    strict = frozenset(day for day in range(days) if rng.random() < 0.1)
    return Lots(items, prices, shared, strict, rng.choice((3, 4, 6)), None, rng.choice((2, 3, 5)))


def _item(rng: random.Random, days: int) -> Item:
    """Return an item that lives one to three days, made in batches up to about what two days want."""
    demand = [rng.choice((0, rng.randint(2, 6), rng.randint(2, 6))) for _ in range(days)]
    most = rng.randint(3, 8)
    fixed = [rng.randint(5, 60) * 100 for _ in range(days)]
    return Item(demand, tuple(range(1, most + 1)), fixed, rng.choice(((1, 0), (2, 0), (1, 1))), rng.randint(1, 3))


def check(seed: int) -> bool:
    """Hold the planner's optimum of a seed against the other one; return whether it was proven."""
    of = perishables(seed)
    problem = as_problem(of)
    plan = solve(problem, PROOF)
    assert broken(problem, plan) == ()
    strict, cost = least(of)
    tiers = {tier.name: tier for tier in plan.tiers}
    bound = tiers["cost"].bound
    assert bound is not None
    assert tiers["strict portions short"].value >= strict
    if tiers["strict portions short"].value == strict:
        assert bound <= cost <= plan.total
    if seed not in OPEN:
        assert (tiers["strict portions short"].value, plan.total) == (strict, cost)
        assert plan.status == "optimal"
    return plan.status == "optimal"


def test_capacities_bind() -> None:
    """Without its capacities many a problem of the first ten is cheaper: they are no decoration."""
    free = 10**6
    cheaper = 0
    for seed in range(10):
        of = perishables(seed)
        loose = Lots(of.items, of.prices, of.shared, of.strict, free, None, free)
        cheaper += least(loose) < least(of)
    assert cheaper >= 4


@pytest.mark.parametrize("seed", range(10))
def test_perishables_as_cheap_as_milp_says(seed: int) -> None:
    check(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10, 70))
def test_perishables_as_cheap_as_milp_says_at_length(seed: int) -> None:
    check(seed)
