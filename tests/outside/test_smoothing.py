"""Smoothing against statsmodels, and the arithmetic of the reserve against worked examples of inventory theory."""

from __future__ import annotations

import json
import random
from datetime import date, timedelta
from math import sqrt
from pathlib import Path
from typing import Any

import pytest
from statsmodels.tsa.holtwinters import SimpleExpSmoothing

from rotation import safety_stock
from rotation.eaten import Day, at_least, found, smoothed

INSTANCES = json.loads((Path(__file__).parent / "data" / "instances.json").read_text())["instances"]


def instance(name: str) -> dict[str, Any]:
    """Return a worked example; its source stands beside it in the file."""
    return next(one for one in INSTANCES if one["id"] == name)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("weight", [0.1, 0.25, 0.7])
def test_smoothing_as_statsmodels_does_it(seed: int, weight: float) -> None:
    """statsmodels 0.15, SimpleExpSmoothing with a known first level and a given smoothing level."""
    chance = random.Random(seed)
    values = [chance.uniform(0, 20) for _ in range(chance.randint(1, 40))]
    start = chance.uniform(0, 20)
    fit = SimpleExpSmoothing(values, initialization_method="known", initial_level=start).fit(
        smoothing_level=weight, optimized=False
    )
    level, errors = smoothed(values, start, 1.0, weight=weight)
    assert level == pytest.approx(float(fit.forecast(1)[0]))
    assert errors == pytest.approx([float(one) for one in fit.resid])


def test_days_on_which_bread_ran_out_count_as_at_least_so_much() -> None:
    """The mean of the upper part of a normal distribution, against drawing from it."""
    chance = random.Random(1)
    for value, mean, sd in ((4.0, 6.0, 2.0), (6.0, 6.0, 2.0), (9.0, 6.0, 2.0)):
        drawn = [one for one in (chance.gauss(mean, sd) for _ in range(100_000)) if one >= value]
        assert at_least(value, mean, sd) == pytest.approx(sum(drawn) / len(drawn), abs=0.03)


def test_censoring_takes_the_bias_away() -> None:
    """Ten a day are wanted and eight are there on every other day: left as they are, the days say nine."""
    chance = random.Random(7)
    wanted = [chance.gauss(10, 2) for _ in range(400)]
    there = [8.0 if number % 2 else 99.0 for number in range(400)]
    seen = [min(pair) for pair in zip(wanted, there, strict=True)]
    out = [want > stock for want, stock in zip(wanted, there, strict=True)]
    as_it_is, _ = smoothed(seen, 10, 2, weight=0.02)
    censored, _ = smoothed(seen, 10, 2, out, weight=0.02)
    assert as_it_is < 9.3
    assert censored == pytest.approx(10, abs=0.5)


def test_weekdays_and_breads_are_told_apart_and_guests_left_out() -> None:
    first = date(2027, 3, 1)
    days = [Day(first + timedelta(days=n), {"tin": 4.0 + n % 7, "rye": 2.0}, 6.0, usual=n != 3) for n in range(70)]
    days[3] = Day(days[3].date, {"tin": 60.0}, 6.0, usual=False)
    seen = found(days)
    assert (seen.days, seen.left_out) == (69, 1)
    for weekday, smooth in seen.by_weekday.items():
        assert smooth.level == pytest.approx(6 + weekday, abs=0.5)
        assert seen.by_bread[weekday, "tin"].level + seen.by_bread[weekday, "rye"].level == pytest.approx(smooth.level)


def test_the_news_vendor() -> None:
    """Stockpyl 1.0.2, example 4.3 (normal demand) and 4.7 (Poisson), read and verified."""
    given, expected = instance("newsvendor_ex4_3")["data"], instance("newsvendor_ex4_3")["expected"]
    prices = given["holding_cost"], given["stockout_cost"]
    assert safety_stock.base_stock(given["demand_mean"], given["demand_sd"], *prices) == pytest.approx(
        expected["base_stock"]
    )
    given, expected = instance("newsvendor_poisson_ex4_7")["data"], instance("newsvendor_poisson_ex4_7")["expected"]
    prices = given["holding_cost"], given["stockout_cost"]
    assert safety_stock.base_stock_of_few(given["demand_mean"], *prices) == expected["base_stock"]


def test_the_reorder_point() -> None:
    """Stockpyl 1.0.2, example 5.1 by the expected-inventory-level approximation, at its own order quantity."""
    given, expected = instance("rQ_eil_ex5_1")["data"], instance("rQ_eil_ex5_1")["expected"]
    wait = given["lead_time"]
    short = expected["Q"] * given["holding_cost"] / (given["stockout_cost"] * given["demand_mean"])
    point = safety_stock.reorder_point(given["demand_mean"] * wait, given["demand_sd"] * sqrt(wait), short)
    assert point == pytest.approx(expected["r"], rel=1e-6)


def test_the_reserve_is_the_news_vendors_over_the_gap() -> None:
    found_ = safety_stock.reserve(3.0, 4.0, 0.02, 1.5, 16)
    assert found_.exact == pytest.approx(safety_stock.base_stock(0, 6.0, 0.08, 1.5))
    assert (found_.loaves, found_.portions) == (1, 16)
    assert safety_stock.reserve(0.0, 4.0, 0.02, 1.5, 16).portions == 0
