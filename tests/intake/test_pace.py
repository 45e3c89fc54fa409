"""Waits by the day's warmth: months, nights, a warm box, dough out of the fridge, and the end of a cold proof."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.errors import BadInput
from rotation.fermentation import OutsideRange, scaled
from rotation.household.reading import read_home
from rotation.intake import Intake
from rotation.intake.pace import _around, _at, _Dough
from rotation.problem import Wait
from tests.household.conftest import BREAD, SETTINGS

Understood = Callable[..., Intake]


def loaf(*stages: dict[str, Any], **process: Any) -> dict[str, Any]:
    """Return a loaf that is mixed, perhaps more, and baked."""
    steps = [*stages, {"name": "oven", "hands_minutes": 3}]
    return {
        "name": "Loaf", "portions": 10, "piece_grams": 900,
        "formula": {"flours": {"wheat flour": 100}, "water_percent": 70, "others": {"salt": 2}},
        "oven": {"degc": 230, "uncovered_minutes": 40},
        "processes": [{"id": "day", "pieces": [2], "stages": steps, **process}],
    }  # fmt: skip


MIX = {"name": "mix", "hands_minutes": 10, "then_minutes": [240, 300], "warm": True}
CHILL = {"name": "chill", "hands_minutes": 2, "then_minutes": [480, 2880]}
SHAPE = {"name": "shape", "hands_minutes": 5, "then_minutes": [90, 150], "warm": True}
COLD = {"uses": [{"what": "fridge", "since": "chill", "until": "shape"}]}


def waits(intake: Intake) -> dict[str, Wait]:
    return {wait.first: wait for wait in intake.problem.bread("loaf").processes[0].waits}


def test_a_month_has_its_room_and_a_date_goes_before(understood: Understood) -> None:
    cold = {"from": "2027-03-03", "until": "2027-03-03", "setting": "room_degc", "value": 17}
    kitchen = {"room_degc": 22, "room_by_month": {"mar": 19, "jul": 26}}
    mix = waits(understood(breads={"loaf": loaf(MIX)}, kitchen=kitchen, exceptions=[cold]))["mix"]
    assert [mix.on(day)[0] for day in range(4)] == [
        scaled(240, 21, degc, "starter") for degc in (19, 19, 17, 19)
    ]  # fmt: skip


def test_cold_nights_hold_from_whatever_hour_it_begins(understood: Understood) -> None:
    def bounds(lower: float) -> tuple[int, int]:
        kitchen = {"room_degc": 21, "room_night": "22:00-06:00", "room_night_lower_degc": lower}
        return waits(understood(breads={"loaf": loaf(MIX)}, kitchen=kitchen))["mix"].on(0)

    low, high = bounds(1)
    assert 240 < low < high
    assert high == 300  # by day nothing is slower, and by then it is ready
    assert low < scaled(240, 21, 20, "starter")  # never longer than all of it by night
    low, high = bounds(5)  # nothing is right by day and by night: the mean
    assert 240 < low < scaled(240, 21, 16, "starter")
    assert high > 300


@given(st.integers(0, 1439))
@settings(max_examples=30, derandomize=True, deadline=None)
def test_the_room_by_the_clock(begins: int) -> None:
    """Of the first day each minute is warm or cold as the wall clock says."""
    around = _around(21.0, ((1320, 1830), 3.0), begins)
    assert around[0][0] == 0
    for minute in range(0, 1440, 7):
        at = (begins + minute) % 1440
        degc = next(degc for since, degc in reversed(around) if since <= minute)
        assert degc == (18 if at >= 1320 or at < 390 else 21), (begins, at)


def test_in_the_box_no_day_differs(understood: Understood) -> None:
    cold = {"from": "2027-03-03", "until": "2027-03-03", "setting": "room_degc", "value": 12}
    kitchen = {"proof_box_degc": 26, "room_night_lower_degc": 5}
    mix = waits(understood(breads={"loaf": loaf(MIX, in_box=True)}, kitchen=kitchen, exceptions=[cold]))["mix"]
    assert mix.bounds == ((scaled(240, 21, 26, "starter"), scaled(300, 21, 26, "starter")),)
    with pytest.raises(OutsideRange, match="12 degC"):
        understood(breads={"loaf": loaf(MIX)}, exceptions=[cold])


def test_dough_out_of_the_fridge_warms_before_it_works(understood: Understood) -> None:
    """At the recipe's own room nothing changes; in a cooler one it takes more than the room alone would make it."""
    breads = {"loaf": loaf(MIX, CHILL, SHAPE, **COLD)}
    assert waits(understood(breads=breads))["shape"].bounds == ((90, 150),)
    ((low, high),) = waits(understood(breads=breads, kitchen={"room_degc": 18}))["shape"].bounds
    assert 90 < low < high
    assert high > 150
    assert low < scaled(90, 21, 18, "starter")  # most of it is warming, which a cooler room hardly slows


def test_dough_mixed_warm_is_quicker_at_first_in_a_cold_room(understood: Understood) -> None:
    plain, warm = (
        waits(understood(breads={"loaf": loaf(MIX, **more)}, kitchen={"room_degc": 18}))["mix"].on(0)
        for more in ({}, {"dough_degc": 25})
    )
    assert 240 < warm[0] < plain[0]


def test_a_cold_proof_ends_where_practice_ends_it(understood: Understood) -> None:
    breads = {"loaf": loaf(MIX, CHILL, SHAPE, **COLD)}
    usual, real = understood(breads=breads), understood(breads=breads, kitchen={"fridge_degc": 4})
    assert waits(usual)["chill"].bounds == ((480, 1440),)
    assert waits(real)["chill"].bounds == ((480, 2880),)
    assert [note for note in usual.notes if "24 h at most, not 48" in str(note)]
    assert not [note for note in real.notes if "at most" in str(note)]
    warm = {"from": "2027-03-03", "until": "2027-03-03", "setting": "fridge_degc", "value": 8}
    days = waits(understood(breads=breads, kitchen={"fridge_degc": 4}, exceptions=[warm]))["chill"]
    assert [days.on(day)[1] for day in range(4)] == [2880, 2880, 1440, 2880]


def test_a_rest_in_the_room_is_no_cold_proof(understood: Understood) -> None:
    rest = {"name": "chill", "hands_minutes": 2, "then_minutes": [480, 2880]}
    assert waits(understood(breads={"loaf": loaf(MIX, rest, SHAPE)}))["chill"].bounds == ((480, 2880),)


def test_filled_bread_wants_a_cold_fridge(understood: Understood) -> None:
    def said(degc: float) -> list[str]:
        made = understood(breads={"loaf": loaf(MIX) | {"kind": "filled"}}, kitchen={"fridge_degc": degc})
        return [str(note) for note in made.notes if "filled" in str(note)]

    assert "at 5 degC or below; yours is at 6: follow your local food-safety rules" in said(6)[0]
    assert said(4) == []


def test_a_warmer_freezer_keeps_less_long(understood: Understood) -> None:
    bread = loaf(MIX, SHAPE) | {"forms": {"sliced": {}}}
    bread["processes"][0]["stages"].append({"name": "bag", "hands_minutes": 2})
    stock = {"lots": [{"bread": "loaf", "form": "sliced", "units": 4, "bagged": "2027-02-28"}]}
    cold, warm = (
        understood(breads={"loaf": bread}, kitchen={"freezer_degc": degc}, stock=stock).problem for degc in (-18, -12)
    )
    assert warm.bread("loaf").form("sliced").toast_after == cold.bread("loaf").form("sliced").toast_after / 3
    assert warm.bread("loaf").form("sliced").eat_first < cold.bread("loaf").form("sliced").eat_first


def test_one_wait_is_counted_once() -> None:
    """The bounds of a wait are kept: a plan of many weeks asks for the same again and again."""
    _at.cache_clear()
    for _ in range(50):
        _at((90, 150), 21.0, 18.0, ((1320, 1830), 2.0), _Dough(0.0, 6.0, 118.0), "starter")
    assert _at.cache_info().misses == 1


@pytest.mark.parametrize(("file", "old", "new", "setting", "wrong"), [
    ("breads/country.toml", 'id = "day"', 'id = "day"\nin_box = true', "kitchen.proof_box_degc", "none"),
    ("breads/country.toml", 'id = "day"', 'id = "day"\nreference_degc = 9', "processes.0.reference_degc", "at 9 degC"),
    ("breads/country.toml", 'id = "day"', 'id = "day"\ndough_degc = 35', "processes.0.dough_degc", "at 35 degC"),
    ("breads/country.toml", "[480, 1440]", "[1800, 2000]", "kitchen.fridge_degc", "30 h is more than the 24 h"),
    ("breads/country.toml", "[480, 1440]", "[3000, 4000]", "kitchen.fridge_degc", "50 h is more than the 24 h"),
    ("household.toml", "room_degc = 20", "room_by_month = { may = 50 }", "kitchen.room_by_month.may", "most"),
    ("household.toml", "room_degc = 20", "room_by_month = { maj = 20 }", "kitchen.room_by_month.maj", "not one of"),
    ("household.toml", "room_degc = 20", "freezer_degc = 3", "kitchen.freezer_degc", "above the most"),
    ("household.toml", "room_degc = 20", "fridge_degc = 13", "kitchen.fridge_degc", "above the most"),
    ("household.toml", "room_degc = 20", "[shown]\nmass = 'stone'", "shown.mass", "not one of"),
])  # fmt: skip
def test_a_warmth_that_makes_no_sense(tmp_path: Any, file: str, old: str, new: str, setting: str, wrong: str) -> None:
    """In one line with its place: the kitchen's, if both sides might be what is wrong."""
    spoil(tmp_path, file, old, new, setting, wrong)


def test_a_box_too_hot_for_a_starter(tmp_path: Any) -> None:
    breads = BREAD.replace('id = "day"', 'id = "day"\nin_box = true')
    spoil(
        tmp_path, "household.toml", "room_degc = 20", "proof_box_degc = 42", "kitchen.proof_box_degc", "at 42", breads
    )


def spoil(tmp_path: Any, file: str, old: str, new: str, setting: str, wrong: str, bread: str = BREAD) -> None:
    """Write a household with one thing wrong, and hold the message to its place."""
    cold = 'pieces = [1, 2]\nuses = [{ what = "fridge", since = "shape", until = "oven" }]'
    texts = {"household.toml": SETTINGS, "breads/country.toml": bread.replace("pieces = [1, 2]", cold)}
    assert old in texts[file]
    (tmp_path / "breads").mkdir()
    for name, text in texts.items():
        (tmp_path / name).write_text(text.replace(old, new, 1) if name == file else text, encoding="utf-8")
    with pytest.raises(BadInput) as bad:
        read_home(tmp_path)
    (mistake,) = bad.value.mistakes
    assert mistake.setting == setting
    assert wrong in mistake.wrong
    assert mistake.line is not None
