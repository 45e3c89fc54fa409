"""The least cost of a tiny home, by listing every way to time each bake and finish and letting HiGHS choose among them.

Written from what a plan means, with nothing of the planner's: each pattern fixes the minutes of one bake or finish and
how its oven gets hot; hands are handed out minute by minute. Holds for homes of tests/outside/tiny_homes.py: one bread
of one form, one oven with one place, no vessel, no shop, ample room, and throwing away never worth it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from rotation.problem import TABLE, TOAST, Bread, Meal, Person, Problem, Process, Route, covers, free_spans, value_at
from tests.outside.by_milp import Programme

GRID = 5
Heat = tuple[str, int]
"""How a stay gets hot, and since when: "cold", "hot" after a booking, "beside" one, "after" a stay that ends then."""


@dataclass(frozen=True)
class Pattern:
    """One way to time a bake (pieces for the table and the freezer) or a finish (neither)."""

    process: Process | None
    table: int
    frozen: int
    first: int
    stay: tuple[int, int, int]
    heat: Heat
    jobs: tuple[tuple[int, int], ...]
    ready: int
    put_in: int | None = None


class Listed:
    """The programme over all patterns of a home."""

    def __init__(self, problem: Problem) -> None:
        self.problem, self.milp = problem, Programme()
        self.bread: Bread = problem.breads[0]
        self.form, self.oven = self.bread.forms[0], problem.ovens[0]
        self.route: Route = self.bread.routes[0]
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
        """Who does a job of so many minutes at a minute, of a bake or not."""
        self.eaten: dict[tuple[int | None, int], int] = {}
        """What each meal eats, by number, of a pattern, or of slices."""

    # listing ------------------------------------------------------------------------------------------------------

    def _all(self, ends: frozenset[tuple[int, int]]) -> Iterator[Pattern]:
        for process in self.bread.processes:
            for total in process.pieces:
                for table in range(total + 1):
                    yield from self._bakes(process, table, total - table, ends)
        if self.route.gives != TOAST:
            yield from self._finishes(ends)

    def _starts(self, minutes: int, bakes: bool, first: int = 0, last: int | None = None) -> list[int]:
        last = self.problem.end if last is None else min(last, self.problem.end)
        return [at for at in range(-(-first // GRID) * GRID, last + 1, GRID) if self._who(minutes, at, bakes)]

    def _who(self, minutes: int, at: int, bakes: bool) -> list[Person]:
        able = [p for p in self.problem.people if p.bakes or (p.finishes and not bakes)]
        return [p for p in able if covers(free_spans(p, minutes), at, at + minutes)]

    def _bakes(self, process: Process, table: int, frozen: int, ends: frozenset[tuple[int, int]]) -> Iterator[Pattern]:
        mix, _oven, bag = process.stages
        (wait,), each = process.waits, process.programme.handling
        cold = next(t for t in process.treatments if t.id != TABLE)
        minutes = defaultdict(int)
        minutes[process.treatment(TABLE).uncovered] += table
        minutes[cold.uncovered] += frozen
        lengths = [m for m in sorted(minutes, reverse=True) if minutes[m]]  # one load of each, one after the other
        events = [sum(lengths[: n + 1]) for n in range(len(lengths))]
        low, high = wait.bounds[0]
        for begin in self._starts(mix.hands, True):
            ready_for = begin + mix.hands
            last = ready_for + high - (events[-2] if len(events) > 1 else 0)
            for start in self._starts(each, True, ready_for + low, last):
                out = start + events[-1]
                if not all(self._who(each, start + at, True) for at in events):
                    continue
                hands = [(mix.hands, begin), (each, start), *((each, start + at) for at in events)]
                bag_minutes = bag.hands + bag.hands_per_piece * frozen
                bags = self._starts(bag_minutes, True, out + cold.cool, out + cold.bag_by) if frozen else [None]
                for at in bags:
                    jobs = hands if at is None else [*hands, (bag_minutes, at)]
                    ready = out + process.treatment(TABLE).cool
                    put_in = None if at is None else at + bag_minutes
                    stay = (start, out, process.programme.degc)
                    for heat in self._heats(stay, ends, True):
                        on = [(1, heat[1])] if heat[0] == "cold" else []
                        yield Pattern(process, table, frozen, begin, stay, heat, (*jobs, *on), ready, put_in)

    def _finishes(self, ends: frozenset[tuple[int, int]]) -> Iterator[Pattern]:
        assert self.route.oven is not None
        degc, minutes = self.route.oven
        each, (low, high) = self.route.handling, self.route.thaw
        for taken in self._starts(self.route.handling_out, False):
            for start in self._starts(each, False, taken + low, taken + high):
                if self._who(each, start + minutes, False):
                    stay = (start, start + minutes, degc)
                    for heat in self._heats(stay, ends, False):
                        on = [(1, heat[1])] if heat[0] == "cold" else []
                        jobs = ((each, start), (each, start + minutes), *on)
                        yield Pattern(None, 0, 0, taken, stay, heat, jobs, start + minutes + self.route.stand)

    def _heats(self, stay: tuple[int, int, int], ends: frozenset[tuple[int, int]], bakes: bool) -> Iterator[Heat]:
        start, end, degc = stay
        oven = self.oven
        found: list[Heat] = [("cold", start - oven.heat_up)] if self._who(1, start - oven.heat_up, bakes) else []
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
        """Return the least cost of any plan, in milli."""
        self._one_mix()
        self._oven()
        units = self._freezer()
        self._hands()
        self._meals(units)
        self.units = units
        everyday = sum(meal.portions for meal in self.problem.meals) * self.problem.weights.unmet_portion
        self.constant = everyday + self._opening_cost
        return self.milp.least() + self.constant

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
                self.milp.row(0, {**finished[pattern.heat], variable: -1}, 10**6)

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
                self.milp.row(0, {variable: self.route.load_units, units[index]: -1}, 10**6)
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
            self.milp.row(-(10**6), {**there, **{v: 1 for at, v in leaves if at <= minute}}, opening)
        price, nights = problem.weights.portion_day_frozen * form.portions_per_unit, problem.midnights[1:]
        self._opening_cost = opening * price * len(nights)
        for at, _, count, variable in comes:
            self.milp.prices[variable] += count * price * sum(1 for night in nights if at <= night)
        for at, variable in leaves:
            self.milp.prices[variable] -= price * sum(1 for night in nights if at <= night)
        worth = {self.milp.whole(-milli, most): 1 for most, milli in self.bread.worth}
        kept = {variable: -count * form.portions_per_unit for at, _, count, variable in comes if at <= problem.end}
        self.milp.row(
            -(10**6),
            {**worth, **kept, **{v: form.portions_per_unit for _, v in leaves}},
            opening * form.portions_per_unit,
        )
        return units

    def _hands(self) -> None:
        wanted: dict[tuple[int, int, bool], dict[int, int]] = defaultdict(lambda: defaultdict(int))
        trips: dict[int, int] = {}
        for pattern, variable in zip(self.patterns, self.chosen, strict=True):
            for job in pattern.jobs:
                wanted[*job, pattern.process is not None][variable] += 1
            if pattern.process is None:
                if pattern.first not in trips:
                    trips[pattern.first] = self.milp.whole(0, 1)
                    wanted[self.route.handling_out, pattern.first, False][trips[pattern.first]] = 1
                self.milp.row(0, {trips[pattern.first]: 1, variable: -1}, 1)
        busy: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
        for (minutes, at, bakes), variables in wanted.items():
            does = self.does[minutes, at, bakes] = {}
            for person in self._who(minutes, at, bakes):
                does[person.id] = self.milp.whole(minutes * value_at(person.price, at), 1)
                busy[person.id].append((at, at + minutes, does[person.id]))
            self.milp.row(0, {**variables, **dict.fromkeys(does.values(), -1)}, 0)
        for jobs in busy.values():
            for minute in {start for start, _, _ in jobs}:
                self.milp.row(0, {v: 1 for start, end, v in jobs if start <= minute < end}, 1)

    def _meals(self, units: dict[int, int]) -> None:
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
                self.milp.row(0, {portions[0]: portions[1], **dict.fromkeys(given, -1)}, 10**6)
        for number, slices in self.slices.items():
            self.milp.prices[slices] -= self.problem.weights.unmet_portion
            fed[number][slices] = 1
            self.eaten[None, number] = slices
        for number, eaters in fed.items():
            self.milp.row(0, eaters, self.problem.meals[number].portions)

    def _eaten(self, meal: Meal, ready: int) -> int:
        """Return the price of one portion eaten: its age, less what a portion short would cost."""
        quarters = self.problem.quarter_of(meal.at) - self.problem.quarter_of(ready)
        return quarters * meal.age_milli - self.problem.weights.unmet_portion
