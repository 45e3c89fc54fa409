"""What late dough may become: which breads may, and with which figures."""

from __future__ import annotations

from typing import Any

import pytest

from rotation.household import Bread, usual
from rotation.household.bread_sense import bread_wrong
from rotation.household.shapes import dough_of, shape_id, shape_of, shaped, shapes
from tests.trade.test_bakers_math import STARTER

STAGES = [
    {"name": "mix", "hands_minutes": 10, "then_minutes": [60, 90], "warm": True},
    {"name": "divide", "hands_minutes": 2, "hands_minutes_per_piece": 3, "then_minutes": [15, 30]},
    {"name": "shape", "hands_minutes": 5, "then_minutes": [480, 720]},
    {"name": "oven", "hands_minutes": 3},
    {"name": "bag", "hands_minutes": 2},
]


def bread(**more: Any) -> Bread:
    written = {
        "name": "Country loaf",
        "portions": 14,
        "piece_grams": 900,
        "formula": {"flours": {"wheat flour": 100}, "water_percent": 70, "preferments": [STARTER]},
        "oven": {"degc": 230, "covered_minutes": 20, "uncovered_minutes": 20},
        "forms": {"part-baked": {}},
        "processes": [
            {
                "id": "day",
                "pieces": [1, 2],
                "stages": STAGES,
                "spans": [{"first": "mix", "second": "shape", "minutes": [80, 140]},
                          {"first": "divide", "second": "oven", "minutes": [500, 800]}],
                "uses": [{"what": "bowl", "since": "mix", "until": "shape"},
                         {"what": "fridge", "since": "shape", "until": "oven"}],
            }
        ],
    }  # fmt: skip
    return Bread.model_validate(written | more)


def test_a_loaf_may_become_either_and_a_tin_loaf_rolls_and_filled_bread_less() -> None:
    assert shapes(bread()) == ("tin", "flatbread")
    assert shapes(bread(loaf={"shape": "tin"})) == ("flatbread",)
    assert shapes(bread(forms={"sliced": {}})) == ("flatbread",), "kept in slices alone, it is a tin loaf already"
    assert shapes(bread(piece_grams=80)) == ("flatbread",)
    assert shapes(bread(kind="filled", keeps_hours=2)) == ()
    assert shapes(bread(piece_grams=80, becomes={"tin": {}})) == ("tin", "flatbread")
    assert shapes(bread(becomes={"flatbread": False})) == ("tin",)


def test_a_flatbread_has_pieces_minutes_keeping_and_a_way_back_of_its_own() -> None:
    flat = shaped(bread(), "flatbread")
    assert (flat.name, flat.piece_grams, flat.portions, flat.keeps_hours) == ("Country flatbread", 225, 4, 24)
    assert [route.gives for route in usual.routes(flat)] == ["toast"]
    (process,) = flat.processes
    assert [stage.name for stage in process.stages] == ["mix", "divide", "shape", "oven", "bag"]
    assert process.stages[1].hands_minutes_per_piece == 1, "it is divided once, whatever becomes of it"
    assert process.stages[2].then_minutes == (15, 90)
    assert [(span.first, span.second) for span in process.spans] == [("mix", "shape")]
    assert [use.what for use in process.uses] == ["bowl"], "no cold proof"
    assert process.pieces == (4, 8)


def test_a_tin_keeps_as_long_as_the_loaf_and_is_frozen_in_slices() -> None:
    tin = shaped(bread(), "tin")
    assert (tin.name, tin.piece_grams, tin.portions) == ("Country tin loaf", 900, 14)
    assert usual.keeps_hours(tin) == usual.keeps_hours(bread())
    assert usual.kept(tin, tin.processes[0], "sliced").units_per_piece == 14


def test_what_is_written_of_a_shape_counts_and_is_looked_at() -> None:
    given = {"pieces": 6, "portions": 3, "keeps_hours": 12, "oven": {"degc": 240, "uncovered_minutes": 9}, "forms": {}}
    flat = shaped(bread(becomes={"flatbread": given}), "flatbread")
    assert (flat.piece_grams, flat.portions, flat.keeps_hours, flat.oven.degc) == (150, 3, 12, 240)
    assert [stage.name for stage in flat.processes[0].stages][-1] == "oven", "nothing is frozen"
    wrong = bread(becomes={"tin": {"oven": {"degc": 200, "uncovered_minutes": 0}, "forms": {"sliced": {}}}})
    assert [one.at for one in bread_wrong(wrong)] == [("becomes", "tin", "oven")]


def test_no_file_can_have_the_name_of_a_shape() -> None:
    assert (dough_of("country.tin"), shape_of("country.tin")) == ("country", "tin")
    assert (dough_of("country"), shape_of("country")) == ("country", "")
    assert shape_id("country", "flatbread") == "country.flatbread"


@pytest.mark.parametrize("grams", [80, 110, 300, 450, 899, 900, 1001, 1500])
def test_no_dough_is_won_by_another_shape(grams: int) -> None:
    flat = shaped(bread(piece_grams=grams), "flatbread")
    pieces = flat.processes[0].pieces[0]
    assert 0 <= grams - pieces * flat.piece_grams < pieces
    assert grams // flat.piece_grams == pieces, "as the plan counts them"
