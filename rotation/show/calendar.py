"""One calendar as it was understood: as a family reads it, and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Any

from calendars.listing import as_json
from calendars.listing import lines as calendar_lines
from calendars.schema import READING
from calendars.text import clean
from rotation.intake.people import Claim
from rotation.one_calendar import Read
from rotation.words import clock, count, date_words, listed, weekday

_TEXT = {"type": "string"}


def lines(read: Read) -> Iterator[str]:
    """Yield the events, whose time they take, the meals they are, and what was odd."""
    listed_lines = list(calendar_lines(read.reading, read.name, read.window, read.zone))
    odd = next((at for at, line in enumerate(listed_lines) if line.endswith(":") and line[:4].isupper()), None)
    yield from listed_lines[:odd]
    if read.claims:
        yield "WHOSE TIME IT TAKES:"
    for (_, _, means), those in groupby(read.claims, key=lambda each: (each.span, each.event.key, each.means)):
        yield _claim(read, list(those), means)
    if read.meals:
        yield "MEALS:"
    for at, meal in read.meals:
        guests = "GUESTS, " if meal.strict else ""
        what = f"{guests}{count(meal.heads, 'head')}, {count(meal.portions, 'portion')}"
        yield f"  {weekday(at)[:3]} {date_words(at)} {clock(at)} {clean(meal.summary, 60)}: {what}"
    yield from listed_lines[len(listed_lines) if odd is None else odd :]


def calendar_schema() -> dict[str, Any]:
    """Return JSON Schema of what `document` gives."""
    claim = {"person": _TEXT, "means": {"enum": ["out", "busy at home"]}, "key": _TEXT, "summary": _TEXT}
    number = {"type": "integer", "minimum": 0}
    at = {"type": "string", "format": "date-time"}
    truth = {"type": "boolean"}
    meal = {"key": _TEXT, "summary": _TEXT, "at": at, "heads": number, "portions": number, "strict": truth}
    more = {
        name: {"type": "array", "items": {"type": "object", "properties": fields, "required": sorted(fields)}}
        for name, fields in (("claims", claim), ("meals", meal))
    }
    return {
        **READING,
        "properties": {**READING["properties"], **more},
        "required": sorted([*READING["required"], *more]),
    }


def _claim(read: Read, those: list[Claim], means: str) -> str:
    event = those[0].event
    start, end = (edge.astimezone(read.zone) for edge in (event.start, event.end))
    names = listed([each.person.capitalize() for each in those])
    until = clock(end) if end.date() == start.date() else f"{weekday(end)[:3]} {date_words(end)} {clock(end)}"
    when = f"{weekday(start)[:3]} {date_words(start)} {clock(start)} to {until}"
    return f"  {when} {names} {means}: {clean(event.summary, 60)}"


def document(read: Read) -> dict[str, Any]:
    """Return the same as plain JSON values: `calendars.schema` describes them, with "claims" and "meals" beside."""
    return {
        **as_json(read.reading, read.name, read.window, read.zone),
        "claims": [
            {"person": each.person, "means": each.means, "key": each.event.key, "summary": each.event.summary}
            for each in read.claims
        ],
        "meals": [
            {
                "key": meal.id,
                "summary": clean(meal.summary),
                "at": at.isoformat(),
                "heads": meal.heads,
                "portions": meal.portions,
                "strict": meal.strict,
            }
            for at, meal in read.meals
        ],
    }
