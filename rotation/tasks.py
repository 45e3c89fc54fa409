"""What a choice of days asks of the minutes: the bakes and ways back to be timed, and within which limits."""

from __future__ import annotations

from dataclasses import dataclass

from rotation.moments import Node
from rotation.oven_turns import Turn, temperatures
from rotation.problem import TABLE, Bread, Process, Route
from rotation.runs import Run
from rotation.thaws import Way

ANY_DAY = -1
"""The put-in day of a task that may go into the freezer on any."""


@dataclass(frozen=True)
class BakeTask:
    """One bake: its pieces are chosen, its minutes are not. ready: within which minutes its table pieces must be.

    eater: the meal for whose sake they may be ready no sooner, "" if it is only their moment class that says so.
    shared: where other bakes are of the same node and it is open which of them feeds whom: before each minute so many
    portions of all of them may be ready at most.
    """

    id: str
    run: Run
    bread: Bread
    process: Process
    pieces: tuple[tuple[str, int], ...]
    turns: tuple[Turn, ...]
    ready: tuple[int, int]
    eater: str = ""
    shared: tuple[tuple[int, int], ...] = ()

    @property
    def node(self) -> Node | None:
        """What its table pieces are among."""
        return None if self.run.ready is None else (self.run.bread, "", self.run.ready)

    @property
    def total(self) -> int:
        """Pieces of the bake."""
        return sum(count for _, count in self.pieces)

    @property
    def portions(self) -> int:
        """Portions for the table."""
        return self.bread.portions * (self.total - self.frozen)

    @property
    def frozen(self) -> int:
        """Pieces that go into the freezer."""
        return sum(count for id_, count in self.pieces if id_ != TABLE)

    @property
    def length(self) -> int:
        """Minutes from the first load in to the last out."""
        return max(turn.out for turn in self.turns)

    @property
    def temperatures(self) -> tuple[tuple[int, int], ...]:
        """Minutes after the first load at which another temperature is set, and which."""
        return temperatures(self.turns, self.process.programme)

    def hands(self, name: str) -> int:
        """Return the minutes of a step."""
        if name == "oven":
            return self.process.programme.handling
        stage = next(stage for stage in self.process.stages if stage.name == name)
        return stage.hands + stage.hands_per_piece * (self.frozen if name == "bag" else self.total)


@dataclass(frozen=True)
class WayTask:
    """Units taken out of the freezer for one route, finished if it has an oven. ready, eater: as of a `BakeTask`."""

    id: str
    way: Way
    bread: Bread
    route: Route
    units: int
    turns: tuple[Turn, ...]
    ready: tuple[int, int]
    eater: str = ""

    @property
    def node(self) -> Node:
        """What it gives is among."""
        return (self.way.bread, self.way.route, self.way.ready)

    @property
    def length(self) -> int:
        """Minutes in the oven."""
        return max((turn.out for turn in self.turns), default=0)

    @property
    def temperatures(self) -> tuple[tuple[int, int], ...]:
        """Minutes after it goes in at which another temperature is set, and which."""
        return self.route.turns


Task = BakeTask | WayTask


@dataclass(frozen=True)
class Asked:
    """A choice of days with values: the tasks, and what every other variable came to."""

    bakes: tuple[BakeTask, ...]
    ways: tuple[WayTask, ...]
    values: tuple[int, ...]
