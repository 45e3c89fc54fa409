"""Rules of the trade, T01 to T12 and a few of appliances; ids name rows of `data/references.csv`.

Those of T are "common practice, no published source"; T10's turns and T02's bounds are in `test_oven_time.py` too.
"""

from __future__ import annotations

import pytest

from rotation.fermentation import longest_retard
from rotation.household import usual
from rotation.household.breads import Bread
from rotation.household.kitchen import Kitchen, Oven
from rotation.household.processes import Stage
from rotation.units import Display
from tests.outside.rows import ROWS, figures, high, low, value
from tests.trade.test_keeping import bread

LOAF = bread(forms={"part-baked": {}}, piece_grams=900)
ROLL = bread(forms={"part-baked": {}}, piece_grams=90)


def part_baked_minutes(of: Bread) -> int:
    return usual.kept(of, of.processes[0], "part-baked").uncovered_minutes


@pytest.mark.parametrize(("covered", "uncovered"), [(0, 40), (20, 25), (25, 20), (0, 12), (30, 15)])
def test_part_bake_is_three_quarters_of_the_bake(covered: int, uncovered: int) -> None:
    """T01; C41, a compendium of baking, read: 60 to 90 %."""
    oven = {"degc": 230, "covered_minutes": covered, "uncovered_minutes": uncovered}
    full, part = covered + uncovered, covered + part_baked_minutes(bread(forms={"part-baked": {}}, oven=oven))
    assert part == pytest.approx(value("T01") / 100 * full, abs=0.5)
    assert low("T01") <= 100 * part / full <= high("T01")


def test_a_retard_is_of_eight_to_forty_eight_hours() -> None:
    """T02: the upper end agrees with B24; in a home fridge half of it."""
    assert longest_retard(4) == 60 * high("T02")
    assert 60 * low("T02") < longest_retard(8) == 24 * 60


def test_part_baked_loaves_keep_three_months() -> None:
    """T03: a home's rule; bakeries say four weeks (D09): eaten first after those, for toast after these."""
    kept = usual.kept(LOAF, LOAF.processes[0], "part-baked")
    assert kept.toast_after_weeks == pytest.approx(12)
    assert kept.toast_after_weeks / 52.18 * 12 <= value("T03")


def test_a_loaf_thaws_overnight_in_the_fridge() -> None:
    """T04: from supper to breakfast, ten to twelve hours, is within what the fridge route plans."""
    (route,) = (route for route in usual.routes(LOAF) if route.place == "fridge")
    assert route.thaw_hours[0] <= 10
    assert route.thaw_hours[1] >= 12


def test_the_finish_of_a_thawed_loaf() -> None:
    """T05: 15 to 25 minutes at 230 degC; then it may be cut at once, so it stands only to be fit to hold."""
    for route in usual.routes(LOAF):
        if route.place != "none":
            (part,) = route.oven
            assert low("T05") <= part.minutes <= high("T05")
            assert 220 <= part.degc <= 230
            assert route.stand_minutes <= 15


def test_small_pieces_straight_from_frozen() -> None:
    """T06: 10 minutes at 150 degC, then about 20 at 230: 30 in all."""
    (route,) = (route for route in usual.routes(ROLL) if route.place == "none")
    assert [(part.degc, part.minutes) for part in route.oven] == [(150, 10), (230, 20)]
    assert sum(part.minutes for part in route.oven) == value("T06")
    assert figures("T06") == [10, 150, 20, 230]


def test_a_loaf_straight_from_frozen() -> None:
    """T07: 30 minutes at 150 degC, then about 20 at 230: 50 in all; it stands, since T06 leaves a large core cold."""
    (route,) = (route for route in usual.routes(LOAF) if route.place == "none")
    assert [(part.degc, part.minutes) for part in route.oven] == [(150, 30), (230, 20)]
    assert sum(part.minutes for part in route.oven) == value("T07")
    assert route.stand_minutes == 30


def test_dough_rests_between_preshape_and_shape() -> None:
    """T09: 15 to 30 minutes, if nothing else is written."""
    stage = Stage.model_validate({"name": "preshape", "hands_minutes": 5})
    assert stage.then_minutes == (low("T09"), high("T09"))
    assert stage.then_minutes[0] <= value("T09") <= stage.then_minutes[1]
    assert Stage.model_validate({"name": "preshape", "hands_minutes": 5, "then_minutes": [20, 20]}).then_minutes == (
        20,
        20,
    )


@pytest.mark.parametrize(("degc", "mark"), [(230, "450"), (150, "300")])
def test_ovens_are_marked_in_round_degf(degc: int, mark: str) -> None:
    """T11: 230 degC is 446 degF and marked 450; 150 is 302 and marked 300."""
    assert Display("lb", "degF").oven(degc) == mark
    assert mark in ROWS["T11"]["value"]


def test_a_pot_holds_one_loaf() -> None:
    """F10: trade rule, common practice: a round pot holds one loaf of 0.8 to 1 kg of dough."""
    assert LOAF.oven.pieces_per_place == value("F10")


def test_iron_is_hot_through_after_three_quarters_of_an_hour() -> None:
    """F08: trade rule, common practice: 30 to 60 minutes to 230 or 250 degC with stone or iron."""
    assert low("F08") <= Oven().heat_up_vessel_minutes <= high("F08")


def test_a_bagged_loaf_takes_three_and_a_half_litres() -> None:
    """F11: geometry, computed: a bagged batard of about 780 g."""
    kept = usual.kept(LOAF, LOAF.processes[0], "part-baked")
    assert low("F11") <= kept.unit_litres <= high("F11")
    assert kept.unit_litres == pytest.approx(value("F11"), rel=0.02)


def test_the_smallest_freezer_there_may_be() -> None:
    """F01: Reg. (EC) 643/2009, read: at least two kilograms in a day."""
    assert Kitchen().freezing_kg_per_24h == low("F01")
