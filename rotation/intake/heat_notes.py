"""What is said of estimated waits: where they differ from customs, where a core may be cold, what measuring did."""

from __future__ import annotations

from collections.abc import Iterator

from rotation.heat.asked import Answer, Taken
from rotation.heat.soft import Range
from rotation.household import usual
from rotation.household.breads import Bread, Route
from rotation.intake.notes import Notes

COLD_DEGC = 20.0
"""A core below is cold to the bite."""

WORTH_SAYING = 0.1
"""Share by which an estimate is off the custom of the trade before both are told."""

PLACES = {"worktop": "thawed on the worktop", "fridge": "thawed in the fridge", "none": "straight from frozen"}


def tell(notes: Notes, written: Bread, filled: Bread, answer: Answer, room_degc: float) -> None:
    """Note what the estimates changed, from the bread as written to the one filled in, and what they warn of."""
    for text in (*_estimated(written, filled, answer, room_degc), *_cold(filled, answer.ways), *_measured(answer)):
        notes.add("heat", f"{written.name}: {text}")


def long(minutes: float) -> str:
    """Return "45 min" or "2 h 35"."""
    whole = round(minutes)
    if whole < 60:
        return f"{whole} min"
    return f"{whole // 60} h" + (f" {whole % 60:02d}" if whole % 60 else "")


def span(found: Range, unit: str) -> str:
    """Return "-10 to 41 degC"."""
    return f"{found.low:.0f} to {found.high:.0f} {unit}"


def _estimated(written: Bread, filled: Bread, answer: Answer, room_degc: float) -> Iterator[str]:
    """Yield the waits that differ from the custom of the trade, and when a part-bake is done, in one sentence."""
    changed = list(dict.fromkeys(_differences(written, filled, room_degc)))
    if changed:
        yield f"estimated from its {written.grams} g, shape and water: {', '.join(changed)}. See [[loaf.measured]]."
    if answer.part_bake:
        full = filled.oven.covered_minutes + filled.oven.uncovered_minutes
        late = ", perhaps all of its time" if answer.part_bake.high > full else ""
        yield f"part-baked when its core is at 96 to 97 degC, about {span(answer.part_bake, 'min')}{late}."


def _differences(written: Bread, filled: Bread, room_degc: float) -> Iterator[str]:
    process = written.processes[0]
    for id_ in written.forms:
        before, after = usual.kept(written, process, id_), usual.kept(filled, process, id_)
        yield from _differs("bag after", before.cool_minutes, after.cool_minutes)
        yield from _differs("frozen through after", before.freeze_minutes, after.freeze_minutes)
    custom = {route.id: route for route in usual.routes(written, room_degc)}
    for route in filled.routes:
        before_h, after_h = custom[route.id].thaw_hours[0], route.thaw_hours[0]
        yield from _differs(PLACES[route.place], 60 * before_h, 60 * after_h)
        if route.place == "none" and route.oven:
            yield from _differs("from frozen first", custom[route.id].oven[0].minutes, route.oven[0].minutes)


def _differs(what: str, custom: float, estimated: float) -> Iterator[str]:
    if abs(estimated - custom) > WORTH_SAYING * custom:
        yield f"{what} {long(estimated)} (usual {long(custom)})"


def _cold(bread: Bread, ways: tuple[Taken, ...]) -> Iterator[str]:
    """Yield where a core may be cold when the bread leaves the oven, or when it is eaten."""
    routes = {route.id: route for route in bread.routes}
    for taken in ways:
        if taken.core and taken.eaten and taken.core.low < COLD_DEGC:
            yield _cold_words(routes[taken.id], taken.core, taken.eaten)


def _cold_words(route: Route, core: Range, eaten: Range) -> str:
    way = PLACES[route.place]
    if not route.oven:
        return f"{way}, its core is at about {span(core, 'degC')} when it may be eaten."
    if eaten.low < COLD_DEGC:
        stood = f"and {span(eaten, 'degC')} after standing {route.stand_minutes} min: it may still be cold"
        return f"{way}, its core leaves the oven at about {span(core, 'degC')}, {stood}."
    return f"{way}, let it stand {route.stand_minutes} min: its core leaves the oven at about {span(core, 'degC')}."


def _measured(answer: Answer) -> Iterator[str]:
    yield from answer.doubts
    for pace, what in ((answer.pace_air, "to cool, freeze and thaw"), (answer.pace_oven, "in the oven")):
        if pace != 1:
            more = f"{abs(100 * pace - 100):.0f} % {'more' if pace > 1 else 'less'}"
            yield f"as you measured, it takes {more} time {what} than estimated; its times follow that."
