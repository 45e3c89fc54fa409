"""Bench notes of the example's loaf: the grams are those of the plan's recipes, the waits those of the planner."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.bench import Amount, bench
from rotation.bench.notes import BenchNotes
from rotation.errors import BadInput
from rotation.household import Bread, usual
from rotation.household.reading import Home, read_home
from rotation.intake import build
from rotation.intake.heat import with_waits

EXAMPLE = Path(__file__).parents[2] / "examples" / "school-week"
HOME = read_home(EXAMPLE)
AT = datetime(2027, 3, 6, 7, tzinfo=HOME.zone)


def made(bread: str = "country", amount: Amount | None = None, home: Home = HOME, **more: Any) -> BenchNotes:
    return bench(home, bread, more.pop("process", None), amount, more.pop("at", AT), AT)


def changed(bread: str = "country", **more: Any) -> Home:
    """Return the home with a bread that is otherwise."""
    data = HOME.breads[bread].model_dump(mode="json", by_alias=True, exclude_defaults=True) | more
    return replace(HOME, breads={**HOME.breads, bread: Bread.model_validate(data)})


def test_the_waits_are_the_planner_s() -> None:
    problem = build(HOME, {}, (), (), (), None, AT, 3).problem
    process = problem.bread("country").process("day")
    steps = {step.name: step for step in made(amount=Amount("pieces", 3)).steps}
    hands = {stage.name: stage.hands + 3 * stage.hands_per_piece for stage in process.stages}
    for wait in process.waits:
        gap = (steps[wait.second].at - steps[wait.first].at) // timedelta(minutes=1)
        low, high = wait.on(0)
        assert low <= gap - (0 if wait.whole else hands[wait.first]) <= high, wait
    assert steps["mix"].at == AT
    assert [step.hands for step in made(amount=Amount("pieces", 3)).steps] == [hands[name] for name in steps]


@pytest.mark.parametrize(
    ("amount", "pieces", "grams"),
    [
        (None, 1, 900),
        (Amount("pieces", 3), 3, 900),
        (Amount("dough", 2000), 2, 1000),
        (Amount("dough", 300), 1, 300),
        (Amount("flour", 1000), 2, 865),  # 173 % of the flour
        (Amount("baked", 1566), 2, 900),
        (Amount("tin", 1.8), 1, 900),
    ],
)
def test_how_much_is_said_in_many_ways(amount: Amount | None, pieces: int, grams: float) -> None:
    notes = made(amount=amount)
    assert notes.pieces == pieces
    assert notes.piece_grams == pytest.approx(grams)
    assert notes.dough_grams == pytest.approx(pieces * grams)


@given(st.sampled_from(sorted(HOME.breads)), st.integers(1, 40))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_all_that_is_weighed_is_the_dough_and_what_is_put_back(bread: str, pieces: int) -> None:
    notes = made(bread, Amount("pieces", pieces))
    weighed = [(mass, part) for step in notes.steps for mass in step.weigh for part in mass.parts]
    fresh = sum(part.grams for _, part in weighed if part.percent is not None)
    kept = sum(mass.keep for step in notes.steps for mass in step.weigh)
    ripe = sum(part.grams for mass, part in weighed if part.percent is None and mass.words != "dough")
    assert fresh + ripe - kept == pytest.approx(notes.dough_grams)
    assert sum(part.grams for part in notes.whole) == pytest.approx(notes.dough_grams)
    assert sum(part.percent or 0 for part in notes.whole if "flour" in part.name) == pytest.approx(100)


def test_without_a_time_the_first_step_begins_now() -> None:
    notes = made(at=None)
    assert notes.steps[0].at == AT
    assert notes.steps[1].name == "mix"
    assert notes.steps[1].at > AT


def test_a_process_with_percentages_of_its_own() -> None:
    own = {"flours": {"rye flour": 100}, "water_percent": 80, "others": {"salt": 2, "mystery": 1}}
    processes = [each.model_dump(mode="json", exclude_defaults=True) for each in HOME.breads["country"].processes]
    home = changed(processes=[processes[0], processes[1] | {"formula": own}])
    day, night = (made(home=home, process=process) for process in ("day", "overnight"))
    assert (day.hydration_percent, night.hydration_percent) == (71, 80)
    assert night.prefermented_percent == 0
    assert "mystery" in {part.name for part in night.whole}
    assert day.contents.unknown == ("mystery",)  # a bread is told of by all it may hold


def test_soakers_and_walnuts_stand_where_they_go_in() -> None:
    formula = HOME.breads["country"].formula.model_dump(exclude_defaults=True)
    formula |= {
        "others": {"salt": 2, "linseed": 8},
        "soakers": [{"name": "seeds", "parts": {"linseed": 8}, "water_percent": 8, "hours": 10}],
        "inclusions": {"walnuts": 12}, "inclusions_at": "fold 1",
    }  # fmt: skip
    notes = made(home=changed(formula=formula))
    at = {step.name: [mass.words for mass in step.weigh] for step in notes.steps if step.weigh}
    assert at == {"feed": ["starter", "seeds"], "mix": ["dough"], "fold 1": ["then"]}
    assert "walnut" in notes.contents.found
    assert notes.soaked_percent == 8


def test_three_builds_are_fed_one_after_the_other() -> None:
    formula = HOME.breads["country"].formula.model_dump(exclude_defaults=True)
    starter = formula["preferments"][0]
    first = starter | {"name": "first", "flour_percent": 0, "hold_back_grams": 20}
    formula["preferments"] = [first, starter | {"seed_from": "first", "hold_back_grams": 0}]
    notes = made(home=changed(formula=formula))
    feed = notes.steps[0].weigh
    assert [mass.words for mass in feed] == ["first", "starter"]
    assert feed[0].beforehand == "fed about 11 h before"
    assert feed[1].beforehand == ""
    assert feed[0].keep == 20


def test_what_is_not_looked_up_is_said_and_what_others_hold() -> None:
    notes = made(home=changed(contains={"rye flour": []}))
    assert "rye" not in notes.contents.found
    assert ("Milk tin loaf", ("milk",)) in notes.contents.beside
    assert made("tin").contents.us == ("milk", "wheat")


@pytest.mark.usefixtures("heated")
def test_waits_that_follow_from_heat_are_those_of_the_plan(tmp_path: Path) -> None:
    warmed, told = with_waits(replace(HOME, breads={"country": HOME.breads["country"]}), AT, 4, tmp_path)
    thaw = {route.id: route.thaw_hours[0] for route in usual.routes(warmed.breads["country"])}
    notes = bench(HOME, "country", None, None, AT, AT, tmp_path)
    assert {way.name: way.thaw[0] / 60 for way in notes.ways if way.place} == {
        name: pytest.approx(hours) for name, hours in thaw.items() if hours
    }
    assert {note.text for note in told if note.text.startswith("Country loaf")} <= set(notes.said)


def test_what_comes_out_when_and_keeps_until_when() -> None:
    table, part, sliced = made(amount=Amount("pieces", 2)).baked
    assert [each.treatment for each in (table, part, sliced)] == ["table", "part-baked", "sliced"]
    assert part.out < table.out == sliced.out
    assert part.eat_first is not None
    assert part.eat_first.date() == part.ready.date() + timedelta(weeks=4)
    assert table.eat_first is None


def test_every_way_to_the_table_ends_later_than_its_thaw() -> None:
    for way in made().ways:
        assert way.soonest >= way.thaw[0] + sum(minutes for _, minutes in way.oven)


def test_water_as_warm_as_the_dough_wants_it() -> None:
    processes = [each.model_dump(mode="json", exclude_defaults=True) for each in HOME.breads["country"].processes]
    notes = made(home=changed(processes=[processes[0] | {"dough_degc": 25}]))
    assert notes.water.degc == 4 * 25 - 3 * 21 - 4  # room, flour and starter at 21; 4 from kneading
    assert notes.water_by_heat is not None
    assert 25 < notes.water_by_heat < notes.water.degc + 5


@pytest.mark.parametrize(("bread", "more", "said"), [
    ("nothing", {}, "There is: country, rolls, tin."),
    ("country", {"process": "dawn"}, "There is: day, overnight."),
    ("country", {"amount": Amount("pieces", 0)}, "above nothing"),
    ("country", {"amount": Amount("pieces", -2)}, "above nothing"),
    ("country", {"amount": Amount("pieces", float("nan"))}, "above nothing"),
    ("country", {"amount": Amount("dough", float("inf"))}, "above nothing"),
    ("country", {"amount": Amount("pieces", 1.5)}, "whole number"),
    ("country", {"amount": Amount("pieces", 1e6)}, "At most 100 kg"),
    ("country", {"amount": Amount("flour", 9e8)}, "At most 100 kg"),
    ("country", {"amount": Amount("dough", 3)}, "crumbs"),
])  # fmt: skip
def test_what_cannot_be_baked_is_refused(bread: str, more: dict[str, Any], said: str) -> None:
    with pytest.raises(BadInput) as bad:
        made(bread, **more)
    assert said in str(bad.value)


def test_the_first_oven_that_has_a_pot_is_meant() -> None:
    (oven,) = HOME.settings.ovens
    bare, other = (oven.model_copy(update={"id": id_, "vessels": pots}) for id_, pots in (("bare", 0), ("other", 1)))
    home = replace(HOME, settings=HOME.settings.model_copy(update={"ovens": (bare, other)}))
    assert made(home=home).vessel
    assert not made("tin", home=home).vessel


def test_a_starter_fed_for_days_is_mixed_days_later() -> None:
    processes = [each.model_dump(mode="json", exclude_defaults=True) for each in HOME.breads["country"].processes]
    processes[0]["stages"][0] |= {"then_minutes": [14_000, 20_160], "warm": False}
    notes = made(home=changed(processes=processes[:1]), at=None)
    assert notes.steps[0].at == AT
    assert notes.steps[1].at - AT > timedelta(days=9)
    processes[0]["stages"].insert(0, {"name": "wake", "hands_minutes": 2, "then_minutes": [20_000, 20_160]})
    assert made(home=changed(processes=processes[:1]), at=None).steps[2].at - AT > timedelta(days=23)


def test_in_the_warm_box_all_is_told_of_the_box() -> None:
    processes = [each.model_dump(mode="json", exclude_defaults=True) for each in HOME.breads["country"].processes]
    warm = changed(processes=[processes[0] | {"in_box": True}])
    kitchen = HOME.settings.kitchen.model_copy(update={"proof_box_degc": 27.0})
    home = replace(warm, settings=HOME.settings.model_copy(update={"kitchen": kitchen}))
    notes, cool = made(home=home), made()
    assert (notes.box_degc, cool.box_degc) == (27, None)
    shape, slow = (next(step for step in each.steps if step.name == "shape") for each in (notes, cool))
    assert (shape.risen, slow.risen) == (25, 50)
    assert shape.at < slow.at
