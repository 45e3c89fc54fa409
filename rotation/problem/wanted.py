"""What the family wants: its wishes, the bakes it has been told of, and what is better at which price."""

from __future__ import annotations

from dataclasses import dataclass

FIXED = ("fixed", "fixed thaw", "fixed finish")
"""The kinds of wishes that ask for something; the others forbid."""


@dataclass(frozen=True)
class Wish:
    """Something the family asked for.

    kind "fixed": step `step` of a bake of `bread` starts at `at`; "fixed thaw": some of `bread` leaves the freezer at
    `at`; "fixed finish": some goes into the oven then to be finished; "no bake": none of `bread` is mixed in
    `[at, until)`; "no finish", "no thaw": no meal in `[at, until)` is given `bread` that was finished, or only thawed.
    """

    id: str
    kind: str
    bread: str
    at: int
    until: int
    step: str = ""
    said: str = ""


@dataclass(frozen=True)
class Published:
    """A bake of the plan last published: its bread, process and local day of the mix; `price`: of dropping it.

    starts: steps with the minutes they were to begin; moved: price of each that begins at another.
    """

    bread: str
    process: str
    day: int
    price: int
    starts: tuple[tuple[str, int], ...] = ()
    moved: int = 0


@dataclass(frozen=True)
class PublishedWay:
    """A thaw of the plan last published, with its finish if its route has one.

    day: local day it leaves the freezer; at: minute it goes into the oven, or, without one, leaves the freezer; ready:
    minute it is to be eaten from; price: of dropping it, or of another minute.
    """

    bread: str
    route: str
    day: int
    at: int
    ready: int
    price: int


@dataclass(frozen=True)
class Kept:
    """Bread kept for bad days, in all of what may stand in for each other.

    forms: each a bread and a form of it; portions: that are to be in the freezer at each local midnight; milli: price
    of one that is not, each time; lowest: of one that is not at the lowest of each seven of them, once.
    """

    forms: tuple[tuple[str, str], ...]
    portions: int
    milli: int
    lowest: int = 0


@dataclass(frozen=True)
class Weights:
    """Prices of what is better, in milli effort minutes.

    portion_day_frozen: of one portion in the freezer over one local midnight; wasted_portion: gone past its keeping
    time, or thrown away; unit_past_date: still in the freezer at the end of its toast-after day; strict_portion: only
    to weigh strict portions unmet where a single number is wanted, they come before all cost. changed_by_day[d]: a bake
    mixed on day d that was not published. extra_bake: each bake beyond `bakes_a_week` in seven days.
    """

    heat_up: int
    unmet_portion: int
    strict_portion: int
    portion_day_frozen: int
    wasted_portion: int
    unit_past_date: int
    changed_by_day: tuple[int, ...] = ()
    bakes_a_week: int = 0
    extra_bake: int = 0
