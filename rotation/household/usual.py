"""What a bread file need not write: usual oven minutes, cooling, room in the freezer, and routes for its form and size.

Each figure is a default a bread file may override. IDs of sources are those of `tests/outside/data/references.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rotation.household.breads import Bread, Form, FormId, OvenPart, Route
from rotation.household.formulas import Formula
from rotation.household.processes import OvenProgramme, Process

PART_BAKE_SHARE = 0.75
"""Part-bake time as a share of the full time (T01; handbook range C41)."""

LITRES_PER_KG = 4.5
"""Freezer room of a bagged loaf: 3.5 litres at about 780 g (F11)."""

FILLED_BAG_BY_HOURS = 2.0
"""Filled bread is cold within two hours (D17)."""

MakeUp = Literal["filled", "roll", "lean", "sourdough", "enriched", "rye"]

KEEPS_HOURS: dict[MakeUp, float] = {
    "filled": 2.0, "roll": 24.0, "lean": 48.0, "sourdough": 72.0, "enriched": 72.0, "rye": 120.0,
}  # fmt: skip
"""The careful end of D20, a loaf of yeast between a stick and a sourdough; filled bread out of the cold by D17."""

_ENRICHING = {
    "butter", "oil", "lard", "margarine", "sugar", "honey", "syrup", "milk", "cream", "buttermilk", "yoghurt", "yogurt",
    "egg", "eggs", "quark",
}  # fmt: skip


@dataclass(frozen=True)
class Kept:
    """A form with every figure: minutes from the oven on, units, room in litres, dates in weeks."""

    id: str
    uncovered_minutes: int
    cool_minutes: int
    bag_by_minutes: int
    freeze_minutes: int
    units_per_piece: int
    portions_per_unit: int
    unit_litres: float
    unit_grams: int
    load_percent: int
    eat_first_weeks: float
    toast_after_weeks: float
    strict_weeks: float | None


def formula(bread: Bread, process: Process) -> Formula:
    """Return what the bread is made of by this process."""
    return process.formula or bread.formula


def formulas(bread: Bread) -> tuple[Formula, ...]:
    """Return every formula of the bread: its own, and those of its processes."""
    return (bread.formula, *(process.formula for process in bread.processes if process.formula))


def programme(bread: Bread, process: Process) -> OvenProgramme:
    """Return how the bread is baked by this process."""
    return process.oven or bread.oven


def cooling(bread: Bread) -> int:
    """Return minutes until a piece is cool through: under an hour for a roll, two to three for a loaf."""
    return 45 if bread.small else 120 if bread.grams < 700 else 180


def rest(bread: Bread) -> int:
    """Return minutes from the oven until fresh bread may be eaten."""
    written = bread.table.rest_minutes if bread.table else None
    return written if written is not None else 20 if bread.small else 60


def table_minutes(bread: Bread, process: Process) -> int:
    """Return uncovered oven minutes of a piece that is eaten fresh."""
    written = bread.table.uncovered_minutes if bread.table else None
    return written if written is not None else programme(bread, process).uncovered_minutes


def kept(bread: Bread, process: Process, form: FormId) -> Kept:
    """Return a form of the bread with the defaults filled in."""
    own, oven, filled = bread.forms[form], programme(bread, process), bread.kind == "filled"
    units = (own.units_per_piece or bread.portions) if form == "sliced" else 1
    longest = FILLED_BAG_BY_HOURS if filled else 14.0
    return Kept(
        id=form,
        uncovered_minutes=_uncovered(own, oven, form),
        cool_minutes=min(cooling(bread), 120 if filled else 1440) if own.cool_minutes is None else own.cool_minutes,
        bag_by_minutes=round(60 * (own.bag_by_hours or longest)),
        freeze_minutes=round(60 * own.freeze_hours),
        units_per_piece=units,
        portions_per_unit=1 if form == "sliced" else bread.portions,
        unit_litres=own.unit_litres or LITRES_PER_KG * bread.grams / 1000 / units,
        unit_grams=-(-bread.grams // units),
        load_percent=own.load_percent,
        eat_first_weeks=own.eat_first_weeks,
        toast_after_weeks=own.toast_after_weeks,
        strict_weeks=own.strict_weeks or (own.toast_after_weeks if filled else None),
    )


def _uncovered(own: Form, oven: OvenProgramme, form: FormId) -> int:
    if own.uncovered_minutes is not None:
        return own.uncovered_minutes
    if form != "part-baked":
        return oven.uncovered_minutes
    return max(round(PART_BAKE_SHARE * (oven.covered_minutes + oven.uncovered_minutes)) - oven.covered_minutes, 0)


def keeps_hours(bread: Bread) -> float:
    """Return how long fresh bread keeps in the bread box, by its make-up (D20)."""
    return bread.keeps_hours or KEEPS_HOURS[make_up(bread)]


def make_up(bread: Bread) -> MakeUp:
    """Return what decides how fast a bread stales: filling, size, rye, fat and sugar, leaven.

    Rye is at least half of the flour; enriched is with a tenth of fat, sugar, milk or egg by the flour.
    """
    if bread.kind == "filled":
        return "filled"
    if bread.small:
        return "roll"
    formula = bread.formula
    if sum(share for name, share in formula.flours.items() if "rye" in _words(name)) >= 50:
        return "rye"
    if sum(share for name, share in formula.others.items() if _ENRICHING & _words(name)) >= 10:
        return "enriched"
    return "sourdough" if any(process.leaven == "starter" for process in bread.processes) else "lean"


def _words(name: str) -> set[str]:
    return set(name.casefold().replace(",", " ").split())


def route_keeps_hours(bread: Bread, route: Route) -> float:
    """Return how long bread keeps that came this way: finished bread half as long as fresh (36 h for a loaf)."""
    if route.keeps_hours:
        return route.keeps_hours
    return (
        keeps_hours(bread) / 2 if route.gives == "finished" and bread.kind == "plain" else min(keeps_hours(bread), 36.0)
    )


def routes(bread: Bread, room_degc: float = 21.0) -> tuple[Route, ...]:
    """Return the bread's routes as written, else the usual ones for its forms, size and the room's temperature."""
    if bread.routes:
        return bread.routes
    return tuple(route for form in bread.forms for route in _usual(bread, form, room_degc))


def _usual(bread: Bread, form: FormId, room_degc: float) -> list[Route]:
    if form == "sliced":
        return [Route(id="toast", form=form, gives="toast")]
    finish = (OvenPart(degc=220, minutes=8 if bread.small else 18),)
    per_place = bread.oven.pieces_per_place
    gives, oven, stand = ("finished", finish, 5 if bread.small else 15) if form == "part-baked" else ("thawed", (), 0)
    found = []
    if bread.kind == "plain" and room_degc <= 27:
        thaw = (2.0, 12.0) if bread.small else (5.0, 16.0)
        found.append(("worktop", thaw))
    thaw = (6.0, 24.0) if bread.small else (10.0, 30.0)
    found.append(("fridge", thaw))
    ways = [
        Route.model_validate(
            {"id": f"{form}-{place}", "form": form, "gives": gives, "place": place, "thaw_hours": hours, "oven": oven,
             "pieces_per_place": per_place, "stand_minutes": stand}
        )
        for place, hours in found
    ]  # fmt: skip
    if form == "part-baked" and bread.kind == "plain":
        ways.append(_from_frozen(bread, per_place))
    return ways


def _from_frozen(bread: Bread, per_place: int) -> Route:
    """Return the finish straight from frozen: pieces up to 400 g by T06, loaves by T07 with half an hour standing."""
    first = 10 if bread.small else 30
    return Route(
        id="part-baked-frozen",
        form="part-baked",
        gives="finished",
        oven=(OvenPart(degc=150, minutes=first), OvenPart(degc=230, minutes=20)),
        pieces_per_place=per_place,
        stand_minutes=10 if bread.small else 30,
    )
