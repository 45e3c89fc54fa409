"""One file of `breads/`: a bread's formula, processes, the forms it is kept in, and the routes back to the table."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from rotation.household.formulas import Formula
from rotation.household.heat import Loaf
from rotation.household.processes import Hands, OvenDegc, OvenMinutes, OvenProgramme, Process
from rotation.household.processes import Wait as WaitMinutes
from rotation.household.values import Allergens, Id, Settings, Text

FormId = Literal["part-baked", "baked", "sliced"]
SMALL_GRAMS = 400
"""Pieces up to this mass are thawed and finished as rolls are (T06)."""

CoolMinutes = Annotated[int, Field(ge=0, le=1440, examples=[60])]
FreezerHours = Annotated[float, Field(gt=0, le=96, examples=[14])]
KeepsHours = Annotated[float, Field(gt=0, le=240, examples=[36])]
Span = tuple[Annotated[float, Field(ge=0, le=96)], Annotated[float, Field(ge=0, le=96)]]


class Table(Settings):
    """Pieces that go to the table fresh. `rest_minutes`: from the oven until they may be eaten."""

    uncovered_minutes: OvenMinutes | None = None
    rest_minutes: CoolMinutes | None = None


class Form(Settings):
    """One form the bread is frozen in; what is not written has a default that depends on the bread.

    uncovered_minutes: in the oven without a cover. cool_minutes: from out until it may be bagged; bag_by_hours: at the
    latest ("under a cloth; bag it in the morning"). freeze_hours: until frozen through. unit_litres: room of one piece,
    or of one slice. load_percent: of the rated kilograms (F03). units_per_piece: slices, for "sliced".
    """

    uncovered_minutes: OvenMinutes | None = None
    cool_minutes: CoolMinutes | None = None
    bag_by_hours: FreezerHours | None = None
    freeze_hours: FreezerHours = 12.0
    units_per_piece: Annotated[int, Field(ge=1, le=200, examples=[16])] | None = None
    unit_litres: Annotated[float, Field(gt=0, le=50, examples=[3.5])] | None = None
    load_percent: Annotated[int, Field(ge=10, le=100)] = 60
    eat_first_weeks: Annotated[float, Field(gt=0, le=104)] = 4.0
    toast_after_weeks: Annotated[float, Field(gt=0, le=104)] = 12.0
    strict_weeks: Annotated[float, Field(gt=0, le=104, examples=[12])] | None = None


def _no_table(value: object) -> object:
    """Return None for `table = false`."""
    return None if value is False else value


class OvenPart(Settings):
    """A part of a finish at one temperature."""

    degc: OvenDegc
    minutes: Annotated[int, Field(ge=1, le=180, examples=[18])]


class Route(Settings):
    """One way from a form to the table.

    place: "worktop", "fridge" or "none" (straight from frozen). thaw_hours: shortest and longest from take-out until it
    goes into the oven, or until it may be eaten. oven: the finish, part by part; none for what is only thawed or
    toasted. fridge_pieces: pieces that fill one fridge spot while they thaw there.
    """

    id: Id = Field(examples=["worktop"])
    form: FormId
    gives: Literal["finished", "thawed", "toast"]
    place: Literal["worktop", "fridge", "none"] = "none"
    thaw_hours: Span = (0.0, 0.0)
    take_out_minutes: Annotated[int, Field(ge=1, le=30)] = 2
    oven: tuple[OvenPart, ...] = ()
    pieces_per_place: Annotated[int, Field(ge=1, le=100, examples=[1])] | None = None
    handling_minutes: Annotated[int, Field(ge=1, le=60)] = 2
    stand_minutes: CoolMinutes = 0
    keeps_hours: KeepsHours | None = None
    fridge_pieces: Annotated[int, Field(ge=0, le=100)] = 1


class Shape(Settings):
    """What becomes of late dough shaped otherwise; what is not written has a default (`household.shapes`).

    pieces: that one piece of dough gives; portions: of one of them. hands_minutes, hands_minutes_per_piece: of shaping.
    then_minutes: shortest and longest wait from there to the oven, warm, at the process's `reference_degc`. oven,
    keeps_hours, rest_minutes, forms, routes: as of a bread, of this shape alone.
    """

    pieces: Annotated[int, Field(ge=1, le=30, examples=[4])] | None = None
    portions: Annotated[int, Field(ge=1, le=200, examples=[4])] | None = None
    hands_minutes: Hands = 3
    hands_minutes_per_piece: Hands = 2
    then_minutes: WaitMinutes | None = None
    oven: OvenProgramme | None = None
    rest_minutes: CoolMinutes | None = None
    keeps_hours: KeepsHours | None = None
    forms: dict[FormId, Form] | None = None
    routes: tuple[Route, ...] = ()


MaybeShape = Annotated[Shape | None, BeforeValidator(_no_table, json_schema_input_type=Shape | Literal[False])]


class Becomes(Settings):
    """The other shapes late dough may take; `false` for none. Not written, the usual ones (`household.shapes`)."""

    tin: MaybeShape = Shape()
    flatbread: MaybeShape = Shape()


class Bread(Settings):
    """A product the household bakes. Its id is the name of its file.

    piece_grams: dough of one piece; baked_grams: when baked, 87 % of the dough if not written (A09);
    process_loss_percent: of the dough mixed, what sticks to bowls and hands. portions: of one piece. kind "filled":
    thaws in the fridge only, is cold within two hours, keeps strict dates. forms: how it may be frozen. routes: if none
    is written, the usual ones for its forms and size (`household.usual`). loaf: shape and size, from which the waits
    that nobody wrote are estimated (`rotation.heat`). becomes: what its dough may turn into when it is late.
    """

    name: Text = Field(examples=["Country loaf"])
    kind: Literal["plain", "filled"] = "plain"
    portions: Annotated[int, Field(ge=1, le=200, examples=[14])]
    piece_grams: Annotated[int, Field(ge=10, le=10_000, examples=[900])]
    baked_grams: Annotated[int, Field(ge=10, le=10_000, examples=[780])] | None = None
    process_loss_percent: Annotated[float, Field(ge=0, le=20)] = 0.0
    keeps_hours: KeepsHours | None = None
    formula: Formula
    oven: OvenProgramme
    table: Annotated[Table | None, BeforeValidator(_no_table, json_schema_input_type=Table | Literal[False])] = Table()
    forms: dict[FormId, Form] = Field(default={})
    processes: Annotated[tuple[Process, ...], Field(min_length=1)]
    routes: tuple[Route, ...] = ()
    loaf: Loaf = Loaf()
    becomes: Becomes = Becomes()
    contains: dict[str, Allergens] = Field(default={})
    note: Text | None = None

    @property
    def grams(self) -> int:
        """Mass of one baked piece."""
        return self.baked_grams or round(self.piece_grams * 0.87)

    @property
    def small(self) -> bool:
        """Whether a piece thaws and finishes as a roll does."""
        return self.grams <= SMALL_GRAMS
