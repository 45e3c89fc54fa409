"""Trade arithmetic against figures of others; ids name rows of `data/references.csv`, where the sources stand."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from rotation.allergens import CEREALS, EU, NUTS, US, allergens_of, on_us_list
from rotation.bakers_math import dough_for, dough_yield, hydration_percent, water_degc, weigh
from rotation.fermentation import CULTURES, curve
from rotation.household.formulas import Formula

with (Path(__file__).parent / "data" / "references.csv").open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}


def value(id_: str) -> float:
    """Return a row's value."""
    return float(ROWS[id_]["value"])


def low(id_: str) -> float:
    """Return the lower end of a row's range."""
    return float(ROWS[id_]["low"])


def high(id_: str) -> float:
    """Return the upper end of a row's range."""
    return float(ROWS[id_]["high"])


def test_dough_yield() -> None:
    """A06, A07: the German trade's convention, read."""
    assert dough_yield(10, 5) == pytest.approx(value("A06"))
    assert dough_yield(10, 5.8) == pytest.approx(value("A07"))


def test_dough_for_baked_bread() -> None:
    """A09: bakery course arithmetic, the quotient computed: 500 lb at 2 % and 11 % loss."""
    assert low("A09") <= dough_for(500, 2, 11) <= high("A09")


def test_water_temperature() -> None:
    """A10: a baking school's course text, read second-hand, in degF; A13: a preferment is a fourth factor."""
    assert water_degc(75, 8, 65, 65) == pytest.approx(value("A10"))
    assert water_degc(75, 8, 65, 65, 70) == 4 * 75 - (65 + 65 + 70 + 8)


def test_true_hydration_counts_the_starter() -> None:
    """T12: common practice, no published source. 80 flour, 62 water and 40 of starter at 100 % are 82 % hydration."""
    starter = {"name": "s", "flour_percent": 20, "seed_percent": 20, "flours": {"wheat flour": 100}}
    formula = Formula.model_validate({"flours": {"wheat flour": 100}, "water_percent": 82, "preferments": [starter]})
    weighed = weigh(formula, 1, 182)
    assert weighed.final == pytest.approx({"wheat flour": 80, "water": 62})
    assert weighed.prefermented == pytest.approx({"s": 40})
    assert hydration_percent(formula) == pytest.approx((62 + 20) / (80 + 20) * 100)
    assert hydration_percent(formula) > 80  # counts as high


@pytest.mark.parametrize(("best", "half", "quarter", "none", "kind", "fit"), [
    ("B01", "B02", "B03", "B04", "bacteria", "B20"),
    ("B05", "B06", "B07", "B08", "starter", "B19"),
])  # fmt: skip
def test_growth_of_a_starter(best: str, half: str, quarter: str, none: str, kind: str, fit: str) -> None:
    """B01-B08: Gaenzle and others 1998, author's summary, read; within the residuals of B19 and B20, computed."""
    within = {"B19": 0.13, "B20": 0.06}[fit] + 0.01
    assert f"resid up to {within - 0.01:.2f}".replace("0.", ".") in ROWS[fit]["note"]
    culture = CULTURES[kind]
    assert f"{culture.least_degc}/{culture.best_degc}/{culture.greatest_degc}" == ROWS[fit]["value"]
    for id_, share in ((best, 1), (half, 0.5), (quarter, 0.25), (none, 0)):
        ends = (value(id_),) if share == 1 else (low(id_), high(id_))
        for degc in ends:
            assert curve(degc, culture) == pytest.approx(share, abs=within), (id_, degc)


def test_bakers_yeast() -> None:
    """B21, computed from B14 (Rosso and others) with B15 to B17 (Salvado and others 2011, read)."""
    culture = CULTURES["yeast"]
    assert (culture.least_degc, culture.best_degc, culture.greatest_degc) == (value("B17"), value("B15"), value("B16"))
    for degc, said in zip((12, 15, 18, 21, 24, 26, 28, 30), ROWS["B21"]["note"].split(), strict=True):
        assert curve(degc, culture) == pytest.approx(float(said), abs=0.0006), degc


def test_the_lists_of_allergens() -> None:
    """E01 to E03, E05, E06: Regulation (EU) 1169/2011 Annex II; FALCPA 2004 and FASTER Act 2021, all read."""
    assert len(EU) == value("E01")
    assert len(NUTS) == value("E03")
    assert len(US) == value("E05")
    assert all(cereal.removesuffix("s") in ROWS["E02"]["note"] for cereal in CEREALS)
    assert all(nut.split()[0].casefold() in ROWS["E03"]["note"].casefold() for nut in NUTS)
    for missing in ("rye", "barley", "oats", "mustard", "celery", "lupin", "molluscs", "sulphites"):
        assert missing in ROWS["E06"]["fact"]
        assert not on_us_list({missing})
    assert on_us_list(allergens_of("rye flour")) == set()


@pytest.mark.parametrize("ingredient", ["wheat", "spelt", "khorasan", "durum", "semolina", "bulgur", "malted wheat"])
def test_wheat_by_its_names(ingredient: str) -> None:
    """E07: derived, common practice."""
    assert allergens_of(ingredient) == {"gluten", "wheat"}
    assert on_us_list(allergens_of(ingredient)) == {"wheat"}


@pytest.mark.parametrize(
    ("ingredient", "found"),
    [
        ("barley malt", {"gluten", "barley"}),  # E07
        ("oats", {"gluten", "oats"}),  # E07
        *((name, {"milk"}) for name in ("butter", "milk", "whey", "buttermilk", "yoghurt", "ghee")),  # E08
        ("egg wash", {"egg"}),  # E08
        ("lecithin (E322)", {"soy"}),  # E08
        ("sunflower lecithin", set()),  # E08: soy unless sunflower
        ("tahini", {"sesame"}),  # E08
        ("almond flour", {"nuts", "almond"}),  # E08
        ("coconut", set()),  # E08: from memory
        ("dried apricots", {"sulphites"}),  # E04: dried fruit may carry it
        ("wheat glucose syrup", set()),  # E09
        ("maltodextrin", set()),  # E09
        ("barley glucose syrup", set()),  # E09
        ("refined soy oil", set()),  # E09
    ],
)
def test_ingredients(ingredient: str, found: set[str]) -> None:
    """E04, E07, E08: derived, common practice; E09: Annex II, read."""
    assert allergens_of(ingredient) == found
