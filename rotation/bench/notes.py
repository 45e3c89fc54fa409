"""Bench notes of one bake: plain data, in grams, degC and aware datetimes, for print and JSON."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from rotation.bakers_math import Water


@dataclass(frozen=True)
class Part:
    """One thing on the scales. percent: of all the flour; None for what is counted elsewhere, as a ripe starter."""

    name: str
    grams: float
    percent: float | None = None


@dataclass(frozen=True)
class Mass:
    """What is weighed at one step. words: what it is ("starter", "dough"); keep: grams of it to be put back."""

    words: str
    parts: tuple[Part, ...]
    keep: float = 0.0
    beforehand: str = ""


@dataclass(frozen=True)
class Step:
    """A step with its clock times. earliest and latest: what waits and spans allow, counted from the mix.

    risen: per cent the dough has risen by then; None where that tells nothing. cold_as: where the fridge follows, the
    minutes in the room that do what the dough still does while it cools there; None elsewhere.
    """

    name: str
    at: datetime
    earliest: datetime
    latest: datetime
    hands: int
    weigh: tuple[Mass, ...] = ()
    cold_as: int | None = None
    risen: float | None = None
    caution: str = ""


@dataclass(frozen=True)
class Baked:
    """What becomes of pieces. treatment: "table" or a form; minutes covered, open, until cool, until frozen through.

    out: the last piece; ready: to eat, or to bag. eat_first, toast_after, strict: from then on; None for the table.
    """

    treatment: str
    covered: int
    uncovered: int
    out: datetime
    ready: datetime
    bag_by: datetime | None = None
    through: datetime | None = None
    eat_first: datetime | None = None
    toast_after: datetime | None = None
    strict: datetime | None = None


@dataclass(frozen=True)
class Way:
    """A way from the freezer to the table. Minutes: thaw shortest and longest, oven parts as (degC, minutes), stand.

    soonest: minutes from the freezer until it is eaten; keeps: minutes it may be eaten after.
    """

    name: str
    form: str
    gives: str
    place: str
    thaw: tuple[int, int]
    oven: tuple[tuple[int, int], ...]
    stand: int
    soonest: int
    keeps: int


@dataclass(frozen=True)
class Contents:
    """Allergens: of the EU's list with their kinds, of the United States' list, ingredients nobody has looked up.

    beside: what other breads of the house hold and this one does not name, by bread.
    """

    found: tuple[str, ...]
    us: tuple[str, ...]
    unknown: tuple[str, ...]
    beside: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def all(self) -> tuple[str, ...]:
        """What the bread holds, "?" where an ingredient is unknown."""
        return (*self.found, *(["?"] if self.unknown else []))


@dataclass(frozen=True)
class BenchNotes:
    """All that is wanted at the bench for one bake of one bread.

    whole: the formula, with the grams of this bake. box_degc: of the warm box, if the bake stands in it. water_by_heat:
    degC by a balance of heat, beside the bakers' rule in `water`. heat_from: when the oven goes on. keeps: minutes in
    the bread box. cautions: by act.
    """

    bread: str
    process: str
    pieces: int
    piece_grams: float
    baked_grams: float
    dough_grams: float
    flour_grams: float
    hydration_percent: float
    soaked_percent: float
    prefermented_percent: float
    bake_loss_percent: float
    process_loss_percent: float
    room_degc: float
    box_degc: float | None
    reference_degc: float
    dough_degc: float
    water: Water
    water_by_heat: float | None
    whole: tuple[Part, ...]
    steps: tuple[Step, ...]
    oven_degc: int
    fan_lower_degc: int
    vessel: bool
    heat_from: datetime
    baked: tuple[Baked, ...]
    ways: tuple[Way, ...]
    keeps: int
    contents: Contents
    cautions: tuple[tuple[str, str], ...]
    said: tuple[str, ...]
