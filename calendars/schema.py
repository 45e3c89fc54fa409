"""JSON Schema of what is listed of a calendar, version 1: a field may be added, none changes its meaning."""

from __future__ import annotations

from typing import Any

from calendars.listing import SCHEMA

_TEXT: dict[str, Any] = {"type": "string"}
_TRUTH: dict[str, Any] = {"type": "boolean"}
_INSTANT: dict[str, Any] = {"type": "string", "format": "date-time", "description": "UTC"}


def _object(about: str, /, **fields: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "description": about, "properties": fields, "required": sorted(fields)}


def _list(of: dict[str, Any]) -> dict[str, Any]:
    return {"type": "array", "items": of}


ODDITY = _object(
    "something assumed, mended or left out while reading",
    calendar=_TEXT,
    file=_TEXT | {"description": "file, resource or host; empty for all"},
    uid=_TEXT | {"description": "empty where it is about more than one event"},
    kind={"enum": ["left out", "assumed", "translated"]},
    reason=_TEXT,
)
EVENT = _object(
    "an event, or an occurrence of one that repeats",
    key=_TEXT | {"description": "names it within its calendar, whenever it is moved to"},
    uid=_TEXT,
    recurrence_id={"type": ["string", "null"], "description": "the original start, as iCalendar writes it"},
    component={"enum": ["VEVENT", "VFREEBUSY", "VAVAILABILITY"]},
    summary=_TEXT,
    description=_TEXT,
    location=_TEXT,
    categories=_list(_TEXT),
    start=_INSTANT,
    end=_INSTANT,
    all_day=_TRUTH,
    busy=_TRUTH | {"description": "whether it takes the time of somebody of whom nothing is known"},
    transparent=_TRUTH,
    status={"enum": ["CONFIRMED", "TENTATIVE", "CANCELLED"]},
    busy_status=_TEXT | {"description": "X-MICROSOFT-CDO-BUSYSTATUS, or empty"},
    attendees=_list(_object("who is asked", address=_TEXT, name=_TEXT, partstat=_TEXT)),
    organizer=_TEXT,
)
READING: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "title": "What is understood of a calendar",
    **_object(
        "all that touches the window",
        schema={"const": SCHEMA},
        calendar=_TEXT,
        zone=_TEXT | {"description": "for dates, and for times that name no zone"},
        until=_INSTANT,
        events=_list(EVENT),
        busy=_list(_object("a time that is taken", start=_INSTANT, end=_INSTANT)),
        oddities=_list(ODDITY),
    ),
}
READING["properties"]["from"] = _INSTANT
READING["required"] = sorted([*READING["required"], "from"])
