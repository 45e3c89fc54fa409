"""What is in a house on a day of a rehearsal: bread to eat, bakes that have begun, what thaws to be finished."""

from __future__ import annotations

from dataclasses import dataclass, field

from rotation.plan import Bake, TakeOut
from rotation.problem import TABLE, Process, Route


@dataclass
class Ready:
    """Bread to eat. parts: portions by origin, the oldest first; minutes of the rehearsal."""

    id: str
    bread: str
    kind: str
    ready: int
    until: int
    parts: list[tuple[str, int]]
    source: str = ""
    """What it came from, where that is still something else in the house: a bake not all put away."""

    @property
    def portions(self) -> int:
        """How many there are."""
        return sum(portions for _, portions in self.parts)

    def take(self, portions: int) -> list[tuple[str, int]]:
        """Take so many portions, or all there are; return them by origin."""
        taken, left = [], []
        for origin, held in self.parts:
            part = min(held, portions)
            portions -= part
            taken += [(origin, part)] if part else []
            left += [(origin, held - part)] if held > part else []
        self.parts = left
        return taken


@dataclass
class Begun:
    """A bake that has begun. bake: as it was last planned, its minutes those of the rehearsal; done: its real steps."""

    bake: Bake
    process: Process
    done: dict[str, tuple[int, int]] = field(default_factory=dict)
    asked: bool = False
    table: bool = False
    """Whether its loaves for the table are in the box."""

    @property
    def frozen(self) -> tuple[tuple[str, int], ...]:
        """The pieces that go into the freezer."""
        return tuple((id_, count) for id_, count in self.bake.pieces if id_ != TABLE)


@dataclass
class Thawing:
    """What left the freezer and is to be finished."""

    out: TakeOut
    route: Route
    parts: list[tuple[str, int]]
