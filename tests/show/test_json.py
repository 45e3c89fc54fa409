from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from rotation.plan import Feeding, Plan, Step
from rotation.problem import Problem, Published
from rotation.show.json_text import dumps
from rotation.show.plan_json import plan_json
from rotation.show.schema import plan_schema
from rotation.show.understood import lines, understood_json
from tests.rules import sample as other
from tests.show.sample import at, begun, plan, problem

KEYS = [
    *(
        "schema",
        "household",
        "zone",
        "now",
        "horizon",
        "status",
        "gap",
        "canonical",
        "path",
        "changed",
        "checked",
        "tiers",
        "cost",
    ),
    *("days", "instructions", "strips"),
    *("people", "lots", "bakes", "oven", "thaws", "finishes", "feeds", "bought", "discards", "bread_box"),
    *("meals", "freezer"),
    *("shortfalls", "wishes", "sketch", "notes"),
]
ITEMS = {
    "tiers": "name value bound",
    "lots": "id bread form pieces bagged through eat_first toast_after",
    "bakes": "id bread process pieces to_table to_freezer form steps",
    "oven": "id oven heat_from start end programme loads",
    "thaws": "id lots bread form pieces place start end who",
    "finishes": "id lots bread pieces route stay start end ready who meals",
    "feeds": "id short start end who ahead what",
    "bought": "loaves buy_by meals",
    "meals": "uid summary start heads portions served shortfall strict from",
    "freezer": "time bread form pieces",
}


def document(house: Problem | None = None, of: Plan | None = None, *, with_problem: bool = False) -> dict[str, Any]:
    return plan_json(house or problem(), of or plan(), "Home", ["a remark"], checked=True, with_problem=with_problem)


def walk(value: Any) -> Iterator[Any]:
    yield value
    if isinstance(value, dict | list):
        for part in value.values() if isinstance(value, dict) else value:
            yield from walk(part)


def validator() -> Draft202012Validator:
    Draft202012Validator.check_schema(plan_schema())
    return Draft202012Validator(plan_schema())


def test_has_exactly_the_documented_keys() -> None:
    assert list(document()) == KEYS
    assert list(document(with_problem=True)) == [*KEYS, "problem"]
    for name, keys in ITEMS.items():
        for item in document()[name]:
            assert set(keys.split()) <= set(item)
    assert {"name", "start", "end", "hands", "who", "uses"} <= set(document()["bakes"][0]["steps"][0])


@pytest.mark.parametrize("house", [(problem(), plan()), (other.problem(), other.plan()), begun()])
def test_keeps_to_its_schema(house: tuple[Problem, Plan]) -> None:
    validator().validate(document(*house, with_problem=True))


def test_the_schema_notices_whatever_is_missing_or_of_another_kind() -> None:
    fed = replace(plan(), feedings=(Feeding("starter-1", at(1, 8), at(1, 8, 5), "sam", at(1, 20)),))
    check, whole = validator(), document(of=fed)
    check.validate(whole)
    for key in KEYS:
        assert not check.is_valid({name: value for name, value in whole.items() if name != key})
    for name, keys in ITEMS.items():
        for key in keys.split():
            less = deepcopy(whole)
            del less[name][0][key]
            assert not check.is_valid(less), (name, key)
    for key, wrong in (
        ("now", "2027-03-05 17:00"),
        ("status", "good"),
        ("checked", False),
        ("schema", "rotation/plan/2"),
    ):
        assert not check.is_valid({**whole, key: wrong})


def test_everything_in_a_list_has_an_id_of_its_own() -> None:
    for value in walk(document()):
        if isinstance(value, list) and value and isinstance(value[0], dict):
            ids = [item["id"] for item in value]
            assert len(set(ids)) == len(ids)


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert dumps(document(with_problem=True)) == dumps(document(with_problem=True))
    assert json.loads(dumps(document())) == document()


def test_times_bear_the_offset_of_the_household() -> None:
    whole = document()
    assert whole["now"] == "2027-03-05T17:00+01:00"
    assert whole["horizon"]["end"] == "2027-03-08T00:00+01:00"
    assert whole["lots"][2]["eat_first"].endswith("+02:00"), "after the change of clocks"


def test_only_the_shown_days_are_published() -> None:
    whole = document()
    assert [meal["id"] for meal in whole["meals"]][-1] == "sun-lunch"
    assert [thaw["id"] for thaw in whole["thaws"]] == ["out-rolls", "toast-1"]
    assert all(level["time"] < whole["horizon"]["end"] for level in whole["freezer"])


def test_the_terms_add_up_to_the_total() -> None:
    cost = document()["cost"]
    assert sum(term["value"] for term in cost["terms"]) == cost["total"] == 140_250


def test_meals_add_up() -> None:
    for meal in document()["meals"]:
        assert sum(part["portions"] for part in meal["from"]) == meal["served"] == meal["portions"] - meal["shortfall"]


def test_the_freezer_follows_from_lots_thaws_and_discards() -> None:
    """Count the freezer again from the other lists, as a reader without this program would."""
    whole = document()
    gone = [(thaw["start"], lot["id"], lot["pieces"]) for thaw in whole["thaws"] for lot in thaw["lots"]]
    gone += [(discard["at"], discard["lot"], discard["pieces"]) for discard in whole["discards"]]
    start, end = whole["horizon"]["start"], whole["horizon"]["end"]
    for level in whole["freezer"]:
        lots = [lot for lot in whole["lots"] if (lot["bread"], lot["form"]) == (level["bread"], level["form"])]
        there = sum(lot["pieces"] for lot in lots if lot["bake"] is None or lot["bagged"] <= level["time"])
        taken = sum(n for when, lot, n in gone if when <= level["time"] and lot in {one["id"] for one in lots})
        assert level["pieces"] == there - taken
        assert start <= level["time"] < end


def test_bread_in_the_box_says_who_eats_of_it() -> None:
    box = {item["id"]: item for item in document()["bread_box"]}
    assert [meal["id"] for meal in box["bought-1"]["meals"]] == ["fri-supper", "sat-lunch"]
    assert {item["origin"] for item in box.values()} == {"box", "bought", "take-out", "bake"}


def test_no_escape_of_a_calendar_reaches_a_reader() -> None:
    texts = [value for value in walk(document(with_problem=True)) if isinstance(value, str)]
    assert not any("\x1b" in text for text in texts)


def minute(iso: str) -> int:
    return round((datetime.fromisoformat(iso) - problem().zero) / timedelta(minutes=1))


def test_the_problem_says_every_field_of_every_input() -> None:
    """Read the inputs back from JSON by their documented form alone, and compare them with what was planned."""
    house, told = problem(), document(with_problem=True)["problem"]
    assert [minute(midnight) for midnight in told["midnights"]] == list(house.midnights)
    for person, said in zip(house.people, told["people"], strict=True):
        for name in ("inside", "free", "quick"):
            assert [(minute(s["start"]), minute(s["end"])) for s in said[name]] == list(getattr(person, name))
        assert [(minute(step["from"]), step["value"]) for step in said["price"]] == list(person.price)
        assert (said["id"], said["adult"], said["bakes"], said["finishes"]) == (person.id, True, person.bakes, True)
    for name, steps in told["kitchen"].items():
        assert [(minute(step["from"]), step["value"]) for step in steps] == list(getattr(house.kitchen, name))
    for lot, said in zip(house.lots, told["lots"], strict=True):
        assert all(
            minute(said[name]) == getattr(lot, name) for name in ("bagged", "through", "eat_first", "toast_after")
        )
    process, said = house.breads[0].processes[0], told["breads"][0]["processes"][0]
    for wait, telling in zip(process.waits, said["waits"], strict=True):
        assert [(bound["shortest"], bound["longest"]) for bound in telling["bounds"]] == list(wait.bounds)
        assert (telling["first"], telling["second"], telling["whole"]) == (wait.first, wait.second, wait.whole)
    assert [minute(at_) for at_ in told["shop"]["closes"]] == list(house.shop.closes)
    assert [minute(meal["at"]) for meal in told["meals"]] == [meal.at for meal in house.meals]
    assert told["meals"][0]["accepts"][0]["kinds"] == sorted(house.meals[0].accepts[0].kinds)
    assert told["weights"]["unmet_portion"] == house.weights.unmet_portion


def test_the_problem_says_bakes_under_way_and_what_was_published() -> None:
    house, of = begun()
    told = document(replace(house, published=(Published("sourdough", "overnight", 1, 5),)), of, with_problem=True)[
        "problem"
    ]
    assert told["under_way"][0]["done"][0] == {
        "name": "feed",
        "start": "2027-03-05T20:30+01:00",
        "end": "2027-03-05T20:35+01:00",
    }
    assert date.fromisoformat(told["published"][0]["day"]) == house.date_of(1)


def test_what_is_understood_can_be_read_by_people_and_programs() -> None:
    said = "\n".join(lines(problem(), ["an odd event"]))
    assert "in 17:00-22:30; hands free 17:30-21:30; jobs of two minutes not at all" in said
    assert "in use Sun 7 Mar 15:00 to 16:30: 180 (fan 160)" in said
    assert "bag B: 12 rolls, part-baked, bagged 28 Feb" in said
    assert "Sun 7 Mar 12:30 GUESTS Lunch with the neighbours: 20 portions, 8 heads" in said
    assert "an odd event" in said
    assert "\x1b" not in said
    assert understood_json(problem(), "Home", ["x"])["problem"]["shown_days"] == 3
    assert at(0, 17) == 0


def test_nothing_refers_to_a_meal_that_is_not_shown() -> None:
    shown = document(replace(problem(), shown_days=1))
    known = {meal["id"] for meal in shown["meals"]}
    fed = [
        meal["id"]
        for kind in ("bakes", "thaws", "finishes", "bought")
        for item in shown[kind]
        for meal in item.get("meals", ())
    ]
    assert set(fed) <= known


def test_a_finish_at_two_temperatures_holds_both() -> None:
    of = plan()
    (finish,) = of.finishes
    at_oven = Step("set 240", finish.stay.start + 4, finish.stay.start + 5, "jo")
    shown = document(
        of=replace(of, finishes=(replace(finish, stay=replace(finish.stay, turns=((4, 240),), events=(at_oven,))),))
    )
    validator().validate(shown)
    (stay,) = [stay for stay in shown["oven"] if stay["for"] == "finish-1"]
    (turn,) = stay["programme"]["turns"]
    assert (turn["time"], turn["degc"]) == ("2027-03-06T08:04+01:00", 240)
    assert [other["programme"]["turns"] for other in shown["oven"] if other is not stay] == [[]]
