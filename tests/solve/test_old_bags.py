"""Bags past their day for toast: kept at their price, thrown away at theirs, and never a reason that nothing fits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.costs import scores
from rotation.problem import TOAST, Accept, Lot, Meal, Problem, Route
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
    ("units", "past"),
    [
        *[((1, 1), (300, 300)), ((1, 2, 1), (300, 300, 2000)), ((2, 1), (300, 2000))],
        *[((2,), (0,)), ((2,), (1440,)), ((1, 1), (1440, 2880)), ((1, 2), (0, 1440))],
    ],
)
@pytest.mark.parametrize("price", [1, 10**6])
def test_old_bags_are_kept_or_thrown_away_whichever_costs_less(
    units: tuple[int, ...], past: tuple[int, ...], through: int, price: int
) -> None:
    """A bag not yet frozen through can be neither eaten nor thrown away: two of them stay, at their price.

    A date is the midnight that ends its day: that of the plan's first minute is past before it, and costs nothing more.
    """
    problem = with_bags(units, past, through, price)
    plan = solve(problem, limits("quick"))
    assert broken(problem, plan) == ()
    assert plan.status == "optimal"
    assert sum(cost for _, cost in scores(problem, plan)) == plan.total
    thrown = sum(one.units for one in plan.discards)
    could = any(late > 0 and (through < 0 or late > 1440) for late in past)
    assert (thrown > 0) == (price > 1 and could), plan.discards
    kept = replace(plan, discards=())
    assert plan.total <= sum(cost for _, cost in scores(problem, kept))


@pytest.mark.parametrize(("wanted", "gone", "wasted"), [(4, 2, 0), (3, 2, 1), (2, 1, 0), (1, 1, 1)])
def test_of_bread_in_units_of_two_portions_whole_ones_are_toasted(wanted: int, gone: int, wasted: int) -> None:
    """Flat bread: each of two meals takes whole ones, and what is over of them is thrown away."""
    of = home(2, 3, 1, tail=1, lots=0, guests=False)
    flat = replace(of.breads[2], processes=(), worth=())
    flat = replace(flat, routes=(Route("toast", flat.forms[0].id, TOAST),))
    accept = Accept(flat.id, frozenset({TOAST}), 0)
    meals = tuple(
        Meal(id_, "", "supper", at, 4, wanted, False, (accept,), frozenset(), 0)
        for id_, at in (("m", 1110), ("n", 1440 + 1110))
    )
    bag = Lot("bag", "A", flat.id, flat.forms[0].id, 4, -9000, -8000, 9 * 1440, 90 * 1440)
    weights = replace(of.weights, wasted_portion=700, unmet_portion=10**5)
    shop = replace(of.shop, closes=())
    problem = replace(of, breads=(flat,), meals=meals, lots=(bag,), box=(), weights=weights, shop=shop)
    plan = solve(problem, limits("quick"))
    assert flat.forms[0].portions_per_unit == 2
    assert (plan.status, broken(problem, plan)) == ("optimal", ())
    assert [out.units for out in plan.take_outs] == [gone, gone]
    assert sum(one.portions for one in plan.servings) == 2 * wanted
    costs = dict(plan.terms)
    assert (costs["wasted"], costs["unmet"]) == (2 * wasted * 700, 0)
    assert plan.total == plan.tiers[-1].bound == sum(costs.values())
