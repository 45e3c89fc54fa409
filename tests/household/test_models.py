"""Meaning of single settings: hours, weeks, dates, what matches an event, defaults of the family's page."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Annotated
from zoneinfo import ZoneInfo

import pytest
from pydantic import BaseModel, Field, TypeAdapter, ValidationError

from rotation.household import Bread, Household, Stock, usual
from rotation.household.fields import example, model_at
from rotation.household.lines import Path
from rotation.household.matching import Match, found
from rotation.household.values import (
    Clock,
    Hours,
    HoursList,
    WeekHours,
    WeekTimes,
    first_moment,
    last_moment,
    local,
    weekdays_of,
)

BERLIN = ZoneInfo("Europe/Berlin")


@pytest.mark.parametrize(
    ("written", "span"),
    [
        ("17:30-21:30", (1050, 1290)),
        ("7:00 to 8:00", (420, 480)),
        ("00:00-24:00", (0, 1440)),
        ("22:00–06:00", (1320, 1800)),
    ],
)
def test_hours(written: str, span: tuple[int, int]) -> None:
    adapter = TypeAdapter(Hours)
    assert adapter.validate_python(written) == span
    again = adapter.dump_python(span, mode="json")
    assert adapter.validate_python(again) == span


@pytest.mark.parametrize("written", ["17:30", "8:00-8:00", "24:00-01:00", "25:00-26:00", "8:60-9:00", 8, "8-9", ""])
def test_what_is_no_span(written: object) -> None:
    with pytest.raises(ValidationError):
        TypeAdapter(Hours).validate_python(written)


def test_a_number_is_no_time_of_day() -> None:
    with pytest.raises(ValidationError, match="17:30"):
        TypeAdapter(Clock).validate_python(730)


def test_one_span_needs_no_brackets_and_several_are_sorted() -> None:
    adapter = TypeAdapter(HoursList)
    assert adapter.validate_python("7:00-8:00") == ((420, 480),)
    assert adapter.validate_python(["17:00-18:00", "7:00-8:00"]) == ((420, 480), (1020, 1080))


def test_a_single_day_overrides_its_weekdays() -> None:
    week = WeekHours.model_validate({"weekdays": ["17:30-21:30"], "wed": [], "sun": "9:00-10:00"})
    assert [week.on(day) for day in (0, 2, 5, 6)] == [((1050, 1290),), (), (), ((540, 600),)]


def test_the_shop_is_closed_on_a_day() -> None:
    week = WeekTimes.model_validate({"weekdays": "20:00", "weekends": "18:00", "sun": "closed"})
    assert [week.on(day) for day in (4, 5, 6)] == [1200, 1080, None]


def test_words_for_days() -> None:
    assert weekdays_of(["weekends", "wed"]) == {2, 5, 6}
    assert weekdays_of(["every day"]) == set(range(7))


def test_a_day_as_until_is_meant_to_its_end_also_when_clocks_change() -> None:
    change = date(2027, 3, 28)
    assert first_moment(change, BERLIN).astimezone(UTC) == datetime(2027, 3, 27, 23, tzinfo=UTC)
    assert last_moment(change, BERLIN).astimezone(UTC) == datetime(2027, 3, 28, 22, tzinfo=UTC)
    noon = datetime(2027, 3, 28, 12, tzinfo=UTC)
    assert local(noon, BERLIN) == noon


@pytest.mark.parametrize(
    ("pattern", "text", "yes"),
    [
        ("dinner", "Dinner with friends", True),
        ("dinner", "Dinnerware sale", False),
        ("din*", "Dinnerware sale", True),
        ("din*", "A dinner", False),
        ("/din+er$/", "a DINNNER", True),
        ("c++", "lunch, c++", True),
        ("dinner", "x" * 600 + " dinner", False),
    ],
)
def test_patterns(pattern: str, text: str, yes: bool) -> None:
    assert found(pattern, text) is yes


def test_every_line_of_a_match_must_hold_and_one_of_a_list_is_enough() -> None:
    match = Match.model_validate({"summary": ["brunch", "dinner"], "calendar": "Family"})
    assert match.matches(summary="Sunday brunch", calendar="family")
    assert not match.matches(summary="Sunday brunch", calendar="Work")
    assert not match.matches(summary="Sunday lunch", calendar="family")
    assert Match(category=("Guests",)).matches(categories=["x", "guests"])
    assert Match().anything


def test_the_defaults_of_the_family() -> None:
    home = Household.model_validate({"people": [{"id": "jo"}]})
    jo, oven, kitchen = home.people[0], home.ovens[0], home.kitchen
    assert jo.free.on(0) == ((1050, 1290),)
    assert jo.free.on(5) == ((450, 1260),)
    assert jo.quick.on(2) == ((405, 435),)
    assert oven.closed.on(3) == ((1020, 1140),)
    assert (oven.off_by, oven.heat_up_vessel_minutes, oven.heat_up_minutes, oven.fan_lower_degc) == (1320, 45, 15, 20)
    assert (kitchen.room_degc, kitchen.fridge_degc, kitchen.fridge_spots, kitchen.fridge_spots_guests) == (21, 6, 2, 0)
    assert (kitchen.freezing_kg_per_24h, kitchen.guests_days_before) == (2, 2)
    assert (home.shop.price_minutes, home.plan.hold_fixed_hours, home.plan.publish_days, home.plan.days) == (
        25,
        48,
        7,
        14,
    )
    assert (home.plan.bakes_a_week, home.guests.portions_per_head, home.guests.under_six_share) == (2, 2, 0.5)
    assert home.entries.alarms_a_day == 2
    assert not home.entries.blocking


def _bread(**more: object) -> Bread:
    process = {
        "id": "day",
        "pieces": [1],
        "stages": [{"name": "mix", "hands_minutes": 5, "then_minutes": [60, 90]}, {"name": "oven", "hands_minutes": 3},
                   {"name": "bag", "hands_minutes": 2}],
    }  # fmt: skip
    base = {"name": "x", "portions": 14, "piece_grams": 900,
            "formula": {"flours": {"wheat flour": 100}, "water_percent": 80},
            "oven": {"degc": 230, "covered_minutes": 20, "uncovered_minutes": 20}, "processes": [process]}  # fmt: skip
    return Bread.model_validate(base | more)


def test_what_a_loaf_file_need_not_say() -> None:
    loaf = _bread(forms={"part-baked": {}, "sliced": {}})
    kept = usual.kept(loaf, loaf.processes[0], "part-baked")
    assert loaf.grams == 783
    assert kept.uncovered_minutes == 10  # T01: three quarters of 40 minutes, 20 of them covered
    assert kept.freeze_minutes == 720
    assert kept.unit_litres == pytest.approx(3.5, rel=0.01)  # F11
    assert (kept.eat_first_weeks, kept.toast_after_weeks, kept.strict_weeks) == (4, 12, None)  # D09, T03, D12
    slices = usual.kept(loaf, loaf.processes[0], "sliced")
    assert (slices.units_per_piece, slices.portions_per_unit) == (14, 1)
    assert usual.keeps_hours(loaf) == 72
    ways = {route.id: route for route in usual.routes(loaf)}
    assert set(ways) == {"part-baked-worktop", "part-baked-fridge", "part-baked-frozen", "toast"}
    assert ways["part-baked-worktop"].thaw_hours[0] == 5
    assert 15 <= ways["part-baked-worktop"].oven[0].minutes <= 20
    assert ways["part-baked-worktop"].stand_minutes == 15
    assert usual.route_keeps_hours(loaf, ways["part-baked-worktop"]) == 36
    frozen = ways["part-baked-frozen"]
    assert [(part.degc, part.minutes) for part in frozen.oven] == [(150, 30), (230, 20)]  # T07
    assert frozen.stand_minutes == 30
    assert "part-baked-worktop" not in {route.id for route in usual.routes(loaf, room_degc=28)}


def test_what_a_roll_file_need_not_say() -> None:
    roll = _bread(piece_grams=80, portions=2, forms={"part-baked": {}})
    ways = {route.id: route for route in usual.routes(roll)}
    assert usual.keeps_hours(roll) == 24
    assert ways["part-baked-worktop"].thaw_hours[0] == 2
    assert [(part.degc, part.minutes) for part in ways["part-baked-frozen"].oven] == [(150, 10), (230, 20)]  # T06


def test_the_bowl_is_held_from_the_mix_until_it_is_shaped() -> None:
    assert [(use.what, use.since, use.until) for use in _bread().processes[0].held] == [("bowl", "mix", "oven")]


def _fields(model: type[BaseModel], at: Path = ()) -> Iterator[Path]:
    """Yield the path of every setting of a model that is not a table itself."""
    for name, field in model.model_fields.items():
        path = (*at, field.alias or name)
        for inner in (path, (*path, 0)):
            table = model_at(model, (*inner[len(at) :],))
            if table is not None:
                yield from _fields(table, inner)
                break
        else:
            yield path


@pytest.mark.parametrize("model", [Household, Bread, Stock])
def test_every_setting_has_an_example_that_is_right(model: type[BaseModel]) -> None:
    for path in _fields(model):
        said = example(model, path)
        if path[-1] in ("contains", "forms"):  # tables by a name of the family's own
            continue
        assert said.startswith(f"Write {path[-1]} = "), path
        value = tomllib.loads(said.removeprefix("Write "))[str(path[-1])]
        owner = model_at(model, path[:-1])
        assert owner is not None
        field = next(f for n, f in owner.model_fields.items() if (f.alias or n) == path[-1])
        adapter: TypeAdapter[object] = TypeAdapter(Annotated[field.annotation, Field(), *field.metadata])
        adapter.validate_python(value)
