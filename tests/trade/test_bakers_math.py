"""Formulas weighed out: nothing is lost, builds are large enough, and impossible formulas are refused in words."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.bakers_math import Impossible, prefermented_percent, total_percent, weigh
from rotation.household.formulas import Formula

STARTER = {
    "name": "starter",
    "flour_percent": 15,
    "seed_percent": 20,
    "hold_back_grams": 20,
    "flours": {"wheat flour": 100},
}


def formula(*preferments: dict[str, Any], **more: Any) -> Formula:
    base = {"flours": {"wheat flour": 80, "rye flour": 20}, "water_percent": 74, "others": {"salt": 2}}
    return Formula.model_validate(base | {"preferments": preferments} | more)


def test_a_straight_dough_worked_by_hand() -> None:
    weighed = weigh(formula(), 2, 880)  # 1760 g of 176 %: 1000 g flour
    assert weighed.final == pytest.approx({"wheat flour": 800, "rye flour": 200, "water": 740, "salt": 20})
    assert weighed.builds == ()


def test_a_starter_worked_by_hand() -> None:
    """1000 g flour, 150 of it in the starter: 300 g used, 20 put back; 320 g from 20 % seed are 29 + 145.5 + 145.5."""
    weighed = weigh(formula(STARTER), 2, 880)
    assert weighed.final == pytest.approx({"wheat flour": 650, "rye flour": 200, "water": 590, "salt": 20})
    assert weighed.prefermented == pytest.approx({"starter": 300})
    (build,) = weighed.builds
    assert (build.use, build.keep, build.seed_from) == (pytest.approx(300), 20, "")
    assert build.seed == pytest.approx(320 / 11)
    assert build.fresh == pytest.approx({"wheat flour": 1600 / 11, "water": 1600 / 11})


def test_a_build_is_large_enough_for_what_it_seeds() -> None:
    first = {
        "name": "first",
        "flour_percent": 0,
        "seed_percent": 50,
        "hold_back_grams": 30,
        "flours": {"wheat flour": 100},
    }
    stiff = {"name": "stiff", "flour_percent": 20, "hydration_percent": 60, "seed_percent": 40, "seed_from": "first",
             "flours": {"wheat flour": 100}}  # fmt: skip
    weighed = weigh(formula(stiff, first), 1, 880)
    assert [build.name for build in weighed.builds] == ["first", "stiff"]
    small, large = weighed.builds
    assert large.use == pytest.approx(160)
    assert large.total == pytest.approx(160)
    assert small.use == pytest.approx(large.seed)
    assert small.total == pytest.approx(30 + large.seed)
    # all the flour and water of the stiff one, the seed's half and half counted
    assert large.fresh["wheat flour"] + large.seed / 2 == pytest.approx(100)
    assert large.fresh["water"] + large.seed / 2 == pytest.approx(60)
    assert large.seed == pytest.approx(0.4 * large.fresh["wheat flour"])


def test_more_water_in_the_starter_than_in_the_formula() -> None:
    with pytest.raises(Impossible, match=r"The final dough would need -.* g of water"):
        weigh(formula(STARTER | {"flour_percent": 80}, water_percent=60, flours={"wheat flour": 100}), 1, 800)


def test_a_seed_wetter_than_the_build() -> None:
    wet = {"name": "wet", "flour_percent": 1, "hydration_percent": 300, "flours": {"wheat flour": 100}}
    dry = {"name": "dry", "flour_percent": 10, "hydration_percent": 40, "seed_percent": 200, "seed_from": "wet"}
    with pytest.raises(Impossible, match=r'build of "dry" would need -.* of water'):
        weigh(formula(wet, dry), 1, 800)


@given(
    st.floats(0, 40),
    st.floats(0, 100),
    st.floats(60, 125),
    st.integers(0, 100),
    st.integers(1, 12),
    st.integers(50, 1200),
)
@settings(max_examples=50, derandomize=True, deadline=None)
def test_nothing_is_lost(share: float, seed: float, hydration: float, keep: int, pieces: int, grams: int) -> None:
    starter = STARTER | {
        "flour_percent": share,
        "seed_percent": seed,
        "hydration_percent": hydration,
        "hold_back_grams": keep,
    }
    of = formula(starter)
    weighed = weigh(of, pieces, grams)
    assert weighed.dough == pytest.approx(pieces * grams)
    build = weighed.builds[0]
    assert build.total == pytest.approx(build.use + build.keep)
    flour = pieces * grams / total_percent(of) * 100
    water = weighed.final.get("water", 0) + build.use * hydration / (100 + hydration)
    assert water / flour * 100 == pytest.approx(of.water_percent)
    assert prefermented_percent(of) == share
