"""What is to be planned, as plain frozen data. Knows neither the solver nor calendars.

Time is whole minutes of UTC since `Problem.zero`; spans are half-open `(start, end)`, sorted and disjoint. Effort is
counted in thousandths of an effort minute (`milli`), so that every cost is an integer. Room is counted in decilitres,
mass in grams, temperatures in degC.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from itertools import pairwise
from zoneinfo import ZoneInfo

GRID = 5
"""Planned starts are multiples of this many minutes."""

Spans = tuple[tuple[int, int], ...]
Steps = tuple[tuple[int, int], ...]
"""A step function: `(from minute, value)`, the first at or before the start of the horizon."""

TABLE = "table"
"""The treatment of a piece that goes to the table fresh; every other treatment names the form it is frozen in."""

FRESH, FINISHED, THAWED, TOAST, BOUGHT = "fresh", "finished", "thawed", "toast", "bought"
"""How bread comes to a meal. `TOAST` is bread taken from the freezer at the meal: toaster or lunchbox."""


@dataclass(frozen=True)
class Person:
    """Somebody in the house. `inside`: in and awake; `free`: hands free; `quick`: free for jobs of two minutes at most.

    price: milli effort a minute of this person's hands costs, as a step function of the start of the job.
    """

    id: str
    name: str
    adult: bool
    bakes: bool
    finishes: bool
    inside: Spans
    free: Spans
    quick: Spans
    price: Steps


@dataclass(frozen=True)
class Booking:
    """The family's own use of an oven. `temperature_degc` None: unknown; `places_left`: room for a stay beside it."""

    id: str
    start: int
    end: int
    temperature_degc: int | None
    places_left: int


@dataclass(frozen=True)
class Oven:
    """One oven. `closed`: spans in which it may neither heat nor be on. `places`: loaves or trays side by side.

    heat_up, heat_up_vessel: minutes from cold, without and with a covered vessel inside; degc_per_minute_up, _down: how
    fast a hot oven changes; hot_gap: minutes after which an oven counts as cold again (at most `watch_after`);
    watch_after, watch_after_vessel: minutes an adult stays in after it is off.
    """

    id: str
    name: str
    places: int
    vessels: int
    heat_up: int
    heat_up_vessel: int
    degc_per_minute_up: int
    degc_per_minute_down: int
    hot_gap: int
    watch_after: int
    watch_after_vessel: int
    closed: Spans
    bookings: tuple[Booking, ...]
    fan_lower_degc: int = 20
    """How much lower it is set with its fan on; 0: it has none."""

    def change(self, from_degc: int, to_degc: int) -> int:
        """Return the minutes a hot oven needs from one temperature to another."""
        rise = to_degc - from_degc
        rate = self.degc_per_minute_up if rise > 0 else self.degc_per_minute_down
        return -(-abs(rise) // rate)


@dataclass(frozen=True)
class Kitchen:
    """What the house holds, each a step function of time: bowls, dough in them, bannetons, fridge spots, freezer."""

    bowls: Steps
    dough_grams: Steps
    bannetons: Steps
    fridge_spots: Steps
    freezer_dl: Steps
    freezing_grams_24h: Steps


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
    handling: minutes of hands at each event (in, lid off, out; events at one minute are one). `one_temperature`: an
    uncovered load may brown beside a covered one.
    """

    degc: int
    covered: int
    pieces_per_load: int
    handling: int
    one_temperature: bool = True


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
    oven: degC and minutes of the finish, or None (of one in parts: the first degC, all minutes); load_units: units one oven place takes; stand: minutes until eaten;
    handling: minutes of hands putting in, and taking out. keeps: minutes it may be eaten after it is ready.
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
    """Where the finish has several temperatures: minutes after its start, and the degC to set then."""


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


@dataclass(frozen=True)
class Accept:
    """One bread that will do at a meal, in the ways it may come, no older than `max_age` minutes since ready."""

    bread: str
    kinds: frozenset[str]
    max_age: int


@dataclass(frozen=True)
class Meal:
    """Portions eaten at one instant. heads: who is counted; without: allergens that must be absent.

    age_milli: price of one portion for each quarter of a day (`Problem.quarter_of`) from ready to eaten; TOAST is free.
    """

    id: str
    uid: str
    summary: str
    at: int
    heads: int
    portions: int
    strict: bool
    accepts: tuple[Accept, ...]
    without: frozenset[str]
    age_milli: int
    source: str = ""


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
    """A bake that has begun: pieces are fixed at the mix; `done` steps with their real minutes `(name, start, end)`."""

    id: str
    bread: str
    process: str
    pieces: int
    done: tuple[tuple[str, int, int], ...]


@dataclass(frozen=True)
class Shop:
    """Bought bread. `closes`: instants by which a loaf is bought; each gives `portions` for `keeps` minutes from then."""

    closes: tuple[int, ...]
    portions: int
    keeps: int
    loaf_milli: int
    allergens: frozenset[str]


@dataclass(frozen=True)
class Wish:
    """Something the family asked for.

    kind "fixed": step `step` of a bake of `bread` starts at `at`; "no bake": none of `bread` is mixed in
    `[at, until)`; "no finish": nothing of `bread` is finished for a meal in `[at, until)`.
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
    """A bake of the plan last published: its bread, process and local day of the mix; `price`: of dropping it."""

    bread: str
    process: str
    day: int
    price: int


@dataclass(frozen=True)
class Weights:
    """Prices of what is better, in milli effort minutes.

    portion_day_frozen: of one portion in the freezer over one local midnight; wasted_portion: gone past its keeping time,
    or thrown away; unit_past_date: still in the freezer at the end of its toast-after day; strict_portion: only to weigh
    strict portions unmet where a single number is wanted, they come before all cost. changed_by_day[d]: a bake mixed on
    day d that was not published.
    """

    heat_up: int
    unmet_portion: int
    strict_portion: int
    portion_day_frozen: int
    wasted_portion: int
    unit_past_date: int
    changed_by_day: tuple[int, ...] = ()


@dataclass(frozen=True)
class Problem:
    """All inputs of one plan, as understood.

    midnights: local midnights in minutes, the first the start of day 0 (at or before minute 0), one more than there are
    days, tail included; shown_days: how many of them are shown; mixes_per_day: bakes of one bread and process mixed in
    one local day, at most one (a rule of this planner, see rules/one_mix.py).
    """

    zero: datetime
    zone: ZoneInfo
    midnights: tuple[int, ...]
    shown_days: int
    people: tuple[Person, ...]
    ovens: tuple[Oven, ...]
    kitchen: Kitchen
    breads: tuple[Bread, ...]
    meals: tuple[Meal, ...]
    lots: tuple[Lot, ...]
    box: tuple[BoxItem, ...]
    under_way: tuple[UnderWay, ...]
    shop: Shop
    weights: Weights
    wishes: tuple[Wish, ...] = ()
    published: tuple[Published, ...] | None = None

    @property
    def end(self) -> int:
        """The last minute of the horizon, tail included."""
        return self.midnights[-1]

    @property
    def days(self) -> int:
        """Local days from the start to the end of the tail."""
        return len(self.midnights) - 1

    @cached_property
    def adults_inside(self) -> Spans:
        """When at least one adult is in and awake."""
        return union(span for person in self.people if person.adult for span in person.inside)

    def bread(self, id_: str) -> Bread:
        """Return the bread with this id."""
        return next(bread for bread in self.breads if bread.id == id_)

    def person(self, id_: str) -> Person:
        """Return the person with this id."""
        return next(person for person in self.people if person.id == id_)

    def oven(self, id_: str) -> Oven:
        """Return the oven with this id."""
        return next(oven for oven in self.ovens if oven.id == id_)

    def day_of(self, minute: int) -> int:
        """Return the index of the local day that holds this minute: negative before the start, `days` after the end."""
        return day_index(self.midnights, minute)

    def quarter_of(self, minute: int) -> int:
        """Return the index of the quarter of a day (six hours from local midnight; the last may be longer or shorter)."""
        day = min(max(self.day_of(minute), 0), self.days - 1)
        return 4 * day + min((minute - self.midnights[day]) // 360, 3)

    def instant(self, minute: int) -> datetime:
        """Return the local time of a minute."""
        return (self.zero + timedelta(minutes=minute)).astimezone(self.zone)

    def date_of(self, day: int) -> date:
        """Return the local date of the day with this index."""
        return self.instant(self.midnights[0] + 720).date() + timedelta(days=day)


def day_index(midnights: tuple[int, ...], minute: int) -> int:
    """Return the index of the day that holds a minute; days outside the list are 1440 minutes long."""
    if minute < midnights[0]:
        return (minute - midnights[0]) // 1440
    if minute >= midnights[-1]:
        return len(midnights) - 1 + (minute - midnights[-1]) // 1440
    low, high = 0, len(midnights) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if midnights[middle] <= minute else (low, middle)
    return low


def union(spans: Iterator[tuple[int, int]] | Spans) -> Spans:
    """Return sorted disjoint spans that cover the same minutes; spans that touch are joined."""
    merged: list[tuple[int, int]] = []
    for start, end in sorted(span for span in spans if span[0] < span[1]):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return tuple(merged)


def covers(spans: Spans, start: int, end: int) -> bool:
    """Say whether one span holds all of `[start, end)`."""
    return any(first <= start and end <= last for first, last in spans)


def value_at(steps: Steps, minute: int) -> int:
    """Return the value of a step function at a minute."""
    value = steps[0][1]
    for start, later in steps[1:]:
        if start > minute:
            break
        value = later
    return value


def lowest(steps: Steps, start: int, end: int) -> int:
    """Return the lowest value of a step function within `[start, end)`."""
    values = [value_at(steps, start)]
    values += [value for at, value in steps if start < at < end]
    return min(values)


def free_spans(person: Person, minutes: int) -> Spans:
    """Return the spans that can hold a job of this many minutes of one person's hands."""
    return union((*person.free, *person.quick)) if minutes <= 2 else person.free


def well_ordered(spans: Spans) -> bool:
    """Say whether spans are sorted, disjoint and not empty, as every span list of a problem must be."""
    return all(start < end for start, end in spans) and all(a[1] < b[0] for a, b in pairwise(spans))
