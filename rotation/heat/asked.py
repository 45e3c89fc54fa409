"""What is asked of the heat model for one bread, and what it answers: plain figures, kept in the cache as they are.

Minutes and degC throughout. Every answer is an estimate with its range.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rotation.heat.shape import Loaf
from rotation.heat.soft import Range

Place = Literal["worktop", "fridge", "none"]


@dataclass(frozen=True)
class Surroundings:
    """degC of the room at its coldest and warmest, of fridge and freezer; how much lower an oven with a fan is set."""

    room_low: float = 21.0
    room_high: float = 21.0
    fridge: float = 6.0
    freezer: float = -18.0
    fan_lower: float | None = None


@dataclass(frozen=True)
class Way:
    """A way from the freezer to the table. oven: degC and minutes of each part; none: eaten as it thaws.

    thaw: minutes in its place as the family wrote them, None where the model is to say. open: the minutes of the first
    part are the model's.
    """

    id: str
    place: Place
    oven: tuple[tuple[int, int], ...] = ()
    stand: int = 0
    thaw: int | None = None
    open: bool = False


@dataclass(frozen=True)
class BakePart:
    """A part of a bake at one temperature in degC, for an oven without a fan; the last part is given minutes enough."""

    degc: int
    minutes: int
    covered: bool = False


@dataclass(frozen=True)
class PartBake:
    """How a loaf is baked until its core is set: part by part, from dough of some degC."""

    parts: tuple[BakePart, ...]
    dough_degc: float


@dataclass(frozen=True)
class Measured:
    """What a family measured: the core after some minutes in air of `degc`, or when a way's finish was over.

    what: "cool" (bare, from the oven), "freeze", "thaw" (where: "worktop" or "fridge"), or "finish" (way: its id).
    """

    what: Literal["cool", "freeze", "thaw", "finish"]
    core_degc: float
    minutes: float = 0.0
    degc: float = 0.0
    where: Literal["worktop", "fridge"] = "worktop"
    way: str = ""


@dataclass(frozen=True)
class Question:
    """All that the waits of one bread depend on."""

    loaf: Loaf
    around: Surroundings = Surroundings()
    ways: tuple[Way, ...] = ()
    part_bake: PartBake | None = None
    measured: tuple[Measured, ...] = ()


@dataclass(frozen=True)
class Taken:
    """A way as the model sees it. thaw: to its core temperature; core: when it leaves the oven; eaten: after standing.

    oven: as asked, or with the first part as long as the model wants it.
    """

    id: str
    thaw: Range | None
    oven: tuple[tuple[int, int], ...]
    core: Range | None
    eaten: Range | None


@dataclass(frozen=True)
class Answer:
    """What the model says of one bread.

    cool: from the oven until it may be bagged; freeze: until frozen through. kj_per_kg: heat a kilogram gives off in
    the freezer; load_percent: what it counts of the freezer's rating (F03). part_bake: minutes until the core is set.
    pace_air, pace_oven: how many times as long things take as the model alone would say, by what was measured.
    doubts: what was measured and cannot be.
    """

    cool: Range
    freeze: Range
    kj_per_kg: float
    load_percent: int
    ways: tuple[Taken, ...]
    part_bake: Range | None
    pace_air: float = 1.0
    pace_oven: float = 1.0
    doubts: tuple[str, ...] = ()


def rounded_up(minutes: float, step: int = 5) -> int:
    """Return minutes for the planner: up to the next five."""
    return -(-round(minutes) // step) * step
