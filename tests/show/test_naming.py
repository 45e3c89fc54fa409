"""Short names of steps: no two alike, said as a person says them, the same in print and in JSON."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from rotation.naming import names, names_of
from rotation.plan import Bake, Plan, Stay, Step
from rotation.show.plan_json import plan_json
from tests.show.sample import plan, problem

FRIDAY = datetime(2027, 3, 5, 18, tzinfo=UTC)


def baked(id_: str, bread: str, at: int) -> Bake:
    stay = Stay(f"{id_}:oven", "oven", 230, False, "cold", at + 55, at + 100, at + 140, ())
    steps = (
        Step("mix", at, at + 10, "jo"),
        Step("fold 1", at + 30, at + 32, "jo"),
        Step("oven", at + 100, at + 102, "jo"),
    )
    return Bake(id_, bread, "day", 0, (("table", 1),), steps, stay, at + 200, None, ())


def named(*bakes: Bake) -> set[str]:
    return set(names(Plan(bakes=bakes), lambda minute: FRIDAY + timedelta(minutes=minute)).values())


def test_the_weekday_and_the_step_name_a_step() -> None:
    assert named(baked("a", "rye", 900)) == {"sat-mix", "sat-fold-1", "sat-oven", "sat-out"}


def test_what_is_further_off_than_a_week_has_its_date() -> None:
    assert "fri12-mix" in named(baked("a", "rye", 7 * 1440))
    assert "thu-mix" in named(baked("a", "rye", 6 * 1440))


def test_two_of_a_day_are_told_apart_by_bread_and_then_by_number() -> None:
    assert {"sat-rye-mix", "sat-spelt-mix"} <= named(baked("a", "rye", 900), baked("b", "spelt", 930))
    assert {"sat-rye-mix", "sat-rye-mix-2"} <= named(baked("a", "rye", 900), baked("b", "rye", 930))


def test_no_two_names_of_a_plan_are_alike_and_json_has_them() -> None:
    house, of = problem(), plan()
    known = list(names_of(house, of).values())
    assert len(known) == len(set(known)) > 5
    document = plan_json(house, of, "Home", checked=True)
    steps = [step["short"] for bake in document["bakes"] for step in bake["steps"] if step["who"]]
    shorts = {*steps, *(thing["short"] for kind in ("thaws", "finishes") for thing in document[kind])} - {None}
    assert shorts <= set(known)
    assert {bake["short_out"] for bake in document["bakes"]} <= set(known)
    assert None not in steps
