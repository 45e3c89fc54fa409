"""A finished plan, as plain frozen data: what is baked, thawed, finished, bought, served. Minutes as in `problem`."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Step:
    """One hands-on step. `who`: id of the person; None only for a step already done before the start."""

    name: str
    start: int
    end: int
    who: str | None


@dataclass(frozen=True)
class Load:
    """Pieces that go through the oven together: into a place at `start`, lid off at `uncover`, out at `out`.

    `uncover` equals `start` where there is no vessel. Minutes are absolute.
    """

    pieces: int
    start: int
    uncover: int
    out: int


@dataclass(frozen=True)
class Stay:
    """What one bake or finish does in an oven.

    heat: how it gets hot: "cold" (switched on for it at `heat_from`), "after:<id>" (follows a stay or a booking),
    "with:<id>" (shares another stay: same start and temperature), "beside:<id>" (inside a booking).
    who_on: who switches it on, for "cold" only. events: hands at the oven after the first load, in time order; their
    names are "lid off", "swap", "set 220", "out" and the like. Those of a finish are the settings on the way alone.
    """

    id: str
    oven: str
    degc: int
    vessel: bool
    heat: str
    heat_from: int
    start: int
    end: int
    loads: tuple[Load, ...]
    who_on: str | None = None
    events: tuple[Step, ...] = ()
    turns: tuple[tuple[int, int], ...] = ()
    """Where it wants several temperatures: minutes after its start, and the degC to set then."""

    @property
    def last_degc(self) -> int:
        """The temperature of the oven when the stay ends."""
        return self.turns[-1][1] if self.turns else self.degc


@dataclass(frozen=True)
class Bake:
    """One run of one process. `pieces`: treatment id to count, in the process's order, only counts above zero.

    steps: the hands-on steps but those at the oven, which are the stay's: feed, mix, folds, shape, oven (the first
    load), bag. ready: minute its table pieces may be eaten (the stay's end and the rest); put_in: minute the others go
    into the freezer (end of the step "bag"); lots: `(form, lot id)` it makes. late: steps that overrun their bounds.
    """

    id: str
    bread: str
    process: str
    day: int
    pieces: tuple[tuple[str, int], ...]
    steps: tuple[Step, ...]
    stay: Stay
    ready: int
    put_in: int | None
    lots: tuple[tuple[str, str], ...]
    under_way: str | None = None
    late: tuple[str, ...] = ()

    @property
    def total(self) -> int:
        """Pieces of the bake."""
        return sum(count for _, count in self.pieces)

    def count(self, treatment: str) -> int:
        """Pieces with this treatment."""
        return sum(count for id_, count in self.pieces if id_ == treatment)

    def step(self, name: str) -> Step | None:
        """Return the step with this name, or None."""
        return next((step for step in self.steps if step.name == name), None)


@dataclass(frozen=True)
class TakeOut:
    """Units that leave the freezer together for one route.

    lots: lot id to units, oldest first; at: the minute; who: who makes the trip (None for slices taken at the meal);
    trip: id shared by all taken out in one trip ("" where there is none); ready: thawed (or, at the meal, the meal).
    """

    id: str
    bread: str
    form: str
    route: str
    units: int
    lots: tuple[tuple[str, int], ...]
    at: int
    who: str | None
    trip: str
    ready: int


@dataclass(frozen=True)
class Finish:
    """The second stay in the oven of what a take-out brought. `who_in`, `who_out`: hands at both ends."""

    id: str
    take_out: str
    stay: Stay
    who_in: str
    who_out: str
    ready: int


@dataclass(frozen=True)
class Bought:
    """Loaves to buy before the shop shuts."""

    id: str
    loaves: int
    buy_by: int


@dataclass(frozen=True)
class Discard:
    """Units of a lot thrown away, or used for crumbs, at a minute."""

    lot: str
    units: int
    at: int


@dataclass(frozen=True)
class Feeding:
    """A feed of the starter that belongs to no bake. ahead: minute of the bake's feed it makes strong, None: upkeep."""

    id: str
    start: int
    end: int
    who: str
    ahead: int | None = None


@dataclass(frozen=True)
class Serving:
    """Portions a meal gets from one source: id of a bake, a take-out, a bought loaf or a box item."""

    meal: str
    source: str
    portions: int


@dataclass(frozen=True)
class KeptWish:
    """What became of a wish. cost: milli effort it costs to keep (None: not known); because: why it was dropped."""

    wish: str
    kept: bool
    cost: int | None = None
    because: str = ""


@dataclass(frozen=True)
class Tier:
    """One goal in the order of goals, in its own unit: its value in the plan, the best bound proven (None: none)."""

    name: str
    value: int
    bound: int | None


@dataclass(frozen=True)
class Plan:
    """All that is decided for the horizon, tail included. `terms`: the cost by term in milli effort minutes.

    status: "optimal" or "feasible"; canonical: whether it is proven to be the first of all plans as good,
    in the order of `solve.canonical`.
    """

    bakes: tuple[Bake, ...] = ()
    take_outs: tuple[TakeOut, ...] = ()
    finishes: tuple[Finish, ...] = ()
    bought: tuple[Bought, ...] = ()
    discards: tuple[Discard, ...] = ()
    servings: tuple[Serving, ...] = ()
    wishes: tuple[KeptWish, ...] = ()
    feedings: tuple[Feeding, ...] = ()
    status: str = "feasible"
    canonical: bool = False
    tiers: tuple[Tier, ...] = ()
    terms: tuple[tuple[str, int], ...] = ()
    path: tuple[str, ...] = field(default=())
    """How the solver came to it, in words."""

    @property
    def total(self) -> int:
        """The cost, in milli effort minutes."""
        return sum(cost for _, cost in self.terms)

    @property
    def gap(self) -> float | None:
        """How far the best bound of the cost lies below it, as a share of the cost; None where no bound is known."""
        last = self.tiers[-1] if self.tiers else None
        if last is None or last.bound is None:
            return None
        return max(0.0, (last.value - last.bound) / max(1, abs(last.value)))
