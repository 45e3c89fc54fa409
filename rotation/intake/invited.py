"""Guests a family asks about, and what the answer holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil

from calendars.event import Event, Reading
from rotation.household.meals import MealRule
from rotation.household.people import Calendar
from rotation.household.reading import Home
from rotation.intake.notes import Notes
from rotation.intake.table import Table
from rotation.problem import BOUGHT, Meal, Problem
from rotation.units import time_of_day

CALENDAR = "Guests"
FOLDER = "calendars/guests"
"""Where guests are written who were asked about: a calendar of the household's own."""

LASTS = timedelta(hours=2)
"""How long they are at the table: what is usually eaten in that time is eaten with them."""


@dataclass(frozen=True)
class Asked:
    """People at the table asked about: when, how many, those of the house among them, slices for each, what they may
    not have.
    """

    at: datetime
    heads: int
    slices: float
    without: tuple[str, ...] = ()

    @property
    def portions(self) -> int:
        """Slices in all, if everybody eats as much."""
        return ceil(self.heads * self.slices)

    def title(self, home: Home) -> str:
        """Return what they are called in the calendar: how many, and when by the household's clocks."""
        local = self.at.astimezone(home.zone)
        return f"{self.heads} at the table, {local:%a} {local.day} {local:%b} {time_of_day(local)}"


@dataclass(frozen=True)
class Answer:
    """What came of it. portions: slices that are planned for; short: of these would lack.

    less: children of the house are among the heads, and eat less; instead: the usual meals that are eaten with them.
    first: names and times of what has to be done for them, in order.

    by: the last moment to decide, and what begins with it; None where nothing new has to be done or bought. left: what
    has to be done for them if it is left until then. buys, buys_by: loaves to buy that would not be bought without
    them, 0 for none, and when the shop shuts before it.
    changed: against the plan kept; loaves, buy_by: what a shop could give, and until when; safe: whether bought bread
    is free of what they may not have.
    """

    portions: int
    short: int
    less: bool
    instead: tuple[str, ...]
    first: tuple[tuple[str, datetime], ...]
    by: datetime | None
    left: tuple[tuple[str, datetime], ...]
    changed: str
    loaves: int
    buy_by: datetime | None
    safe: bool
    buys: int = 0
    buys_by: datetime | None = None


def seated(home: Home, readings: Mapping[str, Reading], asked: Asked) -> tuple[Home, dict[str, Reading]]:
    """Return a household and its calendars with these people written in, as `rotation.guests.write` would.

    So the answer counts whoever of the house is in as any plan does: children, allergens, the usual meal of the hour.
    """
    title, settings = asked.title(home), home.settings
    event = Event("asked", None, title, "", "", (), asked.at, asked.at + LASTS, calendar=CALENDAR)
    rule = MealRule(
        calendar=(CALENDAR,), summary=(title,), heads=asked.heads, portions_per_head=asked.slices, strict=True,
        use="guests", without=asked.without,
    )  # fmt: skip
    known = any(one.name == CALENDAR for one in settings.calendars)
    own = () if known else (Calendar(name=CALENDAR, path=FOLDER, role="meals", whose="nobody"),)
    new = {"calendars": (*settings.calendars, *own), "meals": (*settings.meals, rule)}
    there = readings.get(CALENDAR, Reading())
    there = replace(there, events=tuple(one for one in there.events if one.summary != title))  # asked once more
    there += Reading((event,))
    return replace(home, settings=settings.model_copy(update=new)), {**readings, CALENDAR: there}


def guests_meal(home: Home, problem: Problem, asked: Asked) -> Meal:
    """Return a meal of guests who come besides what is eaten anyway: any bread they may have, in any way."""
    table = Table(home.settings, problem.breads, Notes())
    without = frozenset((*home.settings.nobody_eats, *asked.without))
    accepts = tuple(
        replace(accept, kinds=accept.kinds - {BOUGHT}) for accept in table.accepts((), (), without) if accept.kinds
    )
    at = (asked.at - problem.zero) // timedelta(minutes=1)
    age = table.age_milli("guests")
    return Meal("asked", "asked", "Guests", at, asked.heads, asked.portions, True, accepts, without, age, bought=False)
