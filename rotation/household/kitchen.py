"""Ovens, the kitchen's room, and what is different on certain dates."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from rotation.household.matching import Match
from rotation.household.values import Clock, DayOrMoment, Hours, Id, Settings, Text, WeekHours

Minutes = Annotated[int, Field(ge=0, le=600)]
OvenDegc = Annotated[int, Field(ge=30, le=350, examples=[220])]
Count = Annotated[int, Field(ge=0, le=100)]


class Oven(Settings):
    """One oven. `places`: loaves or trays side by side; `vessels`: covered pots it may hold and the house owns."""

    id: Id = "oven"
    name: Text = "Oven"
    places: Annotated[int, Field(ge=1, le=20)] = 2
    vessels: Annotated[int, Field(ge=0, le=20)] = 1
    heat_up_minutes: Minutes = 15
    heat_up_vessel_minutes: Minutes = 45
    degc_per_minute_up: Annotated[int, Field(ge=1, le=60)] = 10
    degc_per_minute_down: Annotated[int, Field(ge=1, le=60)] = 4
    hot_gap_minutes: Minutes = 20
    watch_minutes: Minutes = 30
    watch_vessel_minutes: Minutes = 60
    fan: bool = False
    fan_lower_degc: Annotated[int, Field(ge=0, le=60)] = 20
    closed: WeekHours = WeekHours.model_validate(["17:00-19:00"])
    on_from: Clock = 360
    off_by: Clock = 1320


class Booking(Match):
    """What an event of the oven's calendar means; one that no rule matches has an unknown heat and leaves no place."""

    oven: Id | None = None
    temperature_degc: OvenDegc | None = None
    places_left: Count = 0


Month = Literal["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
RoomDegc = Annotated[float, Field(ge=5, le=40, examples=[21.0])]


class Kitchen(Settings):
    """What the house holds, and how warm it is.

    fridge_spots_guests: left from `guests_days_before` days before a strict meal until it is eaten. room_degc: by day;
    room_by_month: in months that differ; room_night_lower_degc: colder by that in the hours `room_night`.
    proof_box_degc: of a box that dough may stand in (`in_box` of a process). friction_degc: what kneading adds, as the
    rule for the water's temperature counts it; tap_degc: of cold water.
    """

    bowls: Count = 1
    dough_limit_kg: Annotated[float, Field(gt=0, le=100)] = 3.0
    bannetons: Count = 2
    fridge_spots: Count = 2
    fridge_spots_guests: Count = 0
    guests_days_before: Annotated[int, Field(ge=0, le=14)] = 2
    freezer_litres: Annotated[float, Field(ge=0, le=2000)] = 20.0
    freezing_kg_per_24h: Annotated[float, Field(ge=0, le=200)] = 2.0
    room_degc: RoomDegc = 21.0
    room_by_month: dict[Month, RoomDegc] = Field(default={}, examples=["{ jan = 19, jul = 25 }"])
    room_night: Hours = Field(default=(1320, 1830), examples=["22:00-06:30"])
    room_night_lower_degc: Annotated[float, Field(ge=0, le=15)] = 0.0
    proof_box_degc: Annotated[float, Field(ge=15, le=45, examples=[26.0])] | None = None
    fridge_degc: Annotated[float, Field(ge=0, le=12)] = 6.0
    freezer_degc: Annotated[float, Field(ge=-40, le=-6)] = -18.0
    friction_degc: Annotated[float, Field(ge=0, le=40)] = 4.0
    tap_degc: Annotated[float, Field(ge=0, le=35)] = 12.0


class Dated(Settings):
    """Something different from one date to another; a day as `until` is meant to its end.

    setting: a number of the kitchen with its `value`; "oven closed" (with `oven`, else all); "away" (of `person`, else
    everyone), "at home" (in, hands not free) or "free" (in, hands free).
    """

    since: DayOrMoment = Field(alias="from", examples=["2027-03-05"])
    until: DayOrMoment = Field(examples=["2027-03-07"])
    setting: Literal[
        "bowls", "dough_limit_kg", "bannetons", "fridge_spots", "freezer_litres", "freezing_kg_per_24h", "room_degc",
        "fridge_degc", "oven closed", "away", "at home", "free",
    ] = Field(examples=["fridge_spots"])  # fmt: skip
    value: float | None = Field(default=None, examples=[1])
    oven: Id | None = None
    person: Id | None = None
    reason: Text | None = None
