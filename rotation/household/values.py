"""Kinds of values a household writes: clock times, hours of a week, days, ids, and what matches an event."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Annotated, Any, Literal, TypeVar
from zoneinfo import ZoneInfo

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    GetJsonSchemaHandler,
    PlainSerializer,
    StringConstraints,
    WithJsonSchema,
    model_validator,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from rotation.allergens import ALL


class Settings(BaseModel):
    """Base of all settings: frozen, nothing unknown is taken, numbers are finite."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, allow_inf_nan=False)


T = TypeVar("T")


def _one_or_many(value: Any) -> Any:
    return (value,) if isinstance(value, str) else value


class _OneInSchema:
    """Tells editors that a single item may stand without brackets."""

    def __get_pydantic_json_schema__(self, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        many = handler(core)
        return {"anyOf": [many["items"], many]}


Many = Annotated[tuple[T, ...], BeforeValidator(_one_or_many), _OneInSchema()]
"""A list; a single text may be written without brackets."""

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9_-]{0,39}$"), Field(examples=["jo"])]
"""A short name that other settings refer to: small letters, digits, "-" and "_"."""

BreadId = Annotated[Id, Field(examples=["country"])]
"""The id of a bread: the name of its file."""

Text = Annotated[
    str,
    StringConstraints(min_length=1, max_length=200, pattern=r"^[^\x00-\x1f\x7f-\x9f]*$"),
    Field(examples=["Home"]),
]
"""One line to be shown to people."""


def _minute(value: Any) -> int:
    """Return minutes after midnight of "7:30" or of a TOML time."""
    if isinstance(value, time):
        return value.hour * 60 + value.minute
    found = re.fullmatch(r"(\d{1,2}):([0-5]\d)", value.strip()) if isinstance(value, str) else None
    minute = int(found[1]) * 60 + int(found[2]) if found else -1
    if not 0 <= minute <= 1440:
        raise ValueError('is not a time of day; write hours and minutes in quotes, as in "17:30"')
    return minute


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"


Clock = Annotated[
    int,
    BeforeValidator(_minute),
    PlainSerializer(_clock, when_used="json"),
    WithJsonSchema({"type": "string", "pattern": r"^\d{1,2}:[0-5]\d$"}),
    Field(examples=["18:30"]),
]
"""Wall-clock minutes after local midnight, written "17:30"; 1440 is "24:00"."""


def _hours(value: Any) -> tuple[int, int]:
    parts = re.split(r"\s*(?:-|–|to)\s*", value.strip()) if isinstance(value, str) else []
    if len(parts) != 2:
        raise ValueError('is not a span of hours; write it in quotes, as in "17:30-21:30"')
    start, end = _minute(parts[0]), _minute(parts[1])
    if start == end or start == 1440:
        raise ValueError('is a span without length; write its start and its end, as in "17:30-21:30"')
    return start, end if end > start else end + 1440


Hours = Annotated[
    tuple[int, int],
    BeforeValidator(_hours),
    PlainSerializer(lambda span: f"{_clock(span[0])}-{_clock((span[1] - 1) % 1440 + 1)}", when_used="json"),
    WithJsonSchema({"type": "string", "pattern": r"^\d{1,2}:[0-5]\d\s*(-|–|to)\s*\d{1,2}:[0-5]\d$"}),
    Field(examples=["17:30-21:30"]),
]
"""Wall-clock span `(start, end)` in minutes after local midnight; past midnight the end is above 1440."""


def _apart(spans: tuple[tuple[int, int], ...]) -> tuple[tuple[int, int], ...]:
    ordered = tuple(sorted(spans))
    for first, second in pairwise(ordered):
        if second[0] < first[1]:
            raise ValueError(
                f"{_clock(first[0])}-{_clock(first[1])} and {_clock(second[0])}-{_clock(second[1])} overlap; "
                'write spans that follow one another, as in ["06:45-07:15", "17:30-21:30"]'
            )
    return ordered


HoursList = Annotated[Many[Hours], AfterValidator(_apart)]
"""Spans of one day, sorted, that do not overlap."""

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
DayOrDays = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun", "weekdays", "weekends", "every day"]


def weekdays_of(days: Iterable[str]) -> frozenset[int]:
    """Return the weekdays (Monday is 0) meant by words such as "weekdays" or "sat"."""
    words = {"weekdays": range(5), "weekends": range(5, 7), "every day": range(7)}
    return frozenset(day for word in days for day in words.get(word, (DAYS.index(word),) if word in DAYS else ()))


class _Week(Settings):
    """Something for each day of a week: `weekdays`, `weekends`, and single days that override them."""

    @classmethod
    def __get_pydantic_json_schema__(cls, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Say that what holds on every day may stand alone."""
        reference = handler(core)
        week = handler.resolve_ref_schema(reference)
        days = dict(week)
        week.clear()
        week |= {"title": days.pop("title"), "description": days.pop("description", "")}
        week["anyOf"] = [days, days["properties"]["weekdays"]]
        return reference

    def _of(self, weekday: int) -> Any:
        own = getattr(self, DAYS[weekday])
        return own if own is not None else getattr(self, "weekdays" if weekday < 5 else "weekends")


def _every_day(value: Any) -> Any:
    return {"weekdays": value, "weekends": value} if isinstance(value, str | list | tuple | time) else value


class WeekHours(_Week):
    """Hours by day of the week; a plain list of spans means every day."""

    weekdays: HoursList = ()
    weekends: HoursList = ()
    mon: HoursList | None = None
    tue: HoursList | None = None
    wed: HoursList | None = None
    thu: HoursList | None = None
    fri: HoursList | None = None
    sat: HoursList | None = None
    sun: HoursList | None = None

    @model_validator(mode="before")
    @classmethod
    def _from_list(cls, value: Any) -> Any:
        return _every_day(value)

    def on(self, weekday: int) -> tuple[tuple[int, int], ...]:
        """Return the spans that start on a weekday (Monday is 0), in minutes after its midnight."""
        spans: tuple[tuple[int, int], ...] = self._of(weekday)
        return spans


ClockOrClosed = Clock | Literal["closed"]


class WeekTimes(_Week):
    """One time of day by day of the week, or "closed"; a plain time means every day."""

    weekdays: ClockOrClosed
    weekends: ClockOrClosed
    mon: ClockOrClosed | None = None
    tue: ClockOrClosed | None = None
    wed: ClockOrClosed | None = None
    thu: ClockOrClosed | None = None
    fri: ClockOrClosed | None = None
    sat: ClockOrClosed | None = None
    sun: ClockOrClosed | None = None

    @model_validator(mode="before")
    @classmethod
    def _from_time(cls, value: Any) -> Any:
        return _every_day(value)

    def on(self, weekday: int) -> int | None:
        """Return the minute after midnight of a weekday (Monday is 0), or None if closed."""
        at = self._of(weekday)
        return None if at == "closed" else int(at)


def _dated(value: Any) -> Any:
    if isinstance(value, date | str):
        return value
    raise ValueError("is not a date or a moment; write 2027-03-05 or 2027-03-05T18:30:00, without quotes")


Moment = Annotated[datetime, BeforeValidator(_dated), Field(examples=["2027-03-05T18:30:00"])]
"""A date and time; without an offset it is wall-clock time in the household's zone."""

DayOrMoment = Annotated[date | datetime, BeforeValidator(_dated), Field(examples=["2027-03-05"])]
"""A day, or a moment as above."""


def local(value: datetime, zone: ZoneInfo) -> datetime:
    """Return a moment with its offset; one without is wall-clock time in the zone."""
    return value.replace(tzinfo=zone) if value.tzinfo is None else value


def first_moment(value: date | datetime, zone: ZoneInfo) -> datetime:
    """Return the moment something dated begins: a day begins at its midnight."""
    return local(value if isinstance(value, datetime) else datetime.combine(value, time()), zone)


def last_moment(value: date | datetime, zone: ZoneInfo) -> datetime:
    """Return the moment something dated ends: a day is meant to its end."""
    moment = value if isinstance(value, datetime) else datetime.combine(value, time()) + timedelta(days=1)
    return local(moment, zone)


Allergen = Annotated[str, Field(examples=["sesame"], json_schema_extra={"enum": sorted(ALL)})]


def _known_allergen(value: str) -> str:
    if value not in ALL:
        raise ValueError(f"is not an allergen of the list; write one of: {', '.join(sorted(ALL))}")
    return value


Allergens = Many[Annotated[Allergen, AfterValidator(_known_allergen)]]
