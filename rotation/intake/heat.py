"""Waits that nobody wrote, as heat has them: cooling, freezing through, thawing, the finish from frozen, the part-bake.

The late end of each range, up to the next five minutes. What a family wrote stays; where a loaf is beyond the model the
customs of the trade stay (`household.usual`). Notes say what was estimated and where a core may still be cold.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

from rotation.bakers_math import total_percent
from rotation.heat.asked import Answer, BakePart, Measured, PartBake, Question, Surroundings, Taken, Way, rounded_up
from rotation.heat.cache import answers
from rotation.heat.shape import Loaf, Shape
from rotation.heat.soft import OutsideModel, Range
from rotation.household import usual
from rotation.household.breads import Bread, Form, FormId, OvenPart, Route
from rotation.household.reading import Home
from rotation.household.settings import Household
from rotation.intake.heat_notes import tell
from rotation.intake.notes import Note, Notes
from rotation.intake.pace import Climate
from rotation.intake.time import Clock

FLOUR_WATER = 0.14
"""Water by mass of flour: common practice."""

HOLDS_WATER = {
    "milk": 0.87, "buttermilk": 0.90, "whey": 0.93, "yoghurt": 0.86, "yogurt": 0.86, "quark": 0.80, "cream": 0.60,
    "egg": 0.75, "eggs": 0.75, "butter": 0.16, "honey": 0.18, "syrup": 0.25, "potato": 0.78, "potatoes": 0.78,
}  # fmt: skip
"""Water by mass of what else goes into a dough, by a word of its name; from memory."""

LEAST_SHARE, MOST_SHARE = 0.6, 0.9
"""Part-bake by the full time (C41)."""

LAST_MINUTES = 240


def with_waits(home: Home, start: datetime, days: int, state: Path | None) -> tuple[Home, tuple[Note, ...]]:
    """Return the home with the waits nobody wrote, for a plan of some days, and what is to be said of them.

    state: the folder in which answers are kept; None keeps none.
    """
    climate = Climate.of(home.settings, Clock.of(start, home.zone, days))
    around, notes = surroundings(home.settings, climate), Notes()
    asked = {id_: question(bread, around) for id_, bread in home.breads.items() if bread.forms}
    said = _asked(home, asked, state, notes)
    breads = dict(home.breads)
    for id_, answer in said.items():
        breads[id_] = _filled(home.breads[id_], answer, around, home.settings.kitchen.freezing_kg_per_24h)
        tell(notes, home.breads[id_], breads[id_], answer, around.room_high)
    return replace(home, breads=breads), notes.all()


def _asked(home: Home, asked: Mapping[str, Question], state: Path | None, notes: Notes) -> dict[str, Answer]:
    """Return the answers there are; a bread beyond the model is noted."""
    found: dict[str, Answer] = {}
    for id_, one in asked.items():
        try:
            found |= answers({id_: one}, state)
        except OutsideModel as error:
            notes.add("heat", f"{home.breads[id_].name}: {error} The customs of the trade are planned with.")
    return found


def surroundings(household: Household, climate: Climate) -> Surroundings:
    """Return the kitchen in half degrees: the nights are its coldest."""
    oven = household.ovens[0]
    return Surroundings(
        room_low=_half(min(climate.room) - climate.night[1]),
        room_high=_half(max(climate.room)),
        fridge=_half(min(climate.fridge)),
        freezer=_half(household.kitchen.freezer_degc),
        fan_lower=float(oven.fan_lower_degc) if oven.fan else None,
    )


def _half(degc: float) -> float:
    return round(2 * degc) / 2


def question(bread: Bread, around: Surroundings) -> Question:
    """Return what is asked of a bread that is frozen."""
    own, written = bread.loaf, bool(bread.routes)
    ways = tuple(_way(route, written) for route in usual.routes(bread, around.room_high) if route.gives != "toast")
    loaf = Loaf(
        own.shape or shape(bread),
        float(bread.grams),
        round(own.water_percent / 100 if own.water_percent else water(bread), 3),
        own.sides_cm,
        own.density_kg_per_m3,
    )
    part_bake = _part_bake(bread, around) if _part_bake_open(bread) else None
    return Question(loaf, around, ways, part_bake, tuple(_measured(bread, around)))


def shape(bread: Bread) -> Shape:
    """Return the shape of a bread that does not say: roll, round from a pot, tin if it is only sliced, else long."""
    if bread.small:
        return "roll"
    if any(usual.programme(bread, process).covered_minutes for process in bread.processes):
        return "round"
    return "tin" if set(bread.forms) == {"sliced"} else "batard"


def water(bread: Bread) -> float:
    """Return the water by mass of the baked loaf: what the formula gives, less what bakes away; 0.30 to 0.50."""
    formula = bread.formula
    shares = {**formula.others, **formula.inclusions}
    held = sum(percent * max((HOLDS_WATER.get(word, 0.0) for word in name.casefold().split()), default=0.0)
               for name, percent in shares.items())  # fmt: skip
    in_dough = (formula.water_percent + 100 * FLOUR_WATER + held) / total_percent(formula)
    return min(max((bread.piece_grams * in_dough - (bread.piece_grams - bread.grams)) / bread.grams, 0.30), 0.50)


def _way(route: Route, written: bool) -> Way:
    return Way(
        id=route.id,
        place=route.place,
        oven=tuple((part.degc, part.minutes) for part in route.oven),
        stand=route.stand_minutes,
        thaw=round(60 * route.thaw_hours[0]) if written and route.place != "none" else None,
        open=not written and route.place == "none",
    )


def _part_bake_open(bread: Bread) -> bool:
    """Whether the minutes of the part-bake are the model's: nobody wrote them, and all processes bake alike."""
    form = bread.forms.get("part-baked")
    return form is not None and form.uncovered_minutes is None and not any(each.oven for each in bread.processes)


def _part_bake(bread: Bread, around: Surroundings) -> PartBake:
    oven, parts, at = bread.oven, list[BakePart](), 0
    turns = {0: oven.degc, **{turn.after_minutes: turn.degc for turn in oven.then}}
    edges = sorted({*turns, oven.covered_minutes} - {0})
    degc = oven.degc
    for edge in [*edges, max([*edges, 0]) + LAST_MINUTES]:
        degc = turns.get(at, degc)
        parts.append(BakePart(degc, edge - at, at < oven.covered_minutes))
        at = edge
    cold = any(use.what == "fridge" and use.until == "oven" for process in bread.processes for use in process.uses)
    return PartBake(tuple(parts), around.fridge + 4 if cold else around.room_low + 3)


def _measured(bread: Bread, around: Surroundings) -> Iterator[Measured]:
    """Yield what the family measured, in the air it was measured in."""
    for one in bread.loaf.measured:
        usual_degc = around.freezer if one.what == "freeze" else around.room_low
        if one.what == "thaw" and one.place == "fridge":
            usual_degc = around.fridge
        degc = usual_degc if one.degc is None else one.degc
        yield Measured(one.what, one.core_degc, 60 * (one.hours or 0.0), degc, one.place, one.route or "")


def _filled(bread: Bread, answer: Answer, around: Surroundings, rated_kg: float) -> Bread:
    """Return the bread with the waits nobody wrote. rated_kg: what the freezer freezes in 24 hours."""
    forms: dict[FormId, Form] = {id_: _form(bread, id_, answer, rated_kg) for id_ in bread.forms}
    ways = {taken.id: taken for taken in answer.ways}
    routes = usual.routes(bread, around.room_high)
    if not bread.routes:
        routes = tuple(_route(route, ways[route.id]) if route.id in ways else route for route in routes)
    return bread.model_copy(update={"forms": forms, "routes": routes})


def _form(bread: Bread, id_: FormId, answer: Answer, rated_kg: float) -> Form:
    own, kept = bread.forms[id_], usual.kept(bread, bread.processes[0], id_)
    made: dict[str, Any] = {}
    if own.cool_minutes is None:
        made["cool_minutes"] = min(rounded_up(answer.cool.high), kept.bag_by_minutes)
    if "freeze_hours" not in own.model_fields_set:
        made["freeze_hours"] = rounded_up(max(answer.freeze.high, drawn_off(bread, answer, rated_kg))) / 60
    if "load_percent" not in own.model_fields_set:
        made["load_percent"] = answer.load_percent
    if id_ == "part-baked" and answer.part_bake:
        made["uncovered_minutes"] = part_baked(bread, answer.part_bake) - bread.oven.covered_minutes
    return own.model_copy(update=made)


def drawn_off(bread: Bread, answer: Answer, rated_kg: float) -> float:
    """Return the minutes a freezer of that rating needs to draw the heat from a usual bake: a day for all it is rated.

    However fast one loaf alone would freeze, a small freezer grows warm of several (F01, F03). A usual bake is the
    middle one of the sizes a bake may have.
    """
    sizes = bread.processes[0].pieces
    kilograms = sizes[len(sizes) // 2] * bread.grams / 1000 * answer.load_percent / 100
    return 1440 * min(kilograms / rated_kg, 1.0) if rated_kg else 1440.0


def part_baked(bread: Bread, minutes: Range) -> int:
    """Return the whole minutes of a part-bake: the custom's (T01), moved into the core's range (C40), within C41."""
    full = bread.oven.covered_minutes + bread.oven.uncovered_minutes
    by_core = min(max(usual.PART_BAKE_SHARE * full, minutes.low), minutes.high)
    return max(round(min(max(by_core, LEAST_SHARE * full), MOST_SHARE * full)), bread.oven.covered_minutes, 1)


def _route(route: Route, taken: Taken) -> Route:
    """Return a usual route with its thaw and its first part as the model has them."""
    made: dict[str, Any] = {}
    if taken.thaw:
        least = rounded_up(taken.thaw.high) / 60
        made["thaw_hours"] = (least, max(route.thaw_hours[1], least + 6))
    if taken.oven:
        made["oven"] = tuple(OvenPart(degc=degc, minutes=minutes) for degc, minutes in taken.oven)
    return route.model_copy(update=made)
