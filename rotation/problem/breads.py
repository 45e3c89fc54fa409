"""The breads: how each is baked, how it is kept frozen, and its ways to the table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

TABLE = "table"
"""The treatment of a piece that goes to the table fresh; every other treatment names the form it is frozen in."""

FRESH, FINISHED, THAWED, TOAST, BOUGHT = "fresh", "finished", "thawed", "toast", "bought"
"""How bread comes to a meal. `TOAST` is bread taken from the freezer at the meal: toaster or lunchbox."""


THAWING = ", thawing"
"""Follows the form in the name of what is out of the freezer already and is still to be finished."""

COLD_WITHIN = 120
"""Minutes from the oven in which a filled bread is in the freezer's bag."""

DIAL = 1
"""Minutes of hands to set an oven to another heat while something is in it."""


FEED, STARTER = "feed", "starter"
"""The stage of a process that feeds the starter; what is fed beside any bake, where the name of a bread stands."""


RESCUED = ", rescued"
"""Follows the household's process in the name of the one that slow dough is gone on with."""


def of_household(process: str) -> str:
    """Return the process of the household that one is, or was made of for dough that was slow."""
    return process.partition(RESCUED)[0]


def kept_as(form: str) -> str:
    """Return the form that bread was frozen in, also of what is thawing by now."""
    return form.partition(THAWING)[0]


def is_thawing(form: str) -> bool:
    """Say whether something is out of the freezer already, to be finished."""
    return THAWING in form


@dataclass(frozen=True)
class Stage:
    """One hands-on step of a process. `hands`: fixed minutes; `hands_per_piece`: minutes for each piece of the bake.

    The step named "oven" stands for loading the first piece: its minutes are those of each load, see `Programme`.
    The step named "bag" comes after cooling, only if a piece is frozen; `hands_per_piece` counts frozen pieces there.
    """

    name: str
    hands: int
    hands_per_piece: int = 0


@dataclass(frozen=True)
class Wait:
    """Minutes between two named steps. `between` neighbours: end of the first to start of the second.

    `whole` True: from the start of the first to the start of the second, any two steps (a bulk with folds inside).
    Bounds hold for runs whose mix starts on the given local day of the horizon: `bounds[day] = (shortest, longest)`;
    the last entry serves all later days, the first all earlier. The longest wait before the oven binds the last load.
    """

    first: str
    second: str
    bounds: tuple[tuple[int, int], ...]
    whole: bool = False

    def on(self, day: int) -> tuple[int, int]:
        """Return the bounds for a run mixed on the local day with this index."""
        return self.bounds[min(max(day, 0), len(self.bounds) - 1)]


@dataclass(frozen=True)
class Use:
    """Something a bake holds from the start of one step to the start of another.

    what: "bowl" (one, and its dough counts against the limit), "banneton" or "fridge" (one a piece). Where `until` is
    "oven" it is held until the last load is in.
    """

    what: str
    since: str
    until: str


@dataclass(frozen=True)
class Programme:
    """One stay in the oven of one bake or finish.

    covered: minutes of each load in a covered vessel (0: none needed); pieces_per_load: what one vessel or place takes;
    handling: minutes of hands at each event (in, lid off, set, out; events at one minute are one).
    turns: where it wants several temperatures, minutes after a load goes in and the degC to set then; such loads share
    the oven only if they go in together.
    """

    degc: int
    covered: int
    pieces_per_load: int
    handling: int
    turns: tuple[tuple[int, int], ...] = ()

    def degc_after(self, minutes: int) -> int:
        """Return the temperature the oven is set to when a load comes out, `minutes` after it went in."""
        return next((degc for after, degc in reversed(self.turns) if after < minutes), self.degc)


@dataclass(frozen=True)
class Treatment:
    """What becomes of a piece of a bake. `id` is TABLE or the form it is frozen in.

    uncovered: oven minutes without a cover; cool: minutes from out until it may be bagged (frozen) or until it may be
    eaten (table: the rest); bag_by: longest minutes from out until it is bagged; freeze: minutes until frozen through.
    """

    id: str
    uncovered: int
    cool: int
    bag_by: int = 0
    freeze: int = 0


@dataclass(frozen=True)
class Process:
    """Ordered stages from the starter feed to the bag, and what binds them.

    stages: in order; exactly one named "mix" and one "oven"; "bag" last where a treatment freezes. waits: between each
    pair of neighbours up to "oven" (bag follows by the treatment). pieces: allowed totals of a bake, ascending.
    unusual: milli effort added for a bake mixed on a local day with this index.
    """

    id: str
    name: str
    stages: tuple[Stage, ...]
    waits: tuple[Wait, ...]
    uses: tuple[Use, ...]
    programme: Programme
    treatments: tuple[Treatment, ...]
    pieces: tuple[int, ...]
    fixed: int
    unusual: tuple[int, ...] = ()

    def treatment(self, id_: str) -> Treatment:
        """Return the treatment with this id."""
        return next(treatment for treatment in self.treatments if treatment.id == id_)

    def mixed_on(self, day: int) -> int:
        """Return the fixed milli effort of one bake mixed on the local day with this index."""
        return self.fixed + (self.unusual[day] if 0 <= day < len(self.unusual) else 0)

    def windows(self, done: Mapping[str, tuple[int, int]], day: int) -> dict[str, tuple[int, int]]:
        """Return since when and until when the steps may begin whose waits began in reality, by their names in order.

        done: the real minutes of what is done, by step; day: on which it was mixed. At the oven, until when binds the
        last load. Until when may be before the plan begins.
        """
        found = dict[str, tuple[int, int]]()
        for wait in self.waits:
            if wait.first in done and wait.second not in done:
                since = done[wait.first][0 if wait.whole else 1]
                shortest, longest = wait.on(day)
                low, high = found.get(wait.second, (since + shortest, since + longest))
                found[wait.second] = (max(low, since + shortest), min(high, since + longest))
        return {stage.name: found[stage.name] for stage in self.stages if stage.name in found}


@dataclass(frozen=True)
class Form:
    """How a bread is kept frozen. Stock is counted in units: pieces, or portions if sliced.

    unit_dl: freezer room; unit_grams: mass that is frozen, before the load factor; load_percent: of the rated kilograms
    (F03: bread holds less heat than the test packs); units_per_piece: units one piece of a bake gives.
    eat_first, toast_after, strict: minutes from bagging until it is to be eaten first, is for toast, may not leave the
    freezer to be eaten at all (None: never). Each counts to the end of the local day it falls on.
    """

    id: str
    units_per_piece: int
    portions_per_unit: int
    unit_dl: int
    unit_grams: int
    load_percent: int
    eat_first: int
    toast_after: int
    strict: int | None = None

    @property
    def load_grams(self) -> int:
        """Grams of one unit that count against the freezer's rating."""
        return -(-self.unit_grams * self.load_percent // 100)


@dataclass(frozen=True)
class Route:
    """One way from a form to the table.

    gives: FINISHED, THAWED or TOAST. place: "worktop", "fridge", or "" straight from frozen. thaw: shortest and longest
    minutes from take-out until it goes into the oven (or is ready). handling_out: minutes of the trip to the freezer.
    oven: degC and minutes of the finish, or None (of one in parts: the first degC, all minutes); load_units: units one
    oven place takes; stand: minutes until eaten; handling: minutes of hands putting in, and taking out. keeps: minutes
    it may be eaten after it is ready.
    A TOAST route has no thaw, no oven and no trip: it is taken at the meal and eaten there.
    """

    id: str
    form: str
    gives: str
    place: str = ""
    thaw: tuple[int, int] = (0, 0)
    handling_out: int = 2
    oven: tuple[int, int] | None = None
    load_units: int = 1
    handling: int = 2
    stand: int = 0
    keeps: int = 0
    fridge_units: int = 0
    """Units of this route that fill one fridge spot while they thaw in the fridge; 0: they take none."""
    turns: tuple[tuple[int, int], ...] = ()
    """Where the finish has several temperatures: minutes after its start, and the degC somebody sets then."""
    until: int | None = None
    """For what is out of the freezer already: the last minute at which it may go into the oven."""


@dataclass(frozen=True)
class Bread:
    """A product of the household. portions: of one piece; dough_grams: of one piece; keeps: minutes in the bread box.

    filled: must thaw in the fridge and be cold within two hours; allergens: ids, "?" where an ingredient is unknown.
    worth: what stock at the end is worth, as `(portions, milli per portion)`, in falling order; more is worth nothing.
    """

    id: str
    name: str
    portions: int
    dough_grams: int
    keeps: int
    filled: bool
    allergens: frozenset[str]
    processes: tuple[Process, ...]
    forms: tuple[Form, ...]
    routes: tuple[Route, ...]
    worth: tuple[tuple[int, int], ...] = ()

    def form(self, id_: str) -> Form:
        """Return the form with this id."""
        return next(form for form in self.forms if form.id == id_)

    def route(self, id_: str) -> Route:
        """Return the route with this id."""
        return next(route for route in self.routes if route.id == id_)

    def process(self, id_: str) -> Process:
        """Return the process with this id."""
        return next(process for process in self.processes if process.id == id_)
