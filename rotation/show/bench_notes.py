"""Bench notes as a baker reads them at the bench, and as JSON: what to weigh when, how warm, what becomes of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from pydantic import TypeAdapter

from calendars.text import clean
from rotation.bench import BenchNotes
from rotation.bench.notes import Baked, Mass, Part, Step, Way
from rotation.problem import GRID, TABLE
from rotation.show.fit import WIDTH, fit
from rotation.units import Display, longest_time
from rotation.words import clock, contents, count, date_words, heading, listed, weekday

SCHEMA = "rotation/bench/1"
"""Name and version of what `rotation bread --json` prints: grams, degC, minutes, ISO 8601 times with offset."""


def bench_json(notes: BenchNotes) -> dict[str, Any]:
    """Return bench notes as plain JSON values."""
    return {"schema": SCHEMA, **{key: _plain(value) for key, value in asdict(notes).items()}}


def bench_schema() -> dict[str, Any]:
    """Return the JSON Schema of what `bench_json` returns."""
    schema = TypeAdapter(BenchNotes).json_schema(mode="serialization")
    return schema | {
        "properties": {"schema": {"const": SCHEMA}, **schema["properties"]},
        "required": ["schema", *schema["required"]],
    }


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, float):
        return round(value, 2)
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return clean(value) if isinstance(value, str) else value


def lines(notes: BenchNotes, display: Display, width: int = WIDTH) -> Iterator[str]:
    """Yield the lines of bench notes, at most `width` characters each."""
    yield from fit(f"{clean(notes.bread, 60).upper()}, {clean(notes.process, 60)}: {_size(notes, display)}", 2, width)
    yield from fit(_dough(notes, display), 2, width)
    yield ""
    yield from (_part(part, display) for part in notes.whole)
    indent = longest_time() + 2
    for day, happening in groupby(_timeline(notes, display), key=lambda line: line[0].date()):
        yield ""
        at = next(happening)
        yield heading(datetime.combine(day, at[0].timetz()))
        for moment, what in (at, *happening):
            first, *beneath = what
            yield from fit(f"{clock(moment):>{indent - 2}}  {first}", indent, width)
            for line in beneath:
                yield from fit(" " * indent + line, indent, width) if not line.startswith(" ") else (line,)
    yield from _below("KEEPS", _keeps(notes), width)
    if notes.ways:
        yield from ("", "FROM THE FREEZER TO THE TABLE, at the soonest")
    for way in notes.ways:
        yield from fit(
            f"{hours_words(way.soonest) if way.soonest else 'at once':>12}  {_way(notes, way, display)}", 14, width
        )
    yield from _below("CONTAINS", _contains(notes), width)
    yield from _below("NOTES", map(clean, notes.said), width)


def _below(title: str, entries: Iterator[str] | map[str], width: int) -> Iterator[str]:
    body = [line for entry in entries for line in fit(f"  {entry}", 4, width)]
    yield from ("", title, *body) if body else ()


def _size(notes: BenchNotes, display: Display) -> str:
    each = "" if notes.pieces == 1 else " each"
    return (
        f"{count(notes.pieces, 'piece')}, {display.weight(notes.piece_grams)} of dough{each}, "
        f"{display.weight(notes.baked_grams)} baked"
    )


def _dough(notes: BenchNotes, display: Display) -> str:
    said = [f"{display.weight(notes.dough_grams)} of dough from {display.weight(notes.flour_grams)} of flour"]
    soaked = f", {notes.soaked_percent:.3g} of it soaked" if notes.soaked_percent else ""
    said.append(f"Hydration {notes.hydration_percent:.3g} %{soaked}")
    if notes.prefermented_percent:
        said.append(f"{notes.prefermented_percent:.3g} % of the flour ferments before")
    around = notes.room_degc if notes.box_degc is None else notes.box_degc
    place = f"Times for a {'room' if notes.box_degc is None else 'box'} of {display.degrees(around)}"
    given = f", the recipe's at {display.degrees(notes.reference_degc)}"
    said.append(place + ("" if around == notes.reference_degc else given))
    return ". ".join(said) + "."


def _part(part: Part, display: Display) -> str:
    share = f"{part.percent:6.1f} %" if part.percent is not None else " " * 8
    return f"  {display.weight(part.grams):>12} {share}  {clean(part.name)}"


Entry = tuple[datetime, list[str]]


def _timeline(notes: BenchNotes, display: Display) -> list[Entry]:
    """Return what happens when, in time order: steps, the oven, what comes out of it."""
    entries = [_step(notes, step, display) for step in notes.steps]
    pot = ", the pot inside" if notes.vessel else ""
    entries.append((notes.heat_from, [f"OVEN ON {_oven(notes, notes.oven_degc, display)}{pot}"]))
    entries += [_out(baked) for baked in notes.baked]
    return sorted(entries, key=lambda entry: entry[0])


def _step(notes: BenchNotes, step: Step, display: Display) -> Entry:
    name = "IN" if step.name == "oven" else clean(step.name, 40).upper()
    first = f"{name} ({count(step.hands, 'minute')}){_between(step)}"
    first += f" When up by {step.risen:.0f} %." if step.risen else ""
    if step.cold_as is not None:
        first += f" Then into the fridge; while it cools it goes on as for {step.cold_as} min in the warm."
    body = [line for mass in step.weigh for line in _mass(mass, display)]
    if step.name == "mix":
        body.append(_water(notes, display))
    return step.at, [first, *body, *([step.caution] if step.caution else [])]


def _between(step: Step) -> str:
    """Return ", 11:30 to 12:30", the marks of five minutes within its bounds, "." where there is no choice."""
    low = step.earliest + timedelta(minutes=-step.earliest.minute % GRID)
    high = step.latest - timedelta(minutes=step.latest.minute % GRID)
    if low >= high:
        return "."
    first, last = (clock(at) if at.date() == step.at.date() else f"{weekday(at)[:3]} {clock(at)}" for at in (low, high))
    return f", {first} to {last}."


def _mass(mass: Mass, display: Display) -> Iterator[str]:
    if mass.beforehand:
        yield f"{clean(mass.words).capitalize()}, {mass.beforehand}:"
    elif mass.words == "then":
        yield "When the dough is made:"
    for part in mass.parts:
        yield f"{'':{longest_time()}}{_part(part, display)}"
    if mass.keep:
        yield f"Put {display.weight(mass.keep)} of it back for the next time."


def _water(notes: BenchNotes, display: Display) -> str:
    water = notes.water
    warm = f"Water {display.degrees(water.degc)}" if not water.ice else "Water from the tap"
    ice = f", {100 * water.ice:.0f} % of it as ice," if water.ice else ""
    said = f"{warm}{ice} for a dough of {display.degrees(water.dough_degc)}"
    if abs(water.dough_degc - notes.dough_degc) > 0.5:
        return f"{said}. {display.degrees(notes.dough_degc)} cannot be had: allow for it."
    if not water.ice and notes.water_by_heat is not None and abs(notes.water_by_heat - water.degc) > 2:
        return f"{said} by the bakers' rule; by the heat of each part {display.degrees(notes.water_by_heat)}."
    return f"{said}."


def _out(baked: Baked) -> Entry:
    minutes = f"{baked.covered} min covered, {baked.uncovered} open" if baked.covered else f"{baked.uncovered} min"
    if baked.treatment == TABLE:
        return baked.out, [f"OUT for the table: {minutes}. Golden, not dark. Eat from {_near(baked.ready, baked.out)}."]
    core = ", core 96 to 97 degC" if baked.treatment == "part-baked" else ""
    first = f"OUT for the freezer, {baked.treatment}: {minutes}{core}."
    slice_ = "slice and " if baked.treatment == "sliced" else ""
    cold = f"Cold {_near(baked.ready, baked.out)}: {slice_}bag"
    if baked.bag_by is None or baked.through is None:
        return baked.out, [first]
    by = f", by {_near(baked.bag_by, baked.out)} at the latest"
    return baked.out, [first, f"{cold}{by}. Hard by {_near(baked.through, baked.out)}."]


def _near(at: datetime, near: datetime) -> str:
    return clock(at) if at.date() == near.date() else f"{weekday(at)[:3]} {clock(at)}"


def _oven(notes: BenchNotes, degc: int, display: Display) -> str:
    unit = "" if display.temperature == "degC" else f" {display.temperature}"
    fan = f" (fan {display.oven(degc - notes.fan_lower_degc)})" if notes.fan_lower_degc else ""
    return f"{display.oven(degc)}{unit}{fan}"


def _keeps(notes: BenchNotes) -> Iterator[str]:
    cautions = dict(notes.cautions)
    fridge = "" if "thaw" in cautions else "; in the fridge it stales faster"
    yield f"In the bread box {hours_words(notes.keeps)}{fridge}."
    yield cautions["keep"]
    for baked in notes.baked:
        if baked.eat_first is None or baked.toast_after is None:
            continue
        said = f"Frozen {baked.treatment}: eat first from {date_words(baked.eat_first)}"
        if baked.strict is not None:
            yield f"{said}, not after {date_words(baked.strict)}."
        else:
            yield f"{said}, for toast or crumbs after {date_words(baked.toast_after)}: quality only."
    yield from (cautions[act] for act in ("cool", "thaw") if act in cautions)


def _way(notes: BenchNotes, way: Way, display: Display) -> str:
    said = []
    if way.place:
        said.append(
            f"{_span(*way.thaw)} on the worktop" if way.place == "worktop" else f"{_span(*way.thaw)} in the fridge"
        )
    said += [f"{minutes} min at {_oven(notes, degc, display)}" for degc, minutes in way.oven]
    if way.stand:
        said.append(f"stand {way.stand} min")
    if way.gives == "toast":
        return f"{way.form.capitalize()}: straight from the freezer into toaster or lunchbox."
    start = "" if way.place else "straight from frozen, "
    keeps = f" Keeps {hours_words(way.keeps)}." if way.keeps else ""
    return f"{way.form.capitalize()}: {start}{', '.join(said)}.{keeps}"


def _span(low: int, high: int) -> str:
    return f"{low // 60} to {hours_words(high)}" if low % 60 == 0 else f"{hours_words(low)} to {hours_words(high)}"


def hours_words(minutes: int) -> str:
    """Return "3 days", "36 h", "5 h 33 min" or "40 min"."""
    if minutes >= 2880 and minutes % 1440 == 0:
        return count(minutes // 1440, "day")
    hours, rest = divmod(minutes, 60)
    return " ".join(part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest else "") if part) or "0 min"


def _contains(notes: BenchNotes) -> Iterator[str]:
    found = notes.contents
    if found.found:
        us = f" On the list of the United States: {listed(found.us)}." if found.us else ""
        yield f"{contents(found.found).capitalize()}.{us}"
    else:
        yield "Nothing of the list of the European Union that its ingredients' names tell of."
    if found.unknown:
        yield f"Not looked up: {listed(map(clean, found.unknown))}. Serve it to nobody with an allergy."
    for extra in dict.fromkeys(extra for _, extra in found.beside):
        breads = listed(clean(bread, 40) for bread, holds in found.beside if holds == extra)
        yield f"Same kitchen: {contents(extra)} ({breads})."
