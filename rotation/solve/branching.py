"""On which variable to branch: the one whose both sides cost most, tried out, later from what it cost before."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, field

from rotation.grid import Ints
from rotation.solve.relaxation import EXACT, Relaxation
from rotation.solve.rows import Floats
from rotation.solve.simplex import Stand

TRIED, STEPS = 4, 30
"""How many variables without a history are tried at a node, and for how many steps of the simplex."""

TRUSTED = 4
"""How often a variable is tried before its history is trusted."""


@dataclass
class History:
    """What going one way cost, for each whole step of a variable."""

    total: float = 0.0
    times: int = 0

    @property
    def mean(self) -> float:
        """Cost of a whole step."""
        return self.total / self.times if self.times else 0.0


@dataclass(frozen=True)
class Choice:
    """A variable to branch on: by how much the cost rises at least below and above; infinite where nothing is left."""

    variable: int
    down: float
    up: float

    def rise(self, below: bool) -> float:
        """Return by how much the cost rises on one side."""
        return self.down if below else self.up

    def dead(self, below: bool) -> bool:
        """Say whether nothing is left on one side."""
        return self.rise(below) == math.inf

    @property
    def worth(self) -> float:
        """Return how much branching here narrows things down."""
        return max(min(self.down, 1e9), 1e-3) * max(min(self.up, 1e9), 1e-3)


@dataclass
class Branching:
    """What was learnt of all variables in one tree."""

    relaxation: Relaxation
    below: dict[int, History] = field(default_factory=lambda: defaultdict(History))
    above: dict[int, History] = field(default_factory=lambda: defaultdict(History))

    def choose(self, split: Ints, values: Floats, value: float, cutoff: float) -> Choice:
        """Return the variable to branch on, of some that are not whole."""
        at = dict(zip(split.tolist(), values[split].tolist(), strict=True))
        known = [v for v in at if self.below[v].times and self.above[v].times]
        halves = sorted(at, key=lambda v: (abs(at[v] - math.floor(at[v]) - 0.5), v))
        fresh = [v for v in halves if not (self.below[v].times and self.above[v].times)][:TRIED]
        known.sort(key=lambda v: (-self._expected(v, at[v]).worth, v))
        stand, best = self.relaxation.stand(), Choice(-1, 0.0, 0.0)
        for variable in [*fresh, *known[:4]]:
            if min(self.below[variable].times, self.above[variable].times) >= TRUSTED:
                choice = self._expected(variable, at[variable])
            else:
                choice = self._tried(variable, at[variable], value, cutoff, stand)
            if best.variable < 0 or choice.worth > best.worth:
                best = choice
            if choice.dead(True) or choice.dead(False):
                return choice
        return best

    def _expected(self, variable: int, at: float) -> Choice:
        part = at - math.floor(at)
        return Choice(variable, self.below[variable].mean * part, self.above[variable].mean * (1 - part))

    def _tried(self, variable: int, at: float, value: float, cutoff: float, stand: Stand) -> Choice:
        """Return what a few steps of the simplex say of both sides; a side is dead only where that is proven."""
        relaxation, floor = self.relaxation, math.floor(at)
        low, high = float(relaxation.lower[variable]), float(relaxation.upper[variable])
        rises = []
        for history, bounds, part in (
            (self.below[variable], (low, float(floor)), at - floor),
            (self.above[variable], (floor + 1.0, high), floor + 1 - at),
        ):
            relaxation.within(variable, *bounds)
            relaxation.back_to(stand)
            rise = relaxation.glance(cutoff + EXACT, STEPS) - value
            if rise < math.inf:
                rise = max(rise, 0.0)
                history.total += rise / part
                history.times += 1
            rises.append(rise)
        relaxation.within(variable, low, high)
        relaxation.back_to(stand)
        return Choice(variable, *rises)
