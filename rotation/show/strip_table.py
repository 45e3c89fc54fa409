"""The strips of a week as a table: what a picture of them shows, in words, for those who do not see it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from rotation.units import Display
from rotation.words import clock, date_words, listed, weekday

Json = dict[str, Any]


@dataclass(frozen=True)
class Row:
    """A row: day ("Sat 6 Mar"), times ("9:00 to 9:15"), whose or what strip, and what it shows."""

    day: str
    times: str
    strip: str
    what: str


def rows(
    strips: Json, days: Sequence[date], names: Mapping[str, str], zone: ZoneInfo, display: Display
) -> tuple[Row, ...]:
    """Return the rows of some local days, in time order. names: of breads, by id."""
    told = [*_people(strips, names, zone), *_ovens(strips, names, zone, display), *_levels(strips, zone)]
    inside = [(at, row) for at, row in told if at.astimezone(zone).date() in set(days)]
    return tuple(row for _, row in sorted(inside, key=lambda pair: pair[0]))


def _people(strips: Json, names: Mapping[str, str], zone: ZoneInfo) -> Iterator[tuple[datetime, Row]]:
    for person in strips["people"]:
        free: dict[date, list[tuple[datetime, datetime]]] = {}
        for span in person["free"]:
            start, end = _span(span, zone)
            free.setdefault(start.date(), []).append((start, end))
        for spans in free.values():
            hours = listed(f"{clock(start)} to {clock(end)}" for start, end in spans)
            yield spans[0][0], Row(_day(spans[0][0]), "", person["name"], f"hands free {hours}")
        for job in person["jobs"]:
            start, end = _span(job, zone)
            bread = f", {names.get(job['bread'], job['bread'])}" if job["bread"] else ""
            yield start, Row(_day(start), _times(start, end), person["name"], f"{job['what']}{bread}")


def _ovens(strips: Json, names: Mapping[str, str], zone: ZoneInfo, display: Display) -> Iterator[tuple[datetime, Row]]:
    for oven in strips["ovens"]:
        for span in oven["taken"]:
            start, end = _span(span, zone)
            yield start, Row(_day(start), _times(start, end), oven["name"], "taken, not for bread")
        for on in oven["on"]:
            start, end = _span(on, zone)
            since = datetime.fromisoformat(on["heat_from"]).astimezone(zone)
            heating = f", on from {clock(since)}" if since < start else ""
            heat = f"{display.oven(on['degc'])}{' degF' if display.temperature == 'degF' else ' degC'}"
            what = f"{names.get(on['bread'], on['bread'])} in, {heat}{heating}"
            yield start, Row(_day(start), _times(start, end), oven["name"], what)


def _levels(strips: Json, zone: ZoneInfo) -> Iterator[tuple[datetime, Row]]:
    for one in strips["fridge"]:
        at = datetime.fromisoformat(one["time"]).astimezone(zone)
        yield at, Row(_day(at), f"from {clock(at)}", "Fridge", f"{one['used']} of {one['of']} spots")
    for one in strips["freezer"]:
        at = datetime.fromisoformat(one["time"]).astimezone(zone)
        full = f"{-(-100 * one['used'] // one['of'])} % full" if one["of"] else "no room"
        yield at, Row(_day(at), f"from {clock(at)}", "Freezer", full)


def _span(span: Json, zone: ZoneInfo) -> tuple[datetime, datetime]:
    return datetime.fromisoformat(span["start"]).astimezone(zone), datetime.fromisoformat(span["end"]).astimezone(zone)


def _times(start: datetime, end: datetime) -> str:
    next_day = end.date() > start.date() and end - start < timedelta(days=7)
    return f"{clock(start)} to {weekday(end)[:3] + ' ' if next_day else ''}{clock(end)}"


def _day(at: datetime) -> str:
    return f"{weekday(at)[:3]} {date_words(at)}"
