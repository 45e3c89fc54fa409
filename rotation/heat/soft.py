"""The figures of the heat model, each with the range it may lie in: the physics of bread is soft, so times are ranges.

Crumb figures: `low` and `high` are those of C15 to C17 and of practice; heat at the surface is C38 and estimates from
radiation (about 17 W/(m2 K) from walls of 230 degC to a crust at 100) and moving air. What no source gives is an
estimate, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rotation.errors import RotationError


class OutsideModel(RotationError):
    """A loaf, or surroundings, of which the heat model's figures say nothing."""


@dataclass(frozen=True)
class Soft:
    """A figure: the best guess, and the ends it may lie between."""

    best: float
    low: float
    high: float


Where = Literal["rack", "worktop", "fridge", "freezer", "oven", "fan oven", "covered"]

SURFACE: dict[Where, Soft] = {
    "rack": Soft(12.2, 9.0, 16.0),  # bare in a room, hot: 9, times 1.35 for what evaporates
    "worktop": Soft(6.5, 5.0, 8.5),  # bagged
    "fridge": Soft(6.0, 4.5, 8.0),  # bagged
    "freezer": Soft(6.5, 4.5, 12.0),  # bagged; a fan more, two bags less
    "oven": Soft(22.0, 15.0, 30.0),  # bare rack, still air
    "fan oven": Soft(30.0, 22.0, 40.0),  # bare rack; set 20 degC lower
    "covered": Soft(19.0, 12.0, 26.0),  # a covered vessel heated before
}
"""Heat at the surface in W/(m2 K), radiation included."""

DRIFT_DEGC: dict[Where, float] = {
    "rack": 1.0, "worktop": 1.0, "fridge": 1.0, "freezer": 2.0, "oven": 10.0, "fan oven": 10.0, "covered": 15.0,
}  # fmt: skip
"""How far surroundings may be off what they are said to be, in degC: common practice, no published source."""

CRUMB: dict[str, Soft] = {
    "water": Soft(0.0, -0.03, 0.03),  # added to what the formula gives
    "bound": Soft(0.30, 0.25, 0.35),
    "freezing_degc": Soft(-5.0, -8.0, -2.0),
    "k_above": Soft(0.22, 0.18, 0.27),
    "k_below": Soft(0.34, 0.25, 0.45),
    "density": Soft(1.0, 0.85, 1.15),  # times the usual one, of a loaf nobody measured
}

LEFT_AFTER_MEASURING = 0.5
"""Share of a range that is left once a family has measured: an estimate."""


@dataclass(frozen=True)
class Range:
    """An estimate: the likely least, the best guess and the likely most, in minutes or degC."""

    low: float
    best: float
    high: float

    def narrowed(self, share: float) -> Range:
        """Return the range with its ends drawn towards the best guess."""
        return Range(self.best - share * (self.best - self.low), self.best, self.best + share * (self.high - self.best))
