"""Baker's arithmetic against figures of others; ids name rows of `data/references.csv`, where the sources stand."""

from __future__ import annotations

import re

import pytest

from rotation.bakers_math import (
    dough_degc,
    dough_for,
    dough_from_flour,
    dough_yield,
    flour_in,
    hydration_percent,
    loss_percent,
    percentages,
    water_by_heat,
    water_degc,
    weigh,
)
from rotation.household.formulas import Formula
from rotation.units import converted, degc
from tests.outside.rows import ROWS, high, low, value


def straight(water: float, **more: object) -> Formula:
    return Formula.model_validate({"flours": {"wheat flour": 100}, "water_percent": water, **more})


def test_a_percentage_is_by_the_flour() -> None:
    """A01: a guild of bakers, technical articles, read: mass / total flour x 100; the flour together is 100 %."""
    shares = percentages({"wheat": 700, "rye": 300, "water": 680, "salt": 20}, ["wheat", "rye"])
    assert shares == {"wheat": 70, "rye": 30, "water": 68, "salt": 2}
    assert shares["wheat"] + shares["rye"] == value("A01")


def test_total_flour_counts_the_preferment_s() -> None:
    """A01: total flour, so the preferments' too: a fifth of it fermented leaves the sum at 100 %."""
    starter = {"name": "s", "flour_percent": 20, "seed_percent": 20}
    weighed = weigh(straight(70, preferments=[starter]), 1, 1700)
    assert weighed.flour == pytest.approx(1000)
    assert sum(percentages(weighed.whole, ["wheat flour"]).values()) == pytest.approx(170)


def test_dough_yield() -> None:
    """A06, A07: the German trade's convention, read."""
    assert dough_yield(10, 5) == pytest.approx(value("A06"))
    assert dough_yield(10, 5.8) == pytest.approx(value("A07"))


def test_gross_yield_counts_every_ingredient() -> None:
    """A07: the German trade's convention, read: 10 kg and 4.5 kg of all else are a gross yield of 145."""
    assert "10+4.5 kg -> 145" in ROWS["A07"]["note"]
    assert dough_yield(10, 4.5) == pytest.approx(145)


def yields() -> list[tuple[str, float]]:
    """Return the kinds of A08 with each end of their range."""
    fact = ROWS["A08"]["fact"].partition(": ")[2]
    found = [re.fullmatch(r"(.*) (\d+)(?:-(\d+))?", each.strip()) for each in fact.split(",")]
    return [(f"{each[1]} {end}", float(end)) for each in found if each for end in {each[2], each[3] or each[2]}]


@pytest.mark.parametrize(("kind", "net"), sorted(yields()), ids=lambda each: str(each))
def test_hydration_is_the_net_yield_less_a_hundred(kind: str, net: float) -> None:
    """A08: the German trade's convention, read."""
    assert low("A08") <= net <= high("A08")
    formula = straight(net - 100)
    weighed = weigh(formula, 10, 400)
    assert dough_yield(weighed.flour, weighed.final["water"]) == pytest.approx(net)
    assert hydration_percent(formula) == net - 100


def test_bread_of_dough_and_dough_of_bread() -> None:
    """A09: bakery course arithmetic: 500 lb want 574.7 lb of dough; what is lost is 13 % of it."""
    dough = converted(dough_for(converted(500, "pound", "gram"), 2, 11), "gram", "pound")
    assert low("A09") <= dough <= high("A09")
    assert loss_percent(dough, 500) == pytest.approx(13)


def test_the_loss_of_a_bread_is_that_of_the_course() -> None:
    """A09: 13 % in all is what a bread's file loses that says nothing."""
    from tests.trade.test_keeping import bread

    assert loss_percent(800, bread().grams) == pytest.approx(13)


def test_water_in_degf_is_water_in_degc() -> None:
    """A10: a baking school's course text, second-hand: 75, 65, 65, 8 degF give 87 degF, which is 30.6 degC."""
    fahrenheit = water_degc(75, 8, 65, 65)
    assert fahrenheit == value("A10")
    celsius = water_degc(degc("75 F"), 8 * 5 / 9, degc("65 F"), degc("65 F"))
    assert celsius == pytest.approx(degc("87 F"))
    assert round(celsius, 1) == 30.6
    assert "30.6 degC" in ROWS["A10"]["note"]


def test_a_preferment_is_a_fourth_factor() -> None:
    """A13: as A10: 4 x the dough's temperature less room, flour, preferment and friction; back it is their mean."""
    water = water_degc(76, 10, 70, 68, 72)
    assert water == 4 * 76 - (70 + 68 + 72 + 10)
    assert dough_degc(water, 10, 70, 68, 72) == 76


def test_the_rule_and_the_balance_of_heat() -> None:
    """A10 has no masses. Where flour holds as much heat as the water does, half the factors, the two are the same."""
    rule = water_degc(24, 0, 20, 20)
    even = water_by_heat(24, 500, [(500 * 4.18 / 1.95, 20, 1.95), (500, 20, 4.18)], 0)
    assert even == pytest.approx(rule)
    assert water_by_heat(24, 400, [(1000, 20, 1.95)], 0) > water_by_heat(24, 800, [(1000, 20, 1.95)], 0)


def test_flour_and_dough_of_each_other() -> None:
    """A01, A06: 10 kg of flour at a yield of 150 are 15 kg of dough, and the other way round."""
    formula = straight(value("A06") - 100)
    assert dough_from_flour(formula, 10_000) == 15_000
    assert flour_in(formula, 15_000) == 10_000


def test_true_hydration_counts_the_starter() -> None:
    """T12: common practice, no published source. 80 flour, 62 water and 40 of starter at 100 % are 82 % hydration."""
    starter = {"name": "s", "flour_percent": 20, "seed_percent": 20, "flours": {"wheat flour": 100}}
    formula = Formula.model_validate({"flours": {"wheat flour": 100}, "water_percent": 82, "preferments": [starter]})
    weighed = weigh(formula, 1, 182)
    assert weighed.final == pytest.approx({"wheat flour": 80, "water": 62})
    assert weighed.prefermented == pytest.approx({"s": 40})
    assert hydration_percent(formula) == pytest.approx((62 + 20) / (80 + 20) * 100)
    assert hydration_percent(formula) > 80  # counts as high
