"""Allergens against the two laws; ids name rows of `data/references.csv`, where the sources stand."""

from __future__ import annotations

import pytest

from rotation.allergens import CEREALS, EU, NUTS, US, allergens_of, on_us_list
from tests.outside.rows import ROWS, value

EU_WORDS = dict(zip(EU, (
    "gluten cereals", "crustaceans", "eggs", "fish", "peanuts", "soy", "milk", "nuts", "celery", "mustard", "sesame",
    "SO2", "lupin", "molluscs",
), strict=True))  # fmt: skip
US_WORDS = {
    "milk": "milk", "egg": "egg", "fish": "fish", "crustaceans": "crustacean shellfish", "nuts": "tree nuts",
    "peanut": "peanuts", "wheat": "wheat", "soy": "soy", "sesame": "sesame",
}  # fmt: skip


@pytest.mark.parametrize("group", EU)
def test_every_group_of_the_european_list(group: str) -> None:
    """E01: Regulation (EU) 1169/2011 Annex II, read: fourteen groups, in its order."""
    named = [each.strip() for each in ROWS["E01"]["note"].split(",")]
    assert len(EU) == len(named) == value("E01")
    assert named[EU.index(group)].startswith(EU_WORDS[group])


@pytest.mark.parametrize("cereal", CEREALS)
def test_every_cereal_with_gluten(cereal: str) -> None:
    """E02: Annex II item 1, read; the groups are those a label names."""
    assert cereal.removesuffix("s") in ROWS["E02"]["note"]
    assert allergens_of(f"{cereal} flour") == {"gluten", cereal}


@pytest.mark.parametrize("nut", NUTS)
def test_every_nut(nut: str) -> None:
    """E03: Annex II item 8, read: eight kinds."""
    assert len(NUTS) == value("E03")
    assert nut.split()[0] in ROWS["E03"]["note"].casefold()
    assert allergens_of(nut) == {"nuts", nut}
    assert on_us_list(allergens_of(nut)) == {"nuts"}


def test_every_group_of_the_american_list() -> None:
    """E05: FALCPA 2004 and FASTER Act 2021, read: nine, sesame among them."""
    assert set(US_WORDS) == US
    assert len(US) == value("E05")
    assert all(words in ROWS["E05"]["note"] for words in US_WORDS.values())


@pytest.mark.parametrize("missing", ["rye", "barley", "oats", "mustard", "celery", "lupin", "molluscs", "sulphites"])
def test_what_the_american_list_does_not_name(missing: str) -> None:
    """E06: the difference of E01 and E05, computed: rye bread is on the one and not on the other."""
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
