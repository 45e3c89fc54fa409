"""Dates are whole days from the day a bag is put in: for the days, the check and the printout."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from itertools import product
from zoneinfo import ZoneInfo

import pytest

from rotation.intake.time import Clock
from rotation.problem import TOAST, Accept, Meal, Problem
from rotation.rules.checked import broken
from rotation.solve import limits, solve
from tests.solve.homes import DAY, home

BERLIN = ZoneInfo("Europe/Berlin")
CHANGES = {
    "none": datetime(2027, 3, 1, tzinfo=BERLIN),
    "autumn": datetime(2027, 10, 26, tzinfo=BERLIN),
    "spring": datetime(2027, 3, 23, tzinfo=BERLIN),
}


def calendar(zero: datetime) -> Problem:
    """Return a home in Berlin of twelve days from a local midnight."""
    return replace(home(8), zero=zero.astimezone(UTC), zone=BERLIN, midnights=Clock.of(zero, BERLIN, 12).midnights)


@pytest.mark.parametrize("change", list(CHANGES))
def test_a_date_is_the_same_day_of_the_calendar_whatever_the_hour_and_the_clocks_do(change: str) -> None:
    problem = calendar(CHANGES[change])
    for day, hour, minutes in product(range(5), (0, 8, 23), (0, 3 * DAY, 7 * DAY - 1, 7 * DAY, 84 * DAY)):
        put_in = problem.midnights[day] + 60 * hour
        ends, after = problem.date_end(put_in, minutes), day + minutes // DAY + 1
        if after <= problem.days:
            assert ends == problem.midnights[after]
        midnight = problem.instant(ends)
        assert (midnight.date(), midnight.hour, midnight.minute) == (problem.date_of(after), 0, 0)


def perishing(strict: int) -> Problem:
    """Return a home with hands on the first day only and one meal on the fourth, of slices with a strict date."""
    of = home(5, 2, 2, tail=1, lots=0, guests=False)
    tin = of.breads[1]
    tin = replace(tin, forms=(replace(tin.forms[0], strict=strict),), worth=())
    toast = Accept("tin", frozenset({TOAST}), DAY)
    meal = Meal("m", "", "supper", 3 * DAY + 1000, 4, 8, False, (toast,), frozenset(), 0)
    people = tuple(
        replace(one, inside=((0, of.end),), free=((900, 1430),), quick=(), price=((0, 1000),)) for one in of.people
    )
    return replace(
        of,
        breads=(tin,),
        meals=(meal,),
        people=people,
        ovens=(replace(of.ovens[0], closed=(), bookings=()),),
        shop=replace(of.shop, closes=()),
        weights=replace(of.weights, unmet_portion=60000, wasted_portion=0),
    )


@pytest.mark.parametrize(("strict", "eaten"), [(3 * DAY, True), (3 * DAY - 1, False), (round(2.5 * DAY), False)])
def test_the_days_and_the_check_know_the_same_strict_date(strict: int, eaten: bool) -> None:
    longest, of = solve(perishing(3 * DAY), limits("usual")), perishing(strict)
    plan = solve(of, limits("usual"))
    assert plan.status == "optimal"
    assert bool(plan.servings) == eaten
    assert bool(broken(of, longest)) != eaten, "what is eaten a day later breaks the rule"
    assert broken(of, plan) == ()
