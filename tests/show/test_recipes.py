from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rotation.household.breads import Bread as Recipe
from rotation.household.formulas import Formula
from rotation.plan import Feeding
from rotation.recipes import recipes
from rotation.units import Display
from tests.show.sample import plan

FORMULA: dict[str, Any] = {
    "flours": {"flour": 100},
    "water_percent": 75,
    "others": {"salt": 2},
    "preferments": [
        {
            "name": "starter",
            "flour_percent": 10,
            "hydration_percent": 100,
            "seed_percent": 20,
            "hold_back_grams": 20,
            "flours": {"flour": 100},
        }
    ],
}


def recipe(**formula: Any) -> Recipe:
    return Recipe.model_validate(
        {
            "name": "sourdough",
            "portions": 14,
            "piece_grams": 885,
            "formula": {**FORMULA, **formula},
            "oven": {"degc": 230, "covered_minutes": 25, "uncovered_minutes": 20},
            "processes": [
                {"id": "overnight", "pieces": [3], "stages": [
                    {"name": "feed", "hands_minutes": 5, "then_minutes": [600, 900]},
                    {"name": "mix", "hands_minutes": 15, "then_minutes": [480, 900]},
                    {"name": "oven", "hands_minutes": 2},
                ]},
            ],
        }
    )  # fmt: skip


def test_says_what_to_weigh_at_the_feed_and_at_the_mix() -> None:
    """Three loaves of 885 g are 1500 g of flour; 300 g of starter go in and 20 g are kept, so 320 g are built."""
    words = recipes({"sourdough": recipe()}, plan())
    assert words == {
        ("bake-1", "feed"): "29 g starter + 145 flour + 145 water",
        ("bake-1", "mix"): "300 g starter + 1350 flour + 975 water + 30 salt, KEEP 20 starter",
    }


def test_a_straight_dough_is_weighed_at_the_mix() -> None:
    words = recipes({"sourdough": recipe(preferments=[], others={"salt": 2, "yeast": 0.3})}, plan())
    assert words == {("bake-1", "mix"): "1497 g flour + 1123 water + 30 salt + 4.5 yeast"}


def test_a_bread_without_a_recipe_has_no_grams() -> None:
    assert recipes({}, plan()) == {}


def test_a_formula_that_cannot_be_weighed_is_left_out() -> None:
    drained = FORMULA["preferments"][0] | {"flour_percent": 90, "hydration_percent": 150}
    try:
        impossible = recipe(preferments=[drained])
    except ValueError:
        pytest.skip("the settings refuse it already")
    assert recipes({"sourdough": impossible}, plan()) == {}


def test_as_much_is_kept_as_the_next_feed_takes_of_it() -> None:
    """Another bake a week later takes 29 g of seed, so 29 are kept of this one: 329 g built, 30 g of seed for them."""
    bake = plan().bakes[0]
    later = replace(bake, id="bake-2", steps=tuple(replace(s, start=s.start + 10080) for s in bake.steps))
    words = recipes({"sourdough": recipe()}, replace(plan(), bakes=(bake, later)))
    assert words["bake-1", "feed"] == "30 g starter + 150 flour + 150 water"
    assert words["bake-1", "mix"].endswith("KEEP 30 starter")
    assert words["bake-2", "mix"].endswith("KEEP 20 starter")


def test_a_feed_beside_any_bake_leaves_what_the_next_one_takes() -> None:
    """29 g of seed are wanted: 3 g of seed could hardly be weighed, so 5 are taken and 55 g come of it."""
    bake = plan().bakes[0]
    start = bake.steps[0].start
    upkeep, strong = Feeding("a", start - 7000, 0, "jo"), Feeding("b", start - 700, 0, "jo", start)
    words = recipes({"sourdough": recipe()}, replace(plan(), feedings=(upkeep, strong)))
    assert words["b", "feed"] == "5.0 g starter + 25 flour + 25 water, 29 of it for the next feed"
    assert words["a", "feed"] == "5.0 g starter + 25 flour + 25 water, KEEP 20 starter"
    alone = recipes({"sourdough": recipe()}, replace(plan(), feedings=(upkeep,)))
    assert alone["a", "feed"] == "5.0 g starter + 25 flour + 25 water, KEEP 29 starter"


def test_soakers_stand_at_the_feed_and_walnuts_at_their_fold() -> None:
    """Three loaves of 885 g at 197 % of the flour are 1348 g of flour."""
    more = {
        "others": {"salt": 2, "linseed": 10},
        "soakers": [{"name": "seeds", "parts": {"linseed": 10}, "water_percent": 10}],
        "inclusions": {"walnuts": 10},
        "inclusions_at": "shape",
    }
    words = recipes({"sourdough": recipe(**more)}, plan())
    assert words["bake-1", "feed"].endswith("; seeds, soaked: 135 g linseed + 135 water")
    assert "270 seeds" in words["bake-1", "mix"]
    assert words["bake-1", "shape"] == "then 135 g walnuts"


def test_without_a_step_before_the_mix_a_soaker_says_how_early() -> None:
    soaker = {"name": "scald", "parts": {"flour": 5}, "water_percent": 10, "hours": 3, "hot": True}
    bake = plan().bakes[0]
    alone = replace(plan(), bakes=(replace(bake, steps=tuple(s for s in bake.steps if s.name != "feed")),))
    words = recipes({"sourdough": recipe(preferments=[], soakers=[soaker])}, alone)
    assert words["bake-1", "mix"].startswith("scald, scalded 3 h before: 75 g flour + 150 water; 225 g scald + ")


def test_a_process_may_have_percentages_of_its_own() -> None:
    made = recipe()
    own = Formula.model_validate({"flours": {"flour": 100}, "water_percent": 60, "others": {"yeast": 0.2}})
    process = made.processes[0].model_copy(update={"formula": own})
    words = recipes({"sourdough": made.model_copy(update={"processes": (process,)})}, plan())
    assert words == {("bake-1", "mix"): "1657 g flour + 994 water + 3.3 yeast"}


def test_in_the_units_a_family_reads() -> None:
    words = recipes({"sourdough": recipe()}, plan(), Display("lb"))
    assert words["bake-1", "feed"] == "1 oz starter + 5.1 oz flour + 5.1 oz water"
    assert words["bake-1", "mix"].startswith("10.6 oz starter + 2 lb 15.6 oz flour + 2 lb 2.4 oz water")
    assert words["bake-1", "mix"].endswith("KEEP 0.7 oz starter")


def test_a_starter_no_step_is_for_is_to_be_ripe_by_the_mix() -> None:
    bake = plan().bakes[0]
    alone = replace(plan(), bakes=(replace(bake, steps=tuple(s for s in bake.steps if s.name != "feed")),))
    assert recipes({"sourdough": recipe()}, alone)["bake-1", "mix"].startswith("starter, ripe by then: 29 g starter + ")
