"""Waits that nobody wrote come from heat; what is written stays; notes tell where custom was left."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from rotation.heat import cache
from rotation.heat.asked import Answer, Question, Taken
from rotation.heat.soft import OutsideModel, Range
from rotation.household import Bread, Household, Stock, usual
from rotation.household.reading import Home
from rotation.intake.heat import part_baked, question, shape, surroundings, water, with_waits
from rotation.intake.pace import Climate
from rotation.intake.time import Clock
from tests.intake.conftest import JO, LOAF

BERLIN = ZoneInfo("Europe/Berlin")
MONDAY = datetime(2027, 3, 1, tzinfo=BERLIN)
Ask = Callable[[Question], Answer]


def home(loaf: dict[str, Any] | None = None, **settings: Any) -> Home:
    household = Household.model_validate({"people": [JO], **settings})
    return Home(Path(), household, {"loaf": Bread.model_validate({**LOAF, **(loaf or {})})}, Stock())


def made_up(asked: Question) -> Answer:
    """Return an answer whose figures are easily told from the customs'."""
    ways = (
        Taken(way.id, Range(300, 351, 402), ((way.oven[0][0], 40), *way.oven[1:]) if way.open else way.oven,
              Range(-5, 10, 30), Range(15, 40, 60))
        for way in asked.ways
    )  # fmt: skip
    return Answer(
        Range(100, 120, 161),
        Range(600, 700, 803),
        170.0,
        61,
        tuple(ways),
        Range(32, 34, 38) if asked.part_bake else None,
    )


@pytest.fixture
def ask(monkeypatch: pytest.MonkeyPatch) -> Callable[[Ask], None]:
    return lambda model: monkeypatch.setattr(cache, "_ask", model)


def filled(given: Home) -> tuple[Bread, str]:
    made, notes = with_waits(given, MONDAY, 7, None)
    return made.breads["loaf"], "\n".join(map(str, notes))


def test_waits_nobody_wrote_are_the_late_end_to_five_minutes(ask: Callable[[Ask], None]) -> None:
    ask(made_up)
    bread, notes = filled(home())
    kept = usual.kept(bread, bread.processes[0], "part-baked")
    assert (kept.cool_minutes, kept.freeze_minutes, kept.load_percent, kept.uncovered_minutes) == (165, 805, 61, 32)
    ways = {route.id: route for route in bread.routes}
    assert ways["part-baked-worktop"].thaw_hours == (6.75, 16)
    assert [part.minutes for part in ways["part-baked-frozen"].oven] == [40, 20]
    for words in (
        "thawed on the worktop 6 h 45 (usual 5 h)",
        "bag after 2 h 45 (usual 2 h)",
        "96 to 97 degC, about 32",
        "straight from frozen, its core leaves the oven at about -5 to 30 degC",
        "it may still be cold",
    ):
        assert words in notes


def test_what_a_family_wrote_stays(ask: Callable[[Ask], None]) -> None:
    ask(made_up)
    form = {"cool_minutes": 75, "freeze_hours": 12.0, "load_percent": 60, "uncovered_minutes": 25}
    route = {"id": "mine", "form": "part-baked", "gives": "finished", "place": "worktop", "thaw_hours": [3, 9],
             "oven": [{"degc": 210, "minutes": 12}]}  # fmt: skip
    given = home({"forms": {"part-baked": form}, "routes": [route]})
    bread, notes = filled(given)
    assert bread.forms == given.breads["loaf"].forms
    assert bread.routes == given.breads["loaf"].routes
    assert "usual" not in notes
    assert "thawed on the worktop, its core leaves the oven" in notes, "a core that may be cold is told all the same"


def test_filled_bread_is_bagged_in_time(ask: Callable[[Ask], None]) -> None:
    """However slowly it cools: its two hours hold."""
    ask(made_up)
    bread, _ = filled(home({"kind": "filled", "forms": {"sliced": {}}}))
    assert bread.forms["sliced"].cool_minutes == 120


def test_beyond_the_model_the_customs_stay(ask: Callable[[Ask], None]) -> None:
    def refuse(_: Question) -> Answer:
        raise OutsideModel("Nobody knows such a loaf.")

    ask(refuse)
    given = home()
    bread, notes = filled(given)
    assert bread == given.breads["loaf"]
    assert "Nobody knows such a loaf. The customs of the trade are planned with." in notes


def test_one_bread_beyond_the_model_leaves_the_others_theirs(ask: Callable[[Ask], None]) -> None:
    def choosy(asked: Question) -> Answer:
        if asked.loaf.grams < 100:
            raise OutsideModel("Too small.")
        return made_up(asked)

    ask(choosy)
    two = home()
    small = Bread.model_validate({**deepcopy(LOAF), "name": "Crumb", "piece_grams": 50})
    two = Home(two.folder, two.settings, {**two.breads, "crumb": small}, two.stock)
    made, notes = with_waits(two, MONDAY, 7, None)
    assert made.breads["crumb"] == small
    assert made.breads["loaf"].forms["part-baked"].load_percent == 61
    assert "Crumb: Too small." in "\n".join(map(str, notes))


def test_a_small_freezer_takes_as_long_as_its_rating_says(ask: Callable[[Ask], None]) -> None:
    """F01, F03: two loaves of 696 g at 61 %, of 1 kg in a day; all of the day where it is rated less."""
    ask(made_up)
    for rated, hours in ((1.0, 20.4167), (0.5, 24), (0, 24), (5.0, 13.4167)):
        bread, _ = filled(home(kitchen={"freezing_kg_per_24h": rated}))
        assert bread.forms["part-baked"].freeze_hours == pytest.approx(hours, abs=0.09), rated


@pytest.mark.parametrize(
    ("low", "high", "minutes"), [(20, 25, 25), (32, 38, 32), (25, 35, 30), (39, 50, 36), (9, 12, 24)]
)
def test_the_part_bake_is_the_custom_s_moved_into_the_core_s_range(low: float, high: float, minutes: int) -> None:
    """T01 of 40 minutes is 30; C40 moves it; C41 holds it to 60 to 90 per cent of the full time."""
    assert part_baked(home().breads["loaf"], Range(low, (low + high) / 2, high)) == minutes


def test_what_is_asked_follows_the_kitchen() -> None:
    cold = {"from": "2027-03-03", "until": "2027-03-04", "setting": "room_degc", "value": 17}
    given = home(exceptions=[cold], kitchen={"freezer_degc": -20.2, "fridge_degc": 4, "room_night_lower_degc": 2},
                 ovens=[{"fan": True, "fan_lower_degc": 15}])  # fmt: skip
    around = surroundings(given.settings, Climate.of(given.settings, Clock.of(MONDAY, BERLIN, 7)))
    assert (around.room_low, around.room_high, around.fridge, around.freezer, around.fan_lower) == (15, 21, 4, -20, 15)


@pytest.mark.parametrize(("more", "expected"), [
    ({}, "batard"), ({"piece_grams": 100}, "roll"), ({"forms": {"sliced": {}}}, "tin"),
    ({"oven": {"degc": 230, "covered_minutes": 20, "uncovered_minutes": 20}}, "round"),
    ({"loaf": {"shape": "long"}}, "long"),
])  # fmt: skip
def test_a_shape_is_guessed_only_if_none_is_written(more: dict[str, Any], expected: str) -> None:
    bread = home(more).breads["loaf"]
    around = surroundings(home().settings, Climate.of(home().settings, Clock.of(MONDAY, BERLIN, 7)))
    assert (bread.loaf.shape or shape(bread)) == question(bread, around).loaf.shape == expected


def test_water_of_the_loaf_follows_the_formula() -> None:
    """900 g of 74 % dough with flour of 14 % water: half is water; 120 g bake away: 330 of 780 (C15: 40 to 43 %)."""
    formula = {"flours": {"wheat flour": 100}, "water_percent": 74, "others": {"salt": 2}}
    bread = home({"piece_grams": 900, "baked_grams": 780, "formula": formula}).breads["loaf"]
    assert water(bread) == pytest.approx(330 / 780, abs=1e-3)
    milky = {"flours": {"wheat flour": 100}, "water_percent": 34, "others": {"salt": 2, "whole milk": 46}}
    assert water(home({"piece_grams": 900, "baked_grams": 780, "formula": milky}).breads["loaf"]) > 0.40


def test_a_cold_proof_and_a_turn_of_the_oven_are_asked_with() -> None:
    process = deepcopy(LOAF["processes"][0]) | {"uses": [{"what": "fridge", "since": "mix", "until": "oven"}]}
    oven = {"degc": 240, "covered_minutes": 20, "uncovered_minutes": 25, "then": [{"after_minutes": 25, "degc": 210}]}
    given = home({"oven": oven, "processes": [process]})
    around = surroundings(given.settings, Climate.of(given.settings, Clock.of(MONDAY, BERLIN, 7)))
    part = question(given.breads["loaf"], around).part_bake
    assert part is not None
    assert part.dough_degc == 10
    assert [(each.degc, each.minutes, each.covered) for each in part.parts] == [
        (240, 20, True), (240, 5, False), (210, 240, False),
    ]  # fmt: skip


def test_what_was_measured_is_told(ask: Callable[[Ask], None]) -> None:
    from dataclasses import replace

    ask(lambda asked: replace(made_up(asked), pace_air=1.18, pace_oven=0.9, doubts=("doubtful.",)))
    one = {"what": "thaw", "hours": 6, "core_degc": 12}
    given = home({"loaf": {"measured": [one, one | {"place": "fridge", "degc": 4}]}})
    _, notes = filled(given)
    assert "it takes 18 % more time to cool, freeze and thaw than estimated" in notes
    assert "it takes 10 % less time in the oven" in notes
    assert "doubtful." in notes
    around = surroundings(given.settings, Climate.of(given.settings, Clock.of(MONDAY, BERLIN, 7)))
    asked = question(given.breads["loaf"], around)
    assert [(each.minutes, each.degc, each.where) for each in asked.measured] == [
        (360, 21, "worktop"), (360, 4, "fridge"),
    ]  # fmt: skip
