"""Ovens: when they may not be on, and what the family has booked them for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from functools import partial

from calendars.availability import is_busy
from calendars.event import Event, Reading
from calendars.intervals import union
from rotation.household import kitchen as given
from rotation.household.people import Calendar
from rotation.household.settings import Household
from rotation.intake.notes import Notes
from rotation.intake.time import Clock
from rotation.problem import Booking, Oven

_HEAT = re.compile(r"(?<!\d)(\d{2,3})\s*(?:°\s*C?|º\s*C?|℃|degc|deg C|degrees)(?!\w)", re.IGNORECASE)


def ovens(household: Household, readings: Mapping[str, Reading], clock: Clock, notes: Notes) -> tuple[Oven, ...]:
    """Return every oven with its closed hours and bookings."""
    booked = bookings(household, readings, clock, notes)
    return tuple(_oven(oven, household, booked[oven.id], clock) for oven in household.ovens)


def _oven(oven: given.Oven, household: Household, booked: tuple[Booking, ...], clock: Clock) -> Oven:
    shut = [
        clock.dated(each.since, each.until)
        for each in household.exceptions
        if each.setting == "oven closed" and each.oven in (None, oven.id)
    ]
    return Oven(
        id=oven.id,
        name=oven.name,
        places=oven.places,
        vessels=oven.vessels,
        heat_up=oven.heat_up_minutes,
        heat_up_vessel=oven.heat_up_vessel_minutes,
        degc_per_minute_up=oven.degc_per_minute_up,
        degc_per_minute_down=oven.degc_per_minute_down,
        hot_gap=oven.hot_gap_minutes,
        watch_after=oven.watch_minutes,
        watch_after_vessel=oven.watch_vessel_minutes,
        closed=clock.clipped(union(clock.spans(partial(_closed_on, oven)), shut)),
        bookings=booked,
        fan_lower_degc=oven.fan_lower_degc if oven.fan else 0,
        marked_degf=household.shown.temperature == "degF",
    )


def _closed_on(oven: given.Oven, day: date) -> tuple[tuple[int, int], ...]:
    """Return the wall-clock spans of a day in which the oven may not be on."""
    night = ((0, oven.on_from), (oven.off_by, 1440))
    return tuple(span for span in (*night, *oven.closed.on(day.weekday())) if span[0] < span[1])


def bookings(
    household: Household, readings: Mapping[str, Reading], clock: Clock, notes: Notes
) -> dict[str, tuple[Booking, ...]]:
    """Return the bookings of each oven by start: events of oven calendars, and those a rule for a calendar names.

    Heat comes from the rule, else from the title ("Roast 180 °C"), else it is unknown and nothing can follow it warm.
    """
    found: dict[str, list[Booking]] = {oven.id: [] for oven in household.ovens}
    seen: set[tuple[str, str]] = set()
    for calendar in household.calendars:
        for event in readings.get(calendar.name, Reading()).events:
            rule = _rule(event, calendar, household.bookings)
            if (calendar.role != "oven" and (rule is None or not rule.calendar)) or not is_busy(event, all_day="busy"):
                continue
            start, end = clock.outwards(event.start, event.end)
            oven = (rule.oven if rule else None) or calendar.oven or household.ovens[0].id
            if oven not in found or (oven, event.key) in seen or end <= 0 or start >= clock.end:
                continue
            seen.add((oven, event.key))
            heat = (rule.temperature_degc if rule else None) or heat_in(event.summary)
            if heat is None:
                notes.add("oven", f"“{event.summary}” does not say how hot: nothing follows it on the warm oven.")
            found[oven].append(Booking(event.key, start, end, heat, rule.places_left if rule else 0))
    return {oven: _apart(sorted(each, key=lambda b: (b.start, b.end, b.id)), notes) for oven, each in found.items()}


def _rule(event: Event, calendar: Calendar, rules: tuple[given.Booking, ...]) -> given.Booking | None:
    texts = {"summary": event.summary, "place": event.location, "calendar": calendar.name}
    return next((rule for rule in rules if rule.matches(categories=event.categories, **texts)), None)


def heat_in(title: str) -> int | None:
    """Return the temperature a title speaks of, in degC, or None; nonsense is not taken."""
    said = _HEAT.search(title)
    return int(said[1]) if said and 30 <= int(said[1]) <= 350 else None


def _apart(booked: list[Booking], notes: Notes) -> tuple[Booking, ...]:
    """Return bookings that do not overlap: those that do become one, without room beside it."""
    apart: list[Booking] = []
    for booking in booked:
        if not apart or booking.start >= apart[-1].end:
            apart.append(booking)
            continue
        last = apart.pop()
        heat = last.temperature_degc if last.temperature_degc == booking.temperature_degc else None
        apart.append(Booking(last.id, last.start, max(last.end, booking.end), heat, 0))
        notes.add("oven", "Two bookings of the oven overlap: they count as one, without room beside it.")
    return tuple(apart)
