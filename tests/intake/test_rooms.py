"""Ovens and the kitchen: closed hours, bookings, room with dated exceptions and guests."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from calendars.event import Event
from rotation.intake import Intake
from rotation.intake.ovens import heat_in
from rotation.problem import Oven, lowest, value_at, well_ordered

Understood = Callable[..., Intake]
Made = Callable[..., Event]

CALENDARS = [{"name": "Oven", "path": "oven.ics", "role": "oven"}]
ROAST = ("Roast 180 °C", "03-07 10:30", "03-07 12:30")


def oven(intake: Intake) -> Oven:
    return intake.problem.ovens[0]


def shut(intake: Intake, day: int, clock: int) -> bool:
    return any(start <= day * 1440 + clock < end for start, end in oven(intake).closed)


def test_the_oven_is_closed_at_supper_and_at_night(understood: Understood) -> None:
    intake = understood()
    assert well_ordered(oven(intake).closed)
    assert [shut(intake, 1, at) for at in (0, 359, 360, 1019, 1020, 1139, 1140, 1319, 1320)] == [
        True, True, False, False, True, True, False, False, True,
    ]  # fmt: skip


def test_the_oven_is_closed_on_certain_dates(understood: Understood) -> None:
    dated = {"from": "2027-03-03T08:00:00", "until": "2027-03-04", "setting": "oven closed"}
    intake = understood(exceptions=[dated])
    assert [shut(intake, day, 600) for day in range(5)] == [False, False, True, True, False]
    assert not shut(intake, 2, 470)


def test_a_booking_has_the_heat_of_its_rule_or_its_title(understood: Understood, event: Made) -> None:
    events = [
        event(*ROAST),
        event("Gratin 200 °C", "03-08 12:00", "03-08 13:00"),
        event("Something", "03-09 12:00", "03-09 13:00"),
    ]
    rules = [{"summary": "gratin*", "temperature_degc": 210, "places_left": 1}]
    intake = understood({"Oven": events}, calendars=CALENDARS, bookings=rules, days=10)
    assert [(b.temperature_degc, b.places_left, b.end - b.start) for b in oven(intake).bookings] == [
        (180, 0, 120), (210, 1, 60), (None, 0, 60),
    ]  # fmt: skip
    assert any("Something" in str(note) and "how hot" in str(note) for note in intake.notes)
    assert (
        intake.problem.person("jo").inside == understood(days=10).problem.person("jo").inside
    )  # a booking takes nobody out


@pytest.mark.parametrize(
    ("title", "degc"),
    [
        ("Roast 180 °C", 180),
        ("Pizza (250°C)", 250),
        ("Cake 175 degrees", 175),
        ("Roast for 6", None),
        ("5000 °C", None),
        ("7 °C", None),
    ],
)
def test_heat_in_a_title(title: str, degc: int | None) -> None:
    assert heat_in(title) == degc


def test_bookings_that_overlap_become_one(understood: Understood, event: Made) -> None:
    events = [
        event(*ROAST),
        event("Cake 175 °C", "03-07 12:00", "03-07 13:00"),
        event("Bread 180 °C", "03-07 13:00", "03-07 14:00"),
    ]
    intake = understood({"Oven": events}, calendars=CALENDARS)
    assert [(b.end - b.start, b.temperature_degc) for b in oven(intake).bookings] == [(150, None), (60, 180)]
    assert any("overlap" in str(note) for note in intake.notes)


def test_bookings_called_off_or_not_blocking_do_not_count(understood: Understood, event: Made) -> None:
    events = [event(*ROAST, status="CANCELLED"), event("Idea", "03-06 12:00", "03-06 13:00", transparent=True)]
    assert oven(understood({"Oven": events}, calendars=CALENDARS)).bookings == ()


def test_a_rule_for_a_calendar_makes_bookings_of_its_events(understood: Understood, event: Made) -> None:
    rules = [{"calendar": "Home", "summary": "roast*", "temperature_degc": 180}]
    assert len(oven(understood([event(*ROAST)], bookings=rules)).bookings) == 1
    elsewhere = [{"summary": "roast*", "temperature_degc": 180}]
    assert oven(understood([event(*ROAST)], bookings=elsewhere)).bookings == ()


def test_the_second_oven_has_its_own_bookings(understood: Understood, event: Made) -> None:
    ovens = [{"id": "big"}, {"id": "small", "places": 1}]
    calendars = [{"name": "Oven", "path": "o.ics", "role": "oven", "oven": "small"}]
    big, small = understood({"Oven": [event(*ROAST)]}, calendars=calendars, ovens=ovens).problem.ovens
    assert (len(big.bookings), len(small.bookings)) == (0, 1)


def test_a_fan_lowers_what_an_oven_is_set_to(understood: Understood) -> None:
    for settings, lower in (({}, 0), ({"fan": True}, 20), ({"fan": True, "fan_lower_degc": 15}, 15)):
        (oven,) = understood(ovens=[settings]).problem.ovens
        assert oven.fan_lower_degc == lower


@pytest.mark.parametrize(
    ("setting", "value", "field", "base", "there"),
    [
        ("bowls", 2, "bowls", 1, 2),
        ("dough_limit_kg", 1.5, "dough_grams", 3000, 1500),
        ("bannetons", 0, "bannetons", 2, 0),
        ("fridge_spots", 1, "fridge_spots", 2, 1),
        ("freezer_litres", 7.5, "freezer_dl", 200, 75),
        ("freezing_kg_per_24h", 0.4, "freezing_grams_24h", 2000, 400),
    ],
)
def test_room_has_dated_exceptions(
    understood: Understood, setting: str, value: float, field: str, base: int, there: int
) -> None:
    dated: dict[str, Any] = {"from": "2027-03-03", "until": "2027-03-04", "setting": setting, "value": value}
    steps = getattr(understood(exceptions=[dated]).problem.kitchen, field)
    assert [value_at(steps, at) for at in (0, 2879, 2880, 5759, 5760)] == [base, base, there, there, base]


def test_guests_food_fills_the_fridge_from_two_days_before_until_they_leave(
    understood: Understood, event: Made
) -> None:
    dinner = event("Dinner", "03-06 18:00", "03-06 22:00")
    rules = [{"summary": "dinner*", "strict": True}]
    spots = understood([dinner], meals=rules).problem.kitchen.fridge_spots
    assert spots == ((0, 2), (3 * 1440, 0), (5 * 1440 + 1320, 2))
    everyday = understood([dinner], meals=[{"summary": "dinner*"}]).problem.kitchen.fridge_spots
    assert everyday == ((0, 2),)
    fewer = {"from": "2027-03-04", "until": "2027-03-04", "setting": "fridge_spots", "value": 0}
    both = understood([dinner], meals=rules, exceptions=[fewer], kitchen={"fridge_spots_guests": 1}).problem.kitchen
    assert lowest(both.fridge_spots, 3 * 1440, 4 * 1440) == 0
    assert value_at(both.fridge_spots, 4 * 1440) == 1
