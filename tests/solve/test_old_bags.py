"""Bags past their day for toast: kept at their price, thrown away at theirs, and never a reason that nothing fits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.costs import scores
from rotation.problem import Lot, Problem
from rotation.rules.checked import broken
from rotation.solve import limits, solve
from tests.solve.homes import home


def with_bags(units: tuple[int, ...], past: tuple[int, ...], through: int, price: int) -> Problem:
    """Return a home of one bread that nobody eats, with bags that are past their day at these minutes."""
    of = home(1, 2)
    bread = of.breads[0]
    bags = tuple(
        Lot(f"bag {n}", "ABC"[n], bread.id, bread.forms[0].id, many, -9000 + n, through, late - 10, late, None)
        for n, (many, late) in enumerate(zip(units, past, strict=True))
    )
    weights = replace(of.weights, unit_past_date=price)
    return replace(of, lots=bags, box=(), meals=(), weights=weights)


@pytest.mark.parametrize("through", [-100, 1500])
@pytest.mark.parametrize(
    ("units", "past"), [((1, 1), (300, 300)), ((1, 2, 1), (300, 300, 2000)), ((2, 1), (300, 2000))]
)
@pytest.mark.parametrize("price", [1, 10**6])
def test_old_bags_are_kept_or_thrown_away_whichever_costs_less(
    units: tuple[int, ...], past: tuple[int, ...], through: int, price: int
) -> None:
    """A bag not yet frozen through can be neither eaten nor thrown away: two of them stay, at their price."""
    problem = with_bags(units, past, through, price)
    plan = solve(problem, limits("quick"))
    assert broken(problem, plan) == ()
    assert plan.status == "optimal"
    assert sum(cost for _, cost in scores(problem, plan)) == plan.total
    thrown = sum(one.units for one in plan.discards)
    assert (thrown > 0) == (price > 1 and (through < 0 or max(past) > 1440)), plan.discards
