"""Allergens by an ingredient's name: every word is known, or it counts as everything."""

from __future__ import annotations

import pytest

from rotation.allergens import ALL, CEREALS, EU, NUTS, UNKNOWN, allergens, allergens_of


@pytest.mark.parametrize(
    ("ingredient", "found"),
    [
        ("Strong wheat flour", {"gluten", "wheat"}),
        ("strong white flour, stone-ground", {"gluten", "wheat"}),
        ("buckwheat flour", set()),
        ("coconut milk", set()),
        ("cocoa butter", set()),
        ("almond milk", {"nuts", "almond"}),
        ("sunflower seeds", set()),
        ("toasted sesame seeds", {"sesame"}),
        ("walnuts and hazelnuts", {"nuts", "walnut", "hazelnut"}),
        ("water", set()),
        ("instant yeast", set()),
        ("wholewheat flour", {"gluten", "wheat"}),
        ("wheat starch", {"gluten", "wheat"}),
        ("potato starch", set()),
        ("starch", {UNKNOWN}),  # of what?
        ("flour", {UNKNOWN}),
        ("grandmother's spice", {UNKNOWN}),
        ("wheat flour with a secret", {"gluten", "wheat", UNKNOWN}),
        ("", {UNKNOWN}),
    ],
)
def test_ingredients(ingredient: str, found: set[str]) -> None:
    assert allergens_of(ingredient) == found


def test_what_the_household_says_counts_instead() -> None:
    own = {"Secret Mix": ["sesame"], "plain thing": []}
    assert allergens(["secret mix", "plain thing", "salt"], own) == {"sesame"}
    assert allergens(["secret mix"]) == {UNKNOWN}


def test_all_that_is_ever_found_is_on_the_list() -> None:
    assert {*EU, *CEREALS, *NUTS} == ALL
    for name in (
        "pesto",
        "marzipan",
        "wine",
        "lupin flour",
        "mustard",
        "celeriac",
        "shrimps",
        "squid",
        "anchovies",
        "soya",
    ):
        assert allergens_of(name)
        assert allergens_of(name) <= ALL
