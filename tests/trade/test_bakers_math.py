"""Formulas weighed out: nothing is lost, builds are large enough, and impossible formulas are refused in words."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.bakers_math import (
    WATER_KJ_PER_KG_K,
    Impossible,
    dough_degc,
    dough_for,
    dough_from_flour,
    dough_in,
    flour_in,
    hydration_percent,
    ice_share,
    loss_percent,
    percentages,
    prefermented_percent,
    soaked_percent,
    total_percent,
    water_by_heat,
    water_degc,
    water_for,
    weigh,
)
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


SEEDS = {"name": "seeds", "parts": {"linseed": 8, "sunflower seeds": 6}, "water_percent": 14, "hours": 10}
SCALD = {"name": "scald", "parts": {"rye flour": 5}, "water_percent": 10, "hot": True, "hours": 2}


def test_soakers_and_inclusions_worked_by_hand() -> None:
    """1000 g flour: the seeds take 140 g water, the scald 50 g rye and 100 g water; walnuts go in last."""
    of = formula(
        STARTER, others={"salt": 2, "linseed": 8, "sunflower seeds": 6}, soakers=[SEEDS, SCALD],
        inclusions={"walnuts": 10}, water_percent=86,
    )  # fmt: skip
    weighed = weigh(of, 1, 2120)
    assert weighed.flour == pytest.approx(1000)
    seeds, scald = weighed.soakers
    assert (seeds.parts, seeds.hours, seeds.hot) == (
        pytest.approx({"linseed": 80, "sunflower seeds": 60, "water": 140}), 10, False,
    )  # fmt: skip
    assert (scald.parts, scald.hot) == (pytest.approx({"rye flour": 50, "water": 100}), True)
    assert weighed.inclusions == pytest.approx({"walnuts": 100})
    rest = {"wheat flour": 650, "rye flour": 150, "water": 860 - 150 - 140 - 100, "salt": 20}
    assert weighed.final == pytest.approx(rest)
    assert weighed.dough == pytest.approx(2120)
    assert (hydration_percent(of), soaked_percent(of), prefermented_percent(of)) == (86, 24, 15)
    assert sum(weighed.whole.values()) == pytest.approx(2120)


def test_three_builds_one_seeding_the_next() -> None:
    """Freshening, a sour, a full sour: each is as large as what it seeds wants it, and only the last goes in."""
    names = ("fresh", "sour", "full")
    builds = [
        {"name": name, "flour_percent": 30 if name == "full" else 0, "seed_percent": seed, "hydration_percent": wet,
         "seed_from": before, "flours": {"rye flour": 100}}
        for name, before, seed, wet in zip(names, (None, *names[:2]), (100, 50, 25), (150, 100, 80), strict=True)
    ]  # fmt: skip
    weighed = weigh(formula(*reversed(builds), flours={"rye flour": 60, "wheat flour": 40}), 2, 880)
    assert [build.name for build in weighed.builds] == list(names)
    for small, large in zip(weighed.builds, weighed.builds[1:], strict=False):
        assert small.use == pytest.approx(large.seed)
        assert small.total == pytest.approx(large.seed)
    assert set(weighed.prefermented) == {*names}
    assert weighed.prefermented["full"] == pytest.approx(300 * 1.8)


def test_what_sticks_to_the_bowl_is_mixed_too() -> None:
    assert weigh(formula(), 2, 880, process_loss_percent=2).dough == pytest.approx(1760 / 0.98)


@given(st.floats(55, 95), st.floats(0, 40), st.floats(0, 12), st.floats(0, 30), st.integers(1, 40), st.floats(30, 2000))
@settings(max_examples=50, derandomize=True, deadline=None)
def test_scaled_and_unscaled_is_the_formula(
    water: float, starter: float, seeds: float, nuts: float, pieces: int, grams: float
) -> None:
    """Grams back to percentages: what went in comes out, and the flours are a hundred."""
    soaks = [{"name": "seeds", "parts": {"linseed": seeds}, "water_percent": seeds}] if seeds else []
    of = formula(
        STARTER | {"flour_percent": starter, "hold_back_grams": 0}, water_percent=water,
        others={"salt": 2, "linseed": seeds}, soakers=soaks, inclusions={"walnuts": nuts},
    )  # fmt: skip
    weighed = weigh(of, pieces, grams)
    back = percentages(weighed.whole, of.flours)
    assert back["wheat flour"] + back["rye flour"] == pytest.approx(100)
    wanted = {**of.flours, "water": water, **of.others, **of.inclusions}
    assert back == pytest.approx({name: share for name, share in wanted.items() if share > 1e-9})
    assert flour_in(of, dough_from_flour(of, weighed.flour)) == pytest.approx(weighed.flour)
    assert dough_for(grams * (1 - 0.13), 13) == pytest.approx(grams)
    assert loss_percent(grams, grams * 0.87) == pytest.approx(13)


def test_a_tin_that_fills_when_the_dough_has_grown() -> None:
    assert dough_in(1.8, 2.2) == pytest.approx(900)


def test_no_flour_no_share() -> None:
    with pytest.raises(ValueError, match="no flour"):
        percentages({"water": 100.0}, ["wheat flour"])


@given(st.floats(18, 30), st.floats(0, 12), st.floats(5, 35), st.floats(5, 35))
@settings(max_examples=50, derandomize=True, deadline=None)
def test_the_rule_for_water_and_back(dough: float, friction: float, room: float, flour: float) -> None:
    water = water_degc(dough, friction, room, flour)
    assert dough_degc(water, friction, room, flour) == pytest.approx(dough)


@given(
    st.floats(20, 30), st.floats(150, 900), st.floats(300, 1200), st.floats(0, 500), st.floats(5, 35), st.floats(0, 8)
)
@settings(max_examples=50, derandomize=True, deadline=None)
def test_heat_that_goes_in_is_heat_that_is_there(
    dough: float, water: float, flour: float, starter: float, room: float, warms: float
) -> None:
    """Mix all at its own temperature: what each part gains or gives adds up to what kneading brought."""
    others = [(flour, room, 1.95), (starter, room, 3.0)]
    degc = water_by_heat(dough, water, others, warms)
    parts = [*others, (water, degc, WATER_KJ_PER_KG_K)]
    gained = sum(grams * heat * (dough - at) for grams, at, heat in parts)
    assert gained == pytest.approx(warms * sum(grams * heat for grams, _, heat in parts), abs=1e-6 * dough * flour)


def test_water_that_cannot_be_had() -> None:
    """In a hot room ice does it, as far as it goes; in a cold one water stops at what yeast bears."""
    cool, hot, cold = (water_for(24, 8, 12, *(room, room, room)) for room in (24, 31, 8))
    assert (cool.degc, cool.ice, cool.dough_degc) == (16, 0, 24)
    assert hot.degc < 2
    assert hot.ice == pytest.approx((12 - hot.degc) / 92)
    assert hot.dough_degc == pytest.approx(24)
    assert (cold.degc, cold.dough_degc) == (45, pytest.approx((45 + 24 + 8) / 4))
    assert ice_share(-200, 12) == 1
    with pytest.raises(ValueError, match="no water"):
        water_by_heat(24, 0, [], 0)
