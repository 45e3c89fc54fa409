"""What there is at the start: bread in the freezer, in the bread box, in the making; and the starter."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Lot:
    """Units in the freezer at the start. Minutes may be negative; `through`: frozen through from then on."""

    id: str
    letter: str
    bread: str
    form: str
    units: int
    bagged: int
    through: int
    eat_first: int
    toast_after: int
    strict: int | None = None


@dataclass(frozen=True)
class BoxItem:
    """Bread ready to eat at the start: portions of one bread, how it came, when it was ready, when it is gone."""

    id: str
    bread: str
    kind: str
    portions: int
    ready: int
    until: int


@dataclass(frozen=True)
class UnderWay:
    """A bake that has begun: pieces are fixed at the mix; `done` steps with their real minutes `(name, start, end)`.

    fixed: pieces by treatment, in the process's order, once the oven has decided; () while they are still open.
    """

    id: str
    bread: str
    process: str
    pieces: int
    done: tuple[tuple[str, int, int], ...]
    fixed: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class Starter:
    """The starter that is kept. last: minute of its last feed (0 or before); every: minutes it may go unfed.

    hands: minutes of a feed; moved: minutes to which the family moved feeds.
    """

    last: int
    every: int
    hands: int
    moved: tuple[int, ...] = ()
