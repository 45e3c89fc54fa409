"""How long each wait of a process is on each day: warm ones follow the room, cold ones end where practice ends them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from rotation.fermentation import Course, longest_retard, same_work, scaled, settling_minutes
from rotation.household.breads import Bread
from rotation.household.processes import Process
from rotation.household.settings import Household
from rotation.intake.kitchen import warmth
from rotation.intake.notes import Notes
from rotation.intake.time import Clock
from rotation.problem import Wait

Bounds = tuple[int, int]

STARTS = tuple(range(6 * 60, 22 * 60, 120))
"""Minutes after midnight at which a wait may begin, where the hour matters because nights are colder."""


@dataclass(frozen=True)
class Climate:
    """How warm it is on each local day, in degC. night: hours and by how much they are colder; box: of a warm box."""

    room: tuple[float, ...]
    fridge: tuple[float, ...]
    night: tuple[tuple[int, int], float]
    box: float | None

    @classmethod
    def of(cls, household: Household, clock: Clock) -> Climate:
        """Return the climate of a household over the clock's days."""
        kitchen = household.kitchen
        room, fridge = (warmth(household, setting, clock) for setting in ("room_degc", "fridge_degc"))
        return cls(room, fridge, (kitchen.room_night, kitchen.room_night_lower_degc), kitchen.proof_box_degc)


@dataclass(frozen=True)
class _Dough:
    """The dough at the start of a wait: how long it has been out of the mixer or the fridge by the reference, how warm
    it was then (None: as warm as the room), and how slowly it follows the room.
    """

    since: float = 0.0
    start: float | None = None
    settles: float = 0.0


def waits(recipe: Bread, process: Process, climate: Climate, notes: Notes, dates: Sequence[date]) -> tuple[Wait, ...]:
    """Return the waits between neighbours and the spans over several steps, with their bounds for each day of the mix.

    Raises OutsideRange where the room is as nobody knows dough.
    """
    names, doughs = [stage.name for stage in process.stages], _doughs(recipe, process, climate.fridge[0])
    made = []
    for stage, after in zip(process.stages, names[1:], strict=False):
        if stage.then_minutes is None:
            continue
        if stage.warm:
            bounds = _warm(process, stage.then_minutes, doughs[stage.name], climate)
        elif process.in_fridge(stage.name, after):
            bounds = _cold(recipe, process, stage.then_minutes, climate, notes, dates)
        else:
            bounds = (stage.then_minutes,)
        made.append(Wait(stage.name, after, bounds))
    for span in process.spans:
        bounds = _warm(process, span.minutes, doughs[span.first], climate) if span.warm else (span.minutes,)
        made.append(Wait(span.first, span.second, bounds, True))
    return tuple(made)


def _cold(
    recipe: Bread, process: Process, minutes: Bounds, climate: Climate, notes: Notes, dates: Sequence[date]
) -> tuple[Bounds, ...]:
    """Return the bounds of a cold proof by day, no longer than the fridge of that day allows (T02)."""
    low, high = minutes
    daily = [(low, max(low, min(high, longest_retard(degc)))) for degc in climate.fridge]
    short = next((day for day, (_, most) in zip(dates, daily, strict=False) if most < high), None)
    if short is not None:
        degc, most = next((d, b[1]) for d, b in zip(climate.fridge, daily, strict=True) if b[1] < high)
        notes.add(
            "breads",
            f"{recipe.name}, {process.called}: in a fridge of {degc:g} degC the cold proof is planned for "
            f"{most // 60} h at most, not {high // 60}. If you measured 4 degC or below, write it: fridge_degc = 4.",
        )
    return _folded(daily)


def _doughs(recipe: Bread, process: Process, fridge: float) -> dict[str, _Dough]:
    """Return the dough at each step: minutes and warmth since the mix, or since it last came out of the fridge."""
    mixed = process.pieces[len(process.pieces) // 2] * recipe.piece_grams
    out = {use.until for use in process.held if use.what == "fridge"}
    found, dough = {}, _Dough()
    for stage in process.stages:
        if stage.name == "mix" and process.dough_degc is not None:
            dough = _Dough(0.0, process.dough_degc, settling_minutes(mixed))
        elif stage.name in out:
            dough = _Dough(0.0, fridge, settling_minutes(recipe.piece_grams))
        found[stage.name] = dough
        low, high = stage.then_minutes or (0, 0)
        dough = _Dough(dough.since + stage.hands_minutes + (low + high) / 2, dough.start, dough.settles)
    return found


def _warm(process: Process, minutes: Bounds, dough: _Dough, climate: Climate) -> tuple[Bounds, ...]:
    """Return the bounds of a warm wait by day; one for all where no day differs."""
    night: tuple[Bounds, float] = climate.night
    rooms = climate.room
    if process.in_box and climate.box is not None:
        rooms, night = (climate.box,), (climate.night[0], 0.0)
    at = {degc: _at(minutes, process.reference_degc, degc, night, dough, process.leaven) for degc in {*rooms}}
    return _folded([at[degc] for degc in rooms])


def _folded(daily: Sequence[Bounds]) -> tuple[Bounds, ...]:
    return tuple(daily) if len(set(daily)) > 1 else tuple(daily[:1])


@lru_cache(maxsize=4096)
def _at(
    minutes: Bounds, reference: float, room: float, night: tuple[Bounds, float], dough: _Dough, leaven: str
) -> Bounds:
    """Return the bounds of a wait in a room. Where nights are colder they hold from whatever hour it begins.

    If no time is right for all hours, the mean of them is taken.
    """
    if not night[1] and dough.start is None:
        return scaled(minutes[0], reference, room, leaven), scaled(minutes[1], reference, room, leaven)
    by_reference = Course(((0.0, reference),), dough.start, dough.settles)
    found = []
    for begins in STARTS if night[1] else STARTS[:1]:
        today = Course(_around(room, night, begins - dough.since), dough.start, dough.settles)
        found.append([same_work(dough.since, each, by_reference, today, leaven) for each in minutes])
    low, high = round(max(each[0] for each in found)), round(min(each[1] for each in found))
    if low <= high:
        return low, high
    return round(_mean(each[0] for each in found)), round(_mean(each[1] for each in found))


def _mean(values: Iterable[float]) -> float:
    listed = list(values)
    return sum(listed) / len(listed)


def _around(room: float, night: tuple[Bounds, float], begins: float) -> tuple[tuple[float, float], ...]:
    """Return the room from a minute of the day on, over three days, as `Course` takes it."""
    (falls, rises), lower = night
    if not lower:
        return ((0.0, room),)
    edges = sorted(
        (24 * 60 * day + at, degc) for day in range(-2, 4) for at, degc in ((falls, room - lower), (rises, room))
    )
    now = max(edge for edge in edges if edge[0] <= begins)
    return ((0.0, now[1]), *((at - begins, degc) for at, degc in edges if at > begins))
