"""The least cost of a tiny home, by listing every way to time each bake and finish and letting HiGHS choose among them.

Written from what a plan means, with nothing of the planner's: each pattern fixes the minutes of one bake or finish and
how its oven gets hot; hands are handed out minute by minute. Holds for homes of tests/outside/tiny_homes.py: one bread
of one form, one oven with one place, no vessel, no shop, ample room, and throwing away never worth it.

Nothing is finished of which no meal could eat. A wish is kept by a pattern of its own, whose step at the wish's minute
may be done by whoever is in; where there are wishes, what is finished at one moment (`moments`) is finished at once.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from rotation.problem import (
    FIXED,
    TABLE,
    TOAST,
    Bread,
    Meal,
    Person,
    Problem,
    Process,
    Route,
    Wish,
    covers,
    free_spans,
    value_at,
)
from tests.outside.by_milp import Programme

GRID = 5
Job = tuple[int, int, bool]
"""Minutes of hands, when they start, and whether the family put them there, so that whoever is in is free for them."""

Heat = tuple[str, int]
"""How a stay gets hot, and since when: "cold", "hot" after a booking, "beside" one, "after" a stay that ends then."""


def moments(problem: Problem) -> list[int]:
    """Return where moments begin: what is ready in one is finished together. After each meal, each quarter of a day."""
    meals, quarters = (
        (meal.at + 1 for meal in problem.meals),
        (start + 360 * k for start in problem.midnights[:-1] for k in range(4)),
    )
    return sorted({*meals, *quarters, problem.end})


def in_reach(problem: Problem, route: Route) -> list[tuple[int, int]]:
    """Return the moments, first and last minute, of which something that is finished in them could be eaten."""
    edges = moments(problem)
    spans = [(first, last - 1) for first, last in zip(edges, [*edges[1:], problem.end + 2880], strict=True)]
    ages = {meal.at: min(route.keeps, meal.accepts[0].max_age) for meal in problem.meals}
    return [(first, last) for first, last in spans if any(first <= at and at - last <= age for at, age in ages.items())]


@dataclass(frozen=True)
class Pattern:
    """One way to time a bake (pieces for the table and the freezer) or a finish (neither). wish: which it keeps."""

    process: Process | None
    table: int
    frozen: int
    first: int
    stay: tuple[int, int, int]
    heat: Heat
    jobs: tuple[Job, ...]
    ready: int
    put_in: int | None = None
    wish: Wish | None = None


class Listed:
    """The programme over all patterns of a home."""

    def __init__(self, problem: Problem) -> None:
        self.problem, self.milp = problem, Programme()
        self.bread: Bread = problem.breads[0]
        self.form, self.oven = self.bread.forms[0], problem.ovens[0]
        self.route: Route = self.bread.routes[0]
        self.wishes = [wish for wish in problem.wishes if wish.kind in FIXED]
        ends = {(stay[1], stay[2]) for stay in (p.stay for p in self._all(frozenset()))}
        while True:  # a stay may follow one that follows another, so ends beget ends
            patterns = list(self._all(frozenset(ends)))
            more = {(p.stay[1], p.stay[2]) for p in patterns}
            if more <= ends:
                break
            ends |= more
        self.patterns = patterns
        self.chosen = [self.milp.whole(self._price(pattern), 1) for pattern in patterns]
        self.does: dict[tuple[int, int, bool], dict[str, int]] = {}
        """Who does a job of so many minutes at a minute, of a bake or not (none that the family moved)."""
        self.eaten: dict[tuple[int | None, int], int] = {}
        """What each meal eats, by number, of a pattern, or of slices."""

    # listing ------------------------------------------------------------------------------------------------------

    def _all(self, ends: frozenset[tuple[int, int]]) -> Iterator[Pattern]:
        for wish in (None, *self.wishes):
            if wish is None or wish.kind == "fixed":
                for process in self.bread.processes:
                    for total in process.pieces:
                        for table in range(total + 1):
                            yield from self._bakes(process, table, total - table, ends, wish)
            if self.route.gives != TOAST and (wish is None or wish.kind != "fixed"):
                yield from self._finishes(ends, wish)

    def _starts(
        self, minutes: int, bakes: bool, first: int = 0, last: int | None = None, asked: int | None = None
    ) -> Iterator[Job]:
        """Yield when a job may be done; at one minute only, by whoever is in, where the family asked for that."""
        last = self.problem.end if last is None else min(last, self.problem.end)
        for at in range(-(-first // GRID) * GRID, last + 1, GRID):
            job = minutes, at, asked is not None
            if (asked is None or at == asked) and self._who(job, bakes):
                yield job

    def _who(self, job: Job, bakes: bool) -> list[Person]:
        minutes, at, moved = job
        able = [p for p in self.problem.people if p.bakes or (p.finishes and not bakes)]
        return [p for p in able if covers(p.inside if moved else free_spans(p, minutes), at, at + minutes)]

    def _none_wanted(self, mix: int) -> bool:
        return any(wish.kind == "no bake" and wish.at <= mix < wish.until for wish in self.problem.wishes)

    def _bakes(
        self, process: Process, table: int, frozen: int, ends: frozenset[tuple[int, int]], wish: Wish | None
    ) -> Iterator[Pattern]:
        mix, _oven, bag = process.stages
        (wait,), each = process.waits, process.programme.handling
        cold = next(t for t in process.treatments if t.id != TABLE)
        minutes = defaultdict(int)
        minutes[process.treatment(TABLE).uncovered] += table
        minutes[cold.uncovered] += frozen
        lengths = [m for m in sorted(minutes, reverse=True) if minutes[m]]  # one load of each, one after the other
        events = [sum(lengths[: n + 1]) for n in range(len(lengths))]
        low, high = wait.bounds[0]
        asked = {} if wish is None else {wish.step: wish.at}
        if wish is not None and wish.step == "bag" and not frozen:
            return
        for begin in self._starts(mix.hands, True, asked=asked.get("mix")):
            if self._none_wanted(begin[1]):
                continue
            ready_for = begin[1] + mix.hands
            last = ready_for + high - (events[-2] if len(events) > 1 else 0)
            for into in self._starts(each, True, ready_for + low, last, asked.get("oven")):
                start, out = into[1], into[1] + events[-1]
                loads = [(each, start + at, False) for at in events]
                if not all(self._who(job, True) for job in loads):
                    continue
                hands = [begin, into, *loads]
                bag_minutes = bag.hands + bag.hands_per_piece * frozen
                by = out + cold.cool, out + cold.bag_by
                bags = self._starts(bag_minutes, True, *by, asked.get("bag")) if frozen else iter([None])
                for bagged in bags:
                    jobs = hands if bagged is None else [*hands, bagged]
                    ready = out + process.treatment(TABLE).cool
                    put_in = None if bagged is None else bagged[1] + bag_minutes
                    stay = (start, out, process.programme.degc)
                    for heat in self._heats(stay, ends, True):
                        on = [(1, heat[1], False)] if heat[0] == "cold" else []
                        every = (*jobs, *on)
                        yield Pattern(process, table, frozen, begin[1], stay, heat, every, ready, put_in, wish)

    def _finishes(self, ends: frozenset[tuple[int, int]], wish: Wish | None) -> Iterator[Pattern]:
        assert self.route.oven is not None
        degc, minutes = self.route.oven
        each, (low, high) = self.route.handling, self.route.thaw
        asked = {} if wish is None else {wish.kind: wish.at}
        reach = in_reach(self.problem, self.route)
        for _, taken, _ in self._starts(self.route.handling_out, False, asked=asked.get("fixed thaw")):
            for into in self._starts(each, False, taken + low, taken + high, asked.get("fixed finish")):
                start, done = into[1], (each, into[1] + minutes, False)
                ready = start + minutes + self.route.stand
                if any(first <= ready <= last for first, last in reach) and self._who(done, False):
                    stay = (start, start + minutes, degc)
                    for heat in self._heats(stay, ends, False):
                        on = [(1, heat[1], False)] if heat[0] == "cold" else []
                        yield Pattern(None, 0, 0, taken, stay, heat, (into, done, *on), ready, None, wish)

    def _heats(self, stay: tuple[int, int, int], ends: frozenset[tuple[int, int]], bakes: bool) -> Iterator[Heat]:
        start, end, degc = stay
        oven = self.oven
        found: list[Heat] = (
            [("cold", start - oven.heat_up)] if self._who((1, start - oven.heat_up, False), bakes) else []
        )
        for at, before in {*ends, *((b.end, b.temperature_degc) for b in oven.bookings)}:
            if before is not None and oven.change(before, degc) <= start - at <= oven.hot_gap:
                if any(booking.end == at and booking.temperature_degc == before for booking in oven.bookings):
                    found.append(("hot", at))
                if (at, before) in ends:
                    found.append(("after", at * 1000 + before))
        for booking in oven.bookings:
            if (
                booking.start <= start
                and end <= booking.end
                and booking.temperature_degc == degc
                and booking.places_left
            ):
                found.append(("beside", start))
        for how, since in found:
            on = since // 1000 if how == "after" else since
            watched = covers(self.problem.adults_inside, on, min(end + oven.watch_after, self.problem.end))
            taken = [] if how == "beside" else [(b.start, b.end) for b in oven.bookings]
            clear = not any(a < end and on < b for a, b in (*oven.closed, *taken))
            if on >= 0 and watched and clear:
                yield how, since

    # programme ----------------------------------------------------------------------------------------------------

    def _price(self, of: Pattern) -> int:
        heat = self.problem.weights.heat_up if of.heat[0] == "cold" else 0
        return heat + (of.process.mixed_on(self.problem.day_of(of.first)) if of.process else 0)

    def least(self) -> int:
        """Return the least cost of any plan that meets what comes before cost, in milli."""
        return self.tiers()[2]

    def tiers(self) -> tuple[int, int, int]:
        """Return the fewest wishes dropped, under that the fewest strict portions short, under that the least cost."""
        self._one_mix()
        self._oven()
        units = self._freezer()
        self._hands()
        short = self._meals(units)
        self.units = units
        everyday = sum(meal.portions for meal in self.problem.meals if not meal.strict)
        self.constant = everyday * self.problem.weights.unmet_portion + self._opening_cost
        dropped = self._kept()
        first = [self._held(goal) if goal else 0 for goal in (dropped, short)]
        return first[0], first[1], self.milp.least() + self.constant

    def _held(self, goal: dict[int, float]) -> int:
        """Return the least of a goal, and hold it there."""
        least = self.milp.least(goal)
        self.milp.row(0, goal, least)
        return least

    def _kept(self) -> dict[int, float]:
        """Let each wish be kept or dropped, and what is finished at one moment be one finish where there are wishes."""
        pairs = list(zip(self.patterns, self.chosen, strict=True))
        dropped: dict[int, float] = {}
        for wish in self.wishes:
            dropped[without := self.milp.whole(0, 1)] = 1
            self.milp.row(1, {without: 1, **{v: 1 for pattern, v in pairs if pattern.wish == wish}}, inf)
        for index, units in self.units.items():
            self.milp.row(0, {units: 1, self.chosen[index]: -1}, inf)
        together: dict[int, dict[int, int]] = defaultdict(dict)
        for pattern, variable in pairs:
            if pattern.process is None and self.wishes:
                together[bisect_right(moments(self.problem), pattern.ready)][variable] = 1
        for finishes in together.values():
            self.milp.row(0, finishes, 1)
        return dropped

    def _one_mix(self) -> None:
        days: dict[tuple[str, int], dict[int, int]] = defaultdict(dict)
        for pattern, variable in zip(self.patterns, self.chosen, strict=True):
            if pattern.process:
                days[pattern.process.id, self.problem.day_of(pattern.first)][variable] = 1
        for variables in days.values():
            self.milp.row(0, variables, 1)

    def _oven(self) -> None:
        taken: list[tuple[int, int, int]] = []
        finished: dict[tuple[str, int], dict[int, int]] = defaultdict(dict)
        for pattern, variable in zip(self.patterns, self.chosen, strict=True):
            _start, end, degc = pattern.stay
            how, since = pattern.heat
            taken.append((since // 1000 if how == "after" else since, end, variable))
            finished["after", end * 1000 + degc][variable] = 1
        for minute in {on for on, _, _ in taken}:
            self.milp.row(0, {variable: 1 for on, end, variable in taken if on <= minute < end}, 1)
        for pattern, variable in zip(self.patterns, self.chosen, strict=True):
            if pattern.heat[0] == "after":
                self.milp.row(0, {**finished[pattern.heat], variable: -1}, inf)

    def _freezer(self) -> dict[int, int]:
        """Add what is put in and taken out; return the units of each finish, and of each meal's slices, by variable."""
        problem, form = self.problem, self.form
        opening = sum(lot.units for lot in problem.lots)
        comes: list[tuple[int, int, int, int]] = []
        leaves: list[tuple[int, int]] = []
        units: dict[int, int] = {}
        for index, (pattern, variable) in enumerate(zip(self.patterns, self.chosen, strict=True)):
            if pattern.process is None:
                units[index] = self.milp.whole(0, self.route.load_units)
                self.milp.row(0, {variable: self.route.load_units, units[index]: -1}, inf)
                leaves.append((pattern.first, units[index]))
            elif pattern.put_in is not None:
                through = pattern.put_in + pattern.process.treatment(form.id).freeze
                comes.append((pattern.put_in, through, pattern.frozen * form.units_per_piece, variable))
        self.slices = {}
        for number, meal in enumerate(problem.meals):
            if self.route.gives == TOAST:
                self.slices[number] = self.milp.whole()
                leaves.append((meal.at, self.slices[number]))
        for minute in sorted({at for at, _ in leaves}):
            there = {variable: -count for _, through, count, variable in comes if through <= minute}
            self.milp.row(-inf, {**there, **{v: 1 for at, v in leaves if at <= minute}}, opening)
        price, nights = problem.weights.portion_day_frozen * form.portions_per_unit, problem.midnights[1:]
        self._opening_cost = opening * price * len(nights)
        for at, _, count, variable in comes:
            self.milp.prices[variable] += count * price * sum(1 for night in nights if at <= night)
        for at, variable in leaves:
            self.milp.prices[variable] -= price * sum(1 for night in nights if at <= night)
        worth = {self.milp.whole(-milli, most): 1 for most, milli in self.bread.worth}
        kept = {variable: -count * form.portions_per_unit for at, _, count, variable in comes if at <= problem.end}
        self.milp.row(
            -inf,
            {**worth, **kept, **{v: form.portions_per_unit for _, v in leaves}},
            opening * form.portions_per_unit,
        )
        return units

    def _hands(self) -> None:
        wanted: dict[tuple[Job, bool], dict[int, int]] = defaultdict(lambda: defaultdict(int))
        trips: dict[int, dict[int, int]] = defaultdict(dict)
        asked: dict[int, dict[int, int]] = defaultdict(dict)
        for pattern, variable in zip(self.patterns, self.chosen, strict=True):
            for job in pattern.jobs:
                wanted[job, pattern.process is not None][variable] += 1
            if pattern.process is None:
                trips[pattern.first][variable] = 1
                if pattern.wish is not None and pattern.wish.kind == "fixed thaw":
                    asked[pattern.first][variable] = 1
        for at, variables in trips.items():
            trip = {self.milp.whole(0, 1): moved for moved in ((False, True) if asked[at] else (False,))}
            for variable, moved in trip.items():
                wanted[(self.route.handling_out, at, moved), False][variable] = 1
                if moved:
                    self.milp.row(0, {**asked[at], variable: -1}, inf)
            for variable in variables:
                self.milp.row(0, {**dict.fromkeys(trip, 1), variable: -1}, inf)
        busy: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
        for (job, bakes), variables in wanted.items():
            (minutes, at, moved), does = job, dict[str, int]()
            for person in self._who(job, bakes):
                does[person.id] = self.milp.whole(minutes * value_at(person.price, at), 1)
                busy[person.id].append((at, at + minutes, does[person.id]))
            self.milp.row(0, {**variables, **dict.fromkeys(does.values(), -1)}, 0)
            if not moved:
                self.does[minutes, at, bakes] = does
        for jobs in busy.values():
            for minute in {start for start, _, _ in jobs}:
                self.milp.row(0, {v: 1 for start, end, v in jobs if start <= minute < end}, 1)

    def _meals(self, units: dict[int, int]) -> dict[int, float]:
        """Say what each meal eats of what; return what says how many portions strict ones are short."""
        fed: dict[int, dict[int, int]] = defaultdict(dict)
        for index, (pattern, variable) in enumerate(zip(self.patterns, self.chosen, strict=True)):
            keeps = self.bread.keeps if pattern.process else self.route.keeps
            portions = (variable, pattern.table * self.bread.portions)
            if pattern.process is None:
                portions = (units[index], self.form.portions_per_unit)
            wasted = self.problem.weights.wasted_portion if pattern.ready + keeps <= self.problem.end else 0
            self.milp.prices[portions[0]] += wasted * portions[1]
            given: dict[int, int] = {}
            for number, meal in enumerate(self.problem.meals):
                if portions[1] and 0 <= meal.at - pattern.ready <= min(keeps, meal.accepts[0].max_age):
                    eaten = self.milp.whole(self._eaten(meal, pattern.ready) - wasted)
                    given[eaten] = fed[number][eaten] = 1
                    self.eaten[index, number] = eaten
            if given:
                self.milp.row(0, {portions[0]: portions[1], **dict.fromkeys(given, -1)}, inf)
        for number, slices in self.slices.items():
            self.milp.prices[slices] -= self._unmet(self.problem.meals[number])
            fed[number][slices] = 1
            self.eaten[None, number] = slices
        short: dict[int, float] = {}
        for number, meal in enumerate(self.problem.meals):
            lack = {self.milp.whole(): 1} if meal.strict else {}
            short |= lack
            if fed[number] or lack:
                self.milp.row(meal.portions if lack else 0, {**fed[number], **lack}, meal.portions)
        return short

    def _unmet(self, meal: Meal) -> int:
        return 0 if meal.strict else self.problem.weights.unmet_portion

    def _eaten(self, meal: Meal, ready: int) -> int:
        """Return the price of one portion eaten: its age, less what a portion short would cost."""
        quarters = self.problem.quarter_of(meal.at) - self.problem.quarter_of(ready)
        return quarters * meal.age_milli - self._unmet(meal)
