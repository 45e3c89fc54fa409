"""The other shapes that late dough may take, each a bread of its own that nobody plans: "country.tin".

Figures are common practice, no published source: a tin carries dough that would run flat, and a flatbread wants
hardly any rise.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from rotation.household import usual
from rotation.household.breads import Bread, Form, Route, Shape, Table
from rotation.household.heat import Loaf
from rotation.household.processes import OvenProgramme, Process, Stage, Use

ShapeId = Literal["tin", "flatbread"]
SHAPES: tuple[ShapeId, ...] = ("tin", "flatbread")
"""In the order in which they are offered."""

FLATBREAD_GRAMS = 225
"""Dough of one flatbread."""

_LOAF_WORDS = ("loaf", "loaves", "round", "stick", "rolls", "roll", "buns", "bun")


@dataclass(frozen=True)
class _Usual:
    """What a shape is where the bread does not say. keeps_hours None: as long as the bread."""

    name: str
    then_minutes: tuple[int, int]
    oven: OvenProgramme
    rest_minutes: int
    keeps_hours: float | None
    forms: dict[Literal["part-baked", "baked", "sliced"], Form]
    routes: tuple[Route, ...]
    loaf: Loaf
    pieces: Callable[[Bread], int]


_USUAL: dict[ShapeId, _Usual] = {
    "tin": _Usual(
        "tin loaf",
        (45, 150),
        OvenProgramme(degc=210, uncovered_minutes=40),
        60,
        None,
        {"sliced": Form()},
        (Route(id="toast", form="sliced", gives="toast"),),
        Loaf(shape="tin"),
        lambda bread: 1,
    ),
    "flatbread": _Usual(
        "flatbread",
        (15, 90),
        OvenProgramme(degc=250, uncovered_minutes=12, pieces_per_place=2, handling_minutes=2),
        10,
        24.0,
        {"baked": Form(cool_minutes=30)},
        (Route(id="toast", form="baked", gives="toast"),),
        Loaf(shape="roll"),
        lambda bread: max(1, round(bread.piece_grams / FLATBREAD_GRAMS)),
    ),
}


def shape_id(bread: str, shape: ShapeId) -> str:
    """Return the id of a bread's dough in another shape. No file can have it: a file's name holds no dot."""
    return f"{bread}.{shape}"


def dough_of(id_: str) -> str:
    """Return the bread whose dough a bread is made of: its own, or the one that took another shape."""
    return id_.partition(".")[0]


def shape_of(id_: str) -> str:
    """Return the shape that the dough of a bread took, "" for a bread as its file has it."""
    return id_.partition(".")[2]


def shapes(bread: Bread) -> tuple[ShapeId, ...]:
    """Return the shapes a bread's late dough may take: those written; else both for a loaf, a flatbread for the rest.

    Dough that is only ever in a tin is none the better for another; filled dough takes none.
    """
    written = bread.becomes.model_fields_set
    fits: dict[ShapeId, bool] = {
        "tin": "tin" in written or not (bread.small or _in_a_tin(bread) or bread.kind == "filled"),
        "flatbread": "flatbread" in written or bread.kind == "plain",
    }
    wanted = {"tin": bread.becomes.tin, "flatbread": bread.becomes.flatbread}
    can = any(_shaping(process) for process in bread.processes)
    return tuple(shape for shape in SHAPES if can and fits[shape] and wanted[shape] is not None)


def _in_a_tin(bread: Bread) -> bool:
    """Say whether a bread is baked in a tin anyway: it says so, or says nothing and is only kept in slices."""
    return bread.loaf.shape == "tin" or (bread.loaf.shape is None and {*bread.forms} == {"sliced"})


def shaped(bread: Bread, shape: ShapeId) -> Bread:
    """Return a bread's dough in another shape, as a bread: its pieces, minutes, keeping and routes are the shape's.

    Its processes are the bread's up to the step at which the dough is shaped, then that shape's, the oven, the bag.
    """
    given: Shape = getattr(bread.becomes, shape) or Shape()
    common = _USUAL[shape]
    pieces = min(given.pieces or common.pieces(bread), bread.piece_grams)
    grams = bread.piece_grams // pieces
    forms = common.forms if given.forms is None else given.forms
    routes = given.routes or (common.routes if given.forms is None else ())
    name = " ".join(word for word in bread.name.split(" ") if word.casefold() not in _LOAF_WORDS) or bread.name
    rest = common.rest_minutes if given.rest_minutes is None else given.rest_minutes
    return bread.model_copy(
        update={
            "name": f"{name} {common.name}"[:200],
            "portions": given.portions or -(-bread.portions // pieces),
            "piece_grams": grams,
            "baked_grams": None if bread.baked_grams is None else max(1, bread.baked_grams // pieces),
            "keeps_hours": given.keeps_hours or common.keeps_hours or usual.keeps_hours(bread),
            "oven": given.oven or common.oven,
            "table": Table(rest_minutes=rest),
            "forms": forms,
            "routes": routes,
            "loaf": common.loaf,
            "processes": tuple(
                _processes(bread, given, given.then_minutes or common.then_minutes, pieces, bool(forms))
            ),
            "note": None,
        }
    )


def _shaping(process: Process) -> str:
    """Return the step at which the dough is shaped: the one called so, else the last before the oven; "" if none."""
    names = [stage.name for stage in process.stages]
    made = names[names.index("mix") + 1 : names.index("oven")] if {"mix", "oven"} <= {*names} else []
    return "shape" if "shape" in made else next(reversed(made), "")


def _processes(bread: Bread, shape: Shape, then: tuple[int, int], pieces: int, frozen: bool) -> Iterator[Process]:
    for process in bread.processes:
        step = _shaping(process)
        if not step:
            continue
        names = [stage.name for stage in process.stages]
        at = names.index(step)
        before = [
            stage.model_copy(update={"hands_minutes_per_piece": -(-stage.hands_minutes_per_piece // pieces)})
            for stage in process.stages[:at]
        ]
        made = Stage(
            name=step,
            hands_minutes=shape.hands_minutes,
            hands_minutes_per_piece=shape.hands_minutes_per_piece,
            then_minutes=then,
            warm=True,
        )
        bag = next((stage for stage in process.stages if stage.name == "bag"), Stage(name="bag", hands_minutes=3))
        oven = next(stage for stage in process.stages if stage.name == "oven")
        yield process.model_copy(
            update={
                "stages": (*before, made, oven, *((bag,) if frozen else ())),
                "spans": tuple(span for span in process.spans if span.second in names[: at + 1]),
                "uses": tuple(_uses(process, names[: at + 1])),
                "pieces": tuple(pieces * size for size in process.pieces),
                "oven": None,
            }
        )


def _uses(process: Process, names: list[str]) -> Iterator[Use]:
    """Yield what the dough holds until it is shaped: its bowl. What lies in the fridge comes out for it."""
    for use in process.held:
        if use.what == "bowl" and use.since in names[:-1]:
            yield use.model_copy(update={"until": use.until if use.until in names else names[-1]})
