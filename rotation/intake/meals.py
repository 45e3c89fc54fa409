"""Meals: what events of the calendars add to the standing habits, replace, or take off."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from calendars.event import Event, Reading
from rotation.household.meals import MealRule
from rotation.household.people import Calendar
from rotation.household.settings import Household
from rotation.intake import habits
from rotation.intake.notes import Notes
from rotation.intake.people import Presence, identities, only_declined, whose
from rotation.intake.table import ANY_AGE, Table
from rotation.intake.time import Clock
from rotation.problem import Meal
from rotation.units import time_of_day

BEFORE = 60
"""A standing meal up to this many minutes before an event's meal, or while the event lasts, is eaten there instead."""

MOST_HEADS = 500

_HEADS = re.compile(r"(?<![\w.:,/-])(\d{1,4})(?![\w:/°]|[.,-]\d|\s*(?:°|h\b|am\b|pm\b|o'clock|uhr|min))", re.IGNORECASE)


@dataclass(frozen=True)
class Ruled:
    """An event and the meal rule it fell under; `calendar` is where it stands."""

    event: Event
    rule: MealRule
    calendar: Calendar

    @property
    def name(self) -> str:
        """Return what the meal is called: the rule's name for it, else the event's title."""
        return self.event.summary or self.rule.name or "a meal"


def ruled(household: Household, readings: Mapping[str, Reading]) -> tuple[Ruled, ...]:
    """Return the events that mean something for bread, each once, by the first rule that matches.

    Not those called off, those of an oven's calendar, or those that all who were asked from this house declined.
    """
    known, found = identities(household), dict[str, Ruled]()
    for calendar in household.calendars:
        for event in readings.get(calendar.name, Reading()).events if calendar.role != "oven" else ():
            if (
                event.cancelled
                or event.key in found
                or (only_declined(event, known) and not whose(event, calendar, known))
            ):
                continue
            texts = {"summary": event.summary, "place": event.location, "calendar": calendar.name}
            rule = next((r for r in household.meals if r.matches(categories=event.categories, **texts)), None)
            if rule is not None:
                found[event.key] = Ruled(event, rule, calendar)
    return tuple(sorted(found.values(), key=lambda each: (each.event.start, each.event.key)))


def away(household: Household, found: Sequence[Ruled], clock: Clock) -> list[tuple[str, tuple[int, int]]]:
    """Return `(person, span)` for the events during which people eat elsewhere."""
    known = identities(household)
    return [
        (person, clock.outwards(each.event.start, each.event.end))
        for each in found
        if each.rule.effect == "away"
        for person in sorted(whose(each.event, each.calendar, known))
    ]


def holidays(household: Household, readings: Mapping[str, Reading], clock: Clock) -> frozenset[date]:
    """Return the local days without school: those any event that matches a holiday touches."""
    days: set[date] = set()
    for calendar in household.calendars:
        for event in readings.get(calendar.name, Reading()).events:
            texts = {"summary": event.summary, "place": event.location, "calendar": calendar.name}
            if event.cancelled or not any(
                h.matches(categories=event.categories, **texts) for h in household.habits.holidays
            ):
                continue
            start, end = clock.outwards(event.start, event.end)
            first, last = clock.date_of(start), clock.date_of(max(start, end - 1))
            days.update(day for day in clock.dates if first <= day <= last)
    return frozenset(days)


def meals(
    household: Household,
    found: Sequence[Ruled],
    everybody: Sequence[Presence],
    table: Table,
    no_school: frozenset[date],
    shown_end: int,
    clock: Clock,
    notes: Notes,
) -> tuple[tuple[Meal, ...], tuple[tuple[int, int], ...]]:
    """Return all meals by time, and `(minute, end)` of the strict ones. Past `shown_end` only the habits count."""
    standing = habits.standing(household, everybody, table, no_school, clock, notes)
    added: list[Meal] = []
    strict: list[tuple[int, int]] = []
    less: dict[str, int] = {}
    for each in found:
        at = _minute(each, clock, notes)
        if each.rule.effect == "away" or at >= shown_end:
            continue
        if at < 0:
            if clock.date_of(at) == clock.first:
                notes.add("meals", f"“{each.name}” at {time_of_day(clock.local(at))} is over before the plan begins.")
            continue
        if each.rule.effect == "less":
            _take_off(less, standing, each, at, everybody, household, clock, notes)
            continue
        meal = _meal(each, at, everybody, table, household, notes)
        if meal.portions < 1:
            notes.add("meals", f"“{each.name}” ({clock.day(at)}) wants no bread: nobody is counted.")
            continue
        end = max(clock.minute(each.event.end), at + BEFORE)
        joined = {m.id for m in standing if m.summary != habits.LUNCH and at - BEFORE <= m.at < end}
        if joined:
            notes.add("meals", f"“{each.name}” ({clock.day(at)}) takes the place of the usual meal.")
            standing = [m for m in standing if m.id not in joined]
        added.append(meal)
        if meal.strict:
            strict.append((at, end))
    everything = sorted([*habits.fewer(standing, less), *added], key=lambda meal: (meal.at, meal.id))
    for meal in everything:
        if not meal.accepts and not meal.bought:
            table.say_unfed(meal.summary, meal.without)
    return tuple(everything), tuple(strict)


def _minute(each: Ruled, clock: Clock, notes: Notes) -> int:
    """Return when the bread is eaten; an event without an hour counts as noon of its first day."""
    if each.event.all_day and not each.rule.minutes_after_start and each.rule.effect == "meal":
        notes.add("meals", f"“{each.name}” has no hour: its bread is for noon.")
        return clock.at(clock.date_of(clock.minute(each.event.start)), 720)
    return clock.minute(each.event.start + timedelta(minutes=each.rule.minutes_after_start))


def _meal(
    each: Ruled, at: int, everybody: Sequence[Presence], table: Table, household: Household, notes: Notes
) -> Meal:
    rule = each.rule
    counted, heads = _counted(each, at, everybody, household, notes)
    without = table.without(counted, rule.without)
    use = rule.use or ("guests" if rule.strict else "everyday")
    max_age = ANY_AGE if rule.fresh_within_hours is None else round(60 * rule.fresh_within_hours)
    return Meal(
        id=each.event.key,
        uid=each.event.uid,
        summary=each.name,
        at=at,
        heads=heads,
        portions=_portions(rule, heads, counted, household),
        strict=rule.strict,
        accepts=table.accepts(rule.breads, rule.ways, without, max_age, warm=rule.warm),
        without=without,
        age_milli=table.age_milli(use),
        source=each.calendar.name,
        bought=not rule.strict and table.bought(rule.ways, warm=rule.warm),
    )


def _portions(rule: MealRule, heads: int, counted: Sequence[Presence], household: Household) -> int:
    """Return whole portions, rounded up; people of the house under six eat less."""
    a_head = household.guests.portions_per_head if rule.portions_per_head is None else rule.portions_per_head
    spared = sum(1 - habits.appetite(each.resident, household) for each in counted) if len(counted) <= heads else 0
    return int(-(-round(1000 * a_head * max(heads - spared, 0)) // 1000))


def _counted(
    each: Ruled, at: int, everybody: Sequence[Presence], household: Household, notes: Notes
) -> tuple[list[Presence], int]:
    """Return who of the house may be among those counted at a meal, and all heads."""
    rule, event = each.rule, each.event
    present = [person for person in everybody if person.at_home(at)]
    if rule.heads == "attendees" and event.attendees:
        coming = whose(
            event, each.calendar.model_copy(update={"whose": "by event", "otherwise": "nobody"}), identities(household)
        )
        here = [person for person in everybody if person.resident.id in coming]
        return here, sum(not who.declined for who in event.attendees) + rule.extra_heads
    if isinstance(rule.heads, int):
        return present, rule.heads + rule.extra_heads
    said = heads_in(event.summary) or heads_in(event.description)
    if rule.heads == "from text" and said:
        return present, said + rule.extra_heads
    if rule.heads != "inside":
        missing = "number of people" if rule.heads == "from text" else "attendees"
        notes.add("meals", f"“{each.name}” names no {missing}: those who are in are counted, {len(present)}.")
    return present, len(present) + rule.extra_heads


def heads_in(text: str) -> int | None:
    """Return the first number of people a text speaks of; times, dates, temperatures, absurd numbers do not count."""
    return next((int(said[1]) for said in _HEADS.finditer(text[:2000]) if 0 < int(said[1]) <= MOST_HEADS), None)


def _take_off(
    less: dict[str, int],
    standing: Sequence[Meal],
    each: Ruled,
    at: int,
    everybody: Sequence[Presence],
    household: Household,
    clock: Clock,
    notes: Notes,
) -> None:
    """Take an event's portions off the standing meals of its day, the nearest in time first."""
    counted, heads = _counted(each, at, everybody, household, notes)
    left = _portions(each.rule, heads, counted, household)
    today = [meal for meal in standing if clock.date_of(meal.at) == clock.date_of(at)]
    for meal in sorted(today, key=lambda meal: (abs(meal.at - at), meal.id)):
        taken = min(left, meal.portions - less.get(meal.id, 0))
        less[meal.id] = less.get(meal.id, 0) + taken
        left -= taken
