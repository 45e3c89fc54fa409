"""The kitchen's room over time: dated exceptions, guests' food in the fridge, and the room's warmth by day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import get_args

from rotation.household.kitchen import Month
from rotation.household.settings import Household
from rotation.intake.notes import Notes
from rotation.intake.time import Clock, joined, steps
from rotation.problem import Bread, Kitchen, Lot, Steps, value_at

MONTHS: tuple[Month, ...] = get_args(Month)


def kitchen(household: Household, guests: Iterable[tuple[int, int]], clock: Clock, notes: Notes) -> Kitchen:
    """Return what the house holds. guests: `(minute, end)` of each strict meal; their food fills the fridge."""
    own = household.kitchen
    spots = _steps(household, "fridge_spots", 1, clock)
    filled = [
        (clock.midnight(clock.day_before(at, own.guests_days_before)), end)
        for at, end in guests
        if own.fridge_spots_guests < own.fridge_spots
    ]
    if filled:
        notes.add(
            "kitchen",
            f"Guests' food fills the fridge from {_before(own.guests_days_before)}: "
            f"{own.fridge_spots_guests} of {own.fridge_spots} spots left for bread.",
        )
    return Kitchen(
        bowls=_steps(household, "bowls", 1, clock),
        dough_grams=_steps(household, "dough_limit_kg", 1000, clock),
        bannetons=_steps(household, "bannetons", 1, clock),
        fridge_spots=_capped(spots, filled, own.fridge_spots_guests),
        freezer_dl=_steps(household, "freezer_litres", 10, clock),
        freezing_grams_24h=_steps(household, "freezing_kg_per_24h", 1000, clock),
    )


def holding(made: Kitchen, lots: Iterable[Lot], breads: Iterable[Bread], notes: Notes) -> Kitchen:
    """Return the kitchen with the freezer as roomy, for now, as what lies in it proves it to be."""
    form = {(bread.id, form.id): form for bread in breads for form in bread.forms}
    held = sum(lot.units * form[lot.bread, lot.form].unit_dl for lot in lots)
    given = value_at(made.freezer_dl, 0)
    if held <= given:
        return made
    notes.add("freezer", f"The bags in the freezer take {held / 10:g} litres, the settings give it {given / 10:g}.")
    later = tuple((at, value) for at, value in made.freezer_dl if at > 0)
    return replace(made, freezer_dl=((0, held), *later))


def _before(days: int) -> str:
    return ("that day on", "the day before")[days] if days < 2 else f"{days} days before"


def warmth(household: Household, setting: str, clock: Clock) -> tuple[float, ...]:
    """Return "room_degc" or "fridge_degc" at noon of each local day: of its dates, else of its month, else as ever."""
    months = household.kitchen.room_by_month if setting == "room_degc" else {}
    dated = [
        (*clock.dated(each.since, each.until), each.value)
        for each in household.exceptions
        if each.setting == setting and each.value is not None
    ]

    def on(day: date) -> float:
        noon = clock.at(day, 720)
        usual = months.get(MONTHS[day.month - 1], getattr(household.kitchen, setting))
        return float(next((value for start, end, value in reversed(dated) if start <= noon < end), usual))

    return tuple(on(day) for day in clock.dates)


def _steps(household: Household, setting: str, per_unit: int, clock: Clock) -> Steps:
    """Return a number of the kitchen as a step function, in `per_unit`-ths of its unit."""
    dated = (
        (*clock.dated(each.since, each.until), round(per_unit * each.value))
        for each in household.exceptions
        if each.setting == setting and each.value is not None
    )
    return steps(round(per_unit * getattr(household.kitchen, setting)), dated)


def _capped(base: Steps, spans: list[tuple[int, int]], most: int) -> Steps:
    """Return the step function with at most `most` within the spans."""
    cap = steps(10**6, [(start, end, most) for start, end in spans])
    edges = sorted({at for at, _ in (*base, *cap)})
    return joined((at, min(value_at(base, at), value_at(cap, at))) for at in edges)
