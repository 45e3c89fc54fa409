"""Small households to understand, made of settings in the words a family writes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from calendars.event import Attendee, Event, Reading
from rotation.household import Bread, Household, Stock
from rotation.household.reading import Home
from rotation.intake import Intake, build, opening
from rotation.problem import Meal

BERLIN = ZoneInfo("Europe/Berlin")
MONDAY = datetime(2027, 3, 1, tzinfo=BERLIN)

JO = {"id": "jo", "bakes": True, "inside": "06:30-22:30", "free": "17:30-21:30", "quick": "06:45-07:15"}
KID = {"id": "mia", "adult": False, "inside": "06:30-19:30", "free": [], "quick": []}

LOAF: dict[str, Any] = {
    "name": "Loaf",
    "portions": 10,
    "piece_grams": 800,
    "formula": {"flours": {"wheat flour": 100}, "water_percent": 70, "others": {"salt": 2}},
    "oven": {"degc": 230, "uncovered_minutes": 40},
    "forms": {"part-baked": {}},
    "processes": [
        {
            "id": "day",
            "pieces": [1, 2],
            "stages": [
                {"name": "mix", "hands_minutes": 10, "then_minutes": [100, 200], "warm": True},
                {"name": "oven", "hands_minutes": 3},
                {"name": "bag", "hands_minutes": 2},
            ],
        }
    ],
}


@pytest.fixture
def event() -> Callable[..., Event]:
    def make(summary: str, start: str, end: str, **more: Any) -> Event:
        """Return an event from wall-clock times "03-06 18:30"; `declined` and `accepted` name attendees."""
        at, until = (
            datetime.strptime(f"2027-{text}", "%Y-%m-%d %H:%M").replace(tzinfo=BERLIN) for text in (start, end)
        )
        asked = [(name, "DECLINED") for name in more.pop("declined", ())]
        asked += [(name, "ACCEPTED") for name in more.pop("accepted", ())]
        texts = {"uid": summary, "recurrence_id": None, "description": "", "location": "", "categories": ()}
        people = tuple(Attendee(f"{name}@home.example", name, said) for name, said in asked)
        return Event(summary=summary, start=at, end=until, attendees=people, **{**texts, **more})

    return make


@pytest.fixture
def understood() -> Callable[..., Intake]:
    def make(
        happening: Mapping[str, Sequence[Event]] | Sequence[Event] = (),
        /,
        breads: Mapping[str, Any] | None = None,
        stock: Mapping[str, Any] | None = None,
        zero: datetime = MONDAY,
        days: int = 7,
        **settings: Any,
    ) -> Intake:
        """Return the intake of a household; a plain list of events is the calendar "Home" of everybody."""
        read = happening if isinstance(happening, Mapping) else {"Home": happening}
        calendars = [{"name": name, "path": f"{name}.ics"} for name in read]
        household = Household.model_validate({"people": [JO, KID], "calendars": calendars, **settings})
        recipes = {id_: Bread.model_validate(bread) for id_, bread in (breads or {"loaf": LOAF}).items()}
        home = Home(Path(), household, recipes, Stock.model_validate(stock or {}))
        readings = {name: Reading(tuple(each)) for name, each in read.items()}
        bags = opening(home.stock, home.breads, home.zone)
        return build(home, readings, bags, home.stock.box, home.stock.under_way, None, zero, days)

    return make


@pytest.fixture
def meal() -> Callable[[Intake, str], Meal | None]:
    def find(intake: Intake, id_: str) -> Meal | None:
        return next((each for each in intake.problem.meals if each.id == id_), None)

    return find
