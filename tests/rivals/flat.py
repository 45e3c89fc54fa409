"""A whole home as one flat model with optional intervals in CP-SAT: what somebody versed in it would write at once.

One optional bake for each bread, process and day; one optional finish for each route and moment; every step a start,
every job an interval of whoever does it, the oven a sequence of stays. Its objective is our cost, with the price of a
strict portion in front; nothing is left out that the checker knows (but see `reach.refuse_more`).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model

from rotation.problem import (
    FINISHED,
    FRESH,
    GRID,
    TABLE,
    TOAST,
    Bread,
    Person,
    Problem,
    Process,
    Route,
    Spans,
    free_spans,
    union,
    value_at,
)
from tests.rivals.reach import (
    STRAIGHT,
    Moment,
    Shape,
    buys,
    eaters,
    longest,
    moments,
    refuse_more,
    shapes,
    stands_alone,
)

Literal = Any
Expression = Any
Span = tuple[int, int]
Hands = list[tuple[int, Literal, str]]
"""Who may do a job: minutes, whether, who."""


@dataclass
class Time:
    """A minute that is open, and within which minutes it lies."""

    at: Expression
    low: int
    high: int


@dataclass
class Stay:
    """A stay in the oven that may be."""

    id: str
    present: Literal
    start: Time
    end: Time
    degc: int
    vessel: bool
    loads: list[tuple[Expression, Expression, Literal]] = field(default_factory=list)
    number: Expression = 1
    hot: Expression = None
    cold: Literal = None
    until: Expression = None
    on: Hands = field(default_factory=list)
    ways: dict[str, Literal] = field(default_factory=dict)


@dataclass
class Bake:
    """A bake that may be."""

    bread: Bread
    process: Process
    day: int
    present: Literal
    starts: dict[str, Expression]
    counts: list[tuple[Shape, Literal]]
    who: dict[str, Hands]
    """By step: minutes after its start, whether, who."""
    stay: Stay
    put_in: Time
    frozen: Expression
    nights: dict[int, Expression] = field(default_factory=dict)


@dataclass
class Finish:
    """A finish that may be."""

    bread: Bread
    route: Route
    moment: Moment
    present: Literal
    units: Expression
    out: Time
    stay: Stay
    who: dict[str, Hands]
    trips: list[tuple[Literal, Any]] = field(default_factory=list)
    days: dict[int, tuple[Literal, Expression]] = field(default_factory=dict)


TRIPS = 3
"""Trips to the freezer in a day, more than any good plan has."""


class Flat:
    """The model of a home."""

    def __init__(self, problem: Problem) -> None:
        refuse_more(problem)
        self.problem, self.model, self.oven = problem, cp_model.CpModel(), problem.ovens[0]
        self.cost: list[Expression] = []
        self.constant = 0
        self.busy: dict[str, list[Any]] = defaultdict(list)
        self.eaten: dict[tuple[str, int], Any] = {}
        self.fed: dict[int, list[Any]] = defaultdict(list)
        self.without: dict[int, list[Any]] = defaultdict(list)
        self.toast: dict[tuple[str, str, int], Any] = {}
        self.thrown: dict[tuple[str, str, int], Any] = {}
        self.levels = cache(self._levels)
        self.bakes = [
            bake for bread in problem.breads for process in bread.processes for day in range(problem.days)
            if (bake := self._bake(bread, process, day))
        ]  # fmt: skip
        self.finishes = [
            self._finish(bread, route, moment)
            for bread in problem.breads
            for route in bread.routes
            if route.gives == FINISHED
            for moment in moments(problem, bread, route)
        ]
        self._together()
        self._trips()
        self._heat()
        self._kitchen()
        self._meals()
        self._freezer()
        self._weeks()
        for jobs in self.busy.values():
            self.model.add_no_overlap(jobs)
        self.model.minimize(sum(self.cost) + self.constant)

    # words --------------------------------------------------------------------------------------------------------

    def literal(self) -> Literal:
        return self.model.new_bool_var("")

    def amount(self, most: int) -> Any:
        return self.model.new_int_var(0, most, "")

    def start(self, low: int, high: int) -> Time:
        """Return a start on the grid."""
        low, high = max(low, 0), min(high, self.problem.end)
        first, last = -(-low // GRID), max(-(-low // GRID), high // GRID)
        return Time(GRID * self.model.new_int_var(first, last, ""), GRID * first, GRID * last)

    def minute(self, low: int, high: int) -> Time:
        """Return a minute."""
        return Time(self.model.new_int_var(low, max(low, high), ""), low, max(low, high))

    def _levels(self, person: Person, minutes: int) -> tuple[Any, dict[int, Any]]:
        """Return the starts at which somebody could do a job, and those by the price of a minute."""
        domain, by_price = list[Span](), defaultdict[int, list[Span]](list)
        edges = [at for at, _ in person.price] + [self.problem.end + 2880]
        for first, last in ((a, b - minutes) for a, b in free_spans(person, minutes) if b - a >= minutes):
            domain.append((first, last))
            for at, until in pairwise(edges):
                low, high = max(first, at), min(last, until - 1)
                if low <= high:
                    by_price[value_at(person.price, low)].append((low, high))
        as_domain = {price: cp_model.Domain.from_intervals(spans) for price, spans in by_price.items()}
        return cp_model.Domain.from_intervals(domain), as_domain

    def job(self, minutes: int, start: Expression, present: Literal, bakes: bool) -> Hands:
        """Add hands for some minutes: those of one person who is free then. Return who may do it."""
        does: Hands = []
        if not minutes:
            return [(0, present, next(p.id for p in self.problem.people if p.bakes or (p.finishes and not bakes)))]
        for person in self.problem.people:
            if not (person.bakes or (person.finishes and not bakes)):
                continue
            who, (free, prices) = self.literal(), self.levels(person, minutes)
            self.model.add_linear_expression_in_domain(start, free).only_enforce_if(who)
            if len(prices) == 1:
                self.cost.append(minutes * next(iter(prices)) * who)
            else:
                paid = []
                for price, starts in prices.items():
                    paid.append(self.literal())
                    self.model.add_linear_expression_in_domain(start, starts).only_enforce_if(paid[-1])
                    self.cost.append(minutes * price * paid[-1])
                self.model.add(sum(paid) == who)
            self.busy[person.id].append(self.model.new_optional_fixed_size_interval_var(start, minutes, who, ""))
            does.append((minutes, who, person.id))
        self.model.add(sum(who for _, who, _ in does) == present)
        return does

    def by(self, first: Time, second: Time, *, strictly: bool = False) -> Literal | int:
        """Return what may be true only if the first is at most (before) the second; surely so: 1, surely not: 0."""
        less = 1 if strictly else 0
        if first.high + less <= second.low:
            return 1
        if first.low + less > second.high:
            return 0
        is_ = self.literal()
        self.model.add(first.at + less <= second.at).only_enforce_if(is_)
        return is_

    def given(self, amount: Expression, if_: Literal | int, most: int) -> Expression:
        """Return at most an amount, nothing where a literal does not hold."""
        if isinstance(if_, int):
            return amount if if_ else 0
        part = self.amount(most)
        self.model.add(part <= amount)
        self.model.add(part <= most * if_)
        return part

    def unless(self, amount: Expression, if_: Literal | int, most: int) -> Expression:
        """Return at least an amount, maybe nothing where a literal holds."""
        if isinstance(if_, int):
            return 0 if if_ else amount
        part = self.amount(most)
        self.model.add(part >= amount - most * if_)
        return part

    # bakes and finishes -------------------------------------------------------------------------------------------

    def _bake(self, bread: Bread, process: Process, day: int) -> Bake | None:
        problem, model, programme = self.problem, self.model, process.programme
        names = [stage.name for stage in process.stages if stage.name != "bag"]
        kinds = shapes(process, self.oven)
        hands = {s.name: (s.hands + s.hands_per_piece * kinds[0].total, s.hands + s.hands_per_piece * kinds[-1].total)
                 for s in process.stages}  # fmt: skip
        low, high, at = {"mix": problem.midnights[day]}, {"mix": problem.midnights[day + 1] - 1}, names.index("mix")
        between = {(w.first, w.second): w.on(day) for w in process.waits if not w.whole}
        for first, second in pairwise(names[at:]):
            least, most = between.get((first, second), (0, 10**4))
            low[second], high[second] = low[first] + hands[first][0] + least, high[first] + hands[first][1] + most
        for first, second in reversed(list(pairwise(names[: at + 1]))):
            least, most = between.get((first, second), (0, 10**4))
            low[first], high[first] = low[second] - hands[first][1] - most, high[second] - hands[first][0] - least
        if any(high[name] < 0 or low[name] > problem.end for name in names):
            return None
        starts = {name: self.start(low[name], high[name]) for name in names}
        counts = [(shape, self.literal()) for shape in kinds]
        present = self.literal()
        model.add(sum(lit for _, lit in counts) == present)
        lag = sum(shape.lag * lit for shape, lit in counts)
        who = {}
        for stage in process.stages:
            if stage.name in ("bag", "oven"):
                continue
            totals = process.pieces if stage.hands_per_piece else (0,)
            who[stage.name] = []
            for total in totals:
                minutes = stage.hands + stage.hands_per_piece * total
                of = [lit for shape, lit in counts if shape.total == total]
                who[stage.name] += self.job(minutes, starts[stage.name].at, sum(of) if total else present, True)
        for first, second in pairwise(names):
            stage = next(stage for stage in process.stages if stage.name == first)
            took = programme.handling if first == "oven" else stage.hands
            pieces = sum(shape.total * lit for shape, lit in counts) if stage.hands_per_piece else 0
            ended = starts[first].at + took + stage.hands_per_piece * pieces
            model.add(starts[second].at >= ended).only_enforce_if(present)
            for wait in process.waits:
                if (wait.first, wait.second) == (first, second) and not wait.whole:
                    least, most = wait.on(day)
                    more = lag if second == "oven" else 0
                    model.add(starts[second].at - ended >= least).only_enforce_if(present)
                    model.add(starts[second].at + more - ended <= most).only_enforce_if(present)
        for wait in process.waits:
            if wait.whole:
                least, most = wait.on(day)
                waited = starts[wait.second].at - starts[wait.first].at
                more = lag if wait.second == "oven" else 0
                model.add(waited >= least).only_enforce_if(present)
                model.add(waited + more <= most).only_enforce_if(present)
        self.cost.append(process.mixed_on(day) * present)
        oven = starts["oven"]
        end = self.minute(oven.low + min(s.length for s in kinds), oven.high + max(s.length for s in kinds))
        model.add(end.at == oven.at + sum(shape.length * lit for shape, lit in counts)).only_enforce_if(present)
        who["oven"] = self.job(programme.handling, oven.at, present, True)
        for number in range(max(len(shape.acts) for shape in kinds)):
            acts = [(shape.acts[number], lit) for shape, lit in counts if number < len(shape.acts)]
            there = self.minute(oven.low + min(a for a, _ in acts), oven.high + max(a for a, _ in acts))
            has = sum(lit for _, lit in acts)
            for offset, lit in acts:
                model.add(there.at == oven.at + offset).only_enforce_if(lit)
            who[f"act {number}"] = self.job(programme.handling, there.at, has, True)
        stay = Stay(f"bake {bread.id} {process.id} {day}", present, oven, end, programme.degc, programme.covered > 0)
        for loads in {shape.loads for shape in kinds}:
            here = self.literal()
            model.add(sum(lit for shape, lit in counts if shape.loads == loads) == here)
            stay.loads += [(oven.at + a, b - a, here) for a, b in loads]
        bag, cold = process.stages[-1], next(t for t in process.treatments if t.id != TABLE)
        assert bag.name == "bag", "bread is frozen"
        bags = self.start(end.low + cold.cool, end.high + cold.bag_by)
        most = max(shape.frozen for shape in kinds)
        put_in = self.minute(bags.low + bag.hands, bags.high + bag.hands + bag.hands_per_piece * most)
        who["bag"] = []
        for size in sorted({shape.frozen for shape in kinds} - {0}) if bag.hands_per_piece else [0]:
            minutes = bag.hands + bag.hands_per_piece * size
            of = [lit for shape, lit in counts if (shape.frozen == size if size else shape.frozen)]
            frozen_so = self.literal()
            model.add(sum(of) == frozen_so)
            who["bag"] += self.job(minutes, bags.at, frozen_so, True)
            model.add_linear_constraint(bags.at - end.at, cold.cool, cold.bag_by).only_enforce_if(frozen_so)
            model.add(put_in.at == bags.at + minutes).only_enforce_if(frozen_so)
        form = bread.form(cold.id)
        frozen = form.units_per_piece * sum(shape.frozen * lit for shape, lit in counts)
        minutes_at = {name: time.at for name, time in starts.items()} | {"bag": bags.at}
        bake = Bake(bread, process, day, present, minutes_at, counts, who, stay, put_in, frozen)
        units = form.units_per_piece * most
        nights = range(problem.day_of(put_in.low - 1), min(problem.day_of(put_in.high - 1), problem.days) + 1)
        for night in nights:
            here, part = self.literal(), self.amount(units)
            last = problem.midnights[night + 1] if night < problem.days else 10**7
            first = problem.midnights[night] if night < problem.days else problem.end
            model.add_linear_constraint(put_in.at, first + 1, last).only_enforce_if(here)
            model.add(part <= units * here)
            bake.nights[night] = part
        model.add(sum(bake.nights.values()) == frozen)
        return bake

    def _finish(self, bread: Bread, route: Route, moment: Moment) -> Finish:
        assert route.oven is not None
        model, form = self.model, bread.form(route.form)
        degc, minutes = route.oven
        after = minutes + route.stand
        start = self.start(moment.first - after, moment.last - after)
        least, longest_thaw = route.thaw if route.place else STRAIGHT
        out = self.start(start.low - longest_thaw, start.high - least)
        present, number = self.literal(), self.amount(self.oven.places)
        units = self.amount(self.oven.places * route.load_units)
        ends = Time(start.at + minutes, start.low + minutes, start.high + minutes)
        model.add(units >= present)
        model.add(units <= self.oven.places * route.load_units * present)
        model.add(units <= route.load_units * number)
        model.add(units >= route.load_units * (number - 1) + 1).only_enforce_if(present)
        model.add(number <= self.oven.places * present)
        if start.high + after < moment.first or start.low + after > moment.last or start.low < least:
            model.add(present == 0)
        model.add_linear_constraint(start.at - out.at, least, longest_thaw).only_enforce_if(present)
        who = {"in": self.job(route.handling, start.at, present, False)}
        who["done"] = self.job(route.handling, ends.at, present, False)
        id_ = f"out {bread.id} {route.id} {moment.first}"
        stay = Stay(id_, present, start, ends, degc, False, [(start.at, minutes, present)], number)
        problem, price = self.problem, self.problem.weights.wasted_portion
        eaten = []
        for number_, age in moment.fed:
            meal = problem.meals[number_]
            portions = self.amount(meal.portions)
            model.add(portions <= meal.portions * present)
            if meal.at - (start.low + after) > age:
                does = self.literal()
                model.add(portions <= meal.portions * does)
                model.add(start.at + after >= meal.at - age).only_enforce_if(does)
            self.cost.append(self._quarters(moment.first, meal.at) * meal.age_milli * portions)
            self.eaten[id_, number_] = portions
            self.fed[number_].append(portions)
            eaten.append(portions)
        model.add(sum(eaten) <= form.portions_per_unit * units)
        most = form.portions_per_unit * self.oven.places * route.load_units
        self._waste(Time(start.at + after, start.low + after, start.high + after), route.keeps,
                    form.portions_per_unit * units - sum(eaten), most, price)  # fmt: skip
        finish = Finish(bread, route, moment, present, units, out, stay, who)
        for day in range(problem.day_of(max(out.low - 1, 0)), problem.day_of(out.high) + 1):
            if day < problem.days:
                here, part = self.literal(), self.amount(self.oven.places * route.load_units)
                first = problem.midnights[day]
                model.add_linear_constraint(out.at, first + bool(day), problem.midnights[day + 1]).only_enforce_if(here)
                model.add(part <= self.oven.places * route.load_units * here)
                finish.days[day] = here, part
        model.add(sum(here for here, _ in finish.days.values()) == present)
        model.add(sum(part for _, part in finish.days.values()) == units)
        return finish

    def _quarters(self, ready: int, at: int) -> int:
        return self.problem.quarter_of(at) - self.problem.quarter_of(ready)

    def _waste(self, ready: Time, keeps: int, left: Expression, most: int, price: int) -> None:
        """Price what is left of bread that is gone by the end."""
        if ready.low + keeps > self.problem.end:
            return
        if ready.high + keeps <= self.problem.end:
            self.cost.append(price * left)
            return
        later, part = self.literal(), self.amount(most)
        self.model.add(ready.at + keeps > self.problem.end).only_enforce_if(later)
        self.model.add(part >= left - most * later)
        self.cost.append(price * part)

    def _together(self) -> None:
        same: dict[tuple[str, str, int], list[Literal]] = defaultdict(list)
        for finish in self.finishes:
            kind = stands_alone(self.problem, finish.route, finish.bread, finish.moment)
            same[finish.bread.id, kind, finish.moment.first].append(finish.present)
        for literals in same.values():
            self.model.add_at_most_one(literals)

    def _trips(self) -> None:
        """Let all that leaves the freezer leave on one of a few trips of its day."""
        if not self.finishes:
            return
        minutes = self.finishes[0].route.handling_out
        by_day: dict[int, list[Finish]] = defaultdict(list)
        for finish in self.finishes:
            for day in finish.days:
                by_day[day].append(finish)
        for day, finishes in by_day.items():
            before = None
            for _ in range(TRIPS):
                at = self.start(self.problem.midnights[day], self.problem.midnights[day + 1])
                there = self.literal()
                who = self.job(minutes, at.at, there, False)
                if before is not None:
                    self.model.add_implication(there, before[0])
                    self.model.add(at.at > before[1]).only_enforce_if(there)
                before = there, at.at
                for finish in finishes:
                    on = self.literal()
                    self.model.add_implication(on, there)
                    self.model.add_implication(on, finish.days[day][0])
                    self.model.add(finish.out.at == at.at).only_enforce_if(on)
                    finish.trips.append((on, who))
        for finish in self.finishes:
            self.model.add(sum(on for on, _ in finish.trips) == finish.present)

    # the oven -----------------------------------------------------------------------------------------------------

    def _heat(self) -> None:
        """Let each stay be hot in one way; one heat after the other, outside closed hours and bookings, watched."""
        model, oven, problem = self.model, self.oven, self.problem
        stays = [bake.stay for bake in self.bakes] + [finish.stay for finish in self.finishes]
        bakes = {bake.stay.id for bake in self.bakes}
        holds, loads = [], []
        guests: dict[str, list[tuple[Literal, Expression]]] = defaultdict(list)
        for stay in stays:
            longest_heat = max(oven.heat_up_vessel, oven.heat_up, oven.hot_gap)
            stay.hot = model.new_int_var(stay.start.low - longest_heat, stay.start.high, "")
            heat_up = oven.heat_up_vessel if stay.vessel else oven.heat_up
            stay.cold = stay.ways["cold"] = self.literal()
            model.add(stay.hot == stay.start.at - heat_up).only_enforce_if(stay.cold)
            model.add(stay.hot >= 0).only_enforce_if(stay.cold)
            self.cost.append(problem.weights.heat_up * stay.cold)
            stay.on = self.job(1, stay.hot, stay.cold, stay.id in bakes)
            for booking in oven.bookings:
                gap = self._change(booking.temperature_degc, stay, vessel=False)
                if gap is not None and stay.start.low <= booking.end + oven.hot_gap and booking.end <= stay.start.high:
                    after = stay.ways[f"after:{booking.id}"] = self.literal()
                    model.add_linear_constraint(stay.start.at - booking.end, gap, oven.hot_gap).only_enforce_if(after)
                    model.add(stay.hot == booking.end).only_enforce_if(after)
        for stay in stays:
            for other in stays:
                if other is stay:
                    continue
                gap = self._change(other.degc, stay, vessel=other.vessel)
                near = other.end.low <= stay.start.high and stay.start.low <= other.end.high + oven.hot_gap
                if gap is not None and near:
                    after = stay.ways[f"after:{other.id}:oven"] = self.literal()
                    model.add_implication(after, other.present)
                    model.add_linear_constraint(stay.start.at - other.end.at, gap, oven.hot_gap).only_enforce_if(after)
                    model.add(stay.hot == other.end.at).only_enforce_if(after)
                meets = other.start.low <= stay.start.high and stay.start.low <= other.start.high
                if (other.degc, other.vessel) == (stay.degc, stay.vessel) and meets and self._fit(stay, other):
                    with_ = stay.ways[f"with:{other.id}:oven"] = self.literal()
                    model.add_implication(with_, other.present)
                    model.add(stay.start.at == other.start.at).only_enforce_if(with_)
                    model.add(stay.hot == stay.start.at).only_enforce_if(with_)
                    guests[other.id].append((with_, stay.end.at))
                    guests[stay.id].append((None, with_))
        for stay in stays:
            model.add(sum(stay.ways.values()) == stay.present)
            as_guest = [with_ for none, with_ in guests[stay.id] if none is None]
            hosted = [(with_, end) for with_, end in guests[stay.id] if with_ is not None]
            leads = stay.present
            stay.until = stay.end.at
            if as_guest:
                leads = self.literal()
                model.add(leads + sum(as_guest) == stay.present)
            if hosted:
                until = self.minute(stay.end.low, stay.end.high + 120)
                stay.until = until.at
                model.add(until.at >= stay.end.at).only_enforce_if(leads)
                for with_, end in hosted:
                    model.add_implication(with_, leads)
                    model.add(until.at >= end).only_enforce_if(with_)
            size = self.amount(600)
            holds.append(model.new_optional_interval_var(stay.hot, size, stay.until, leads, ""))
            if hosted or as_guest:
                demand = [1] if stay.id in bakes else [stay.number]
                for at, length, here in stay.loads:
                    interval = model.new_optional_fixed_size_interval_var(at, length, here, "")
                    loads.append((interval, demand[0]))
            self._open(stay)
        taken = [model.new_fixed_size_interval_var(b.start, b.end - b.start, "") for b in oven.bookings]
        model.add_no_overlap([*holds, *taken])
        if loads:
            model.add_cumulative([interval for interval, _ in loads], [demand for _, demand in loads], oven.places)

    def _fit(self, one: Stay, other: Stay) -> bool:
        """Say whether two stays could be in the oven at once: two with covered vessels want two."""
        return not one.vessel or self.oven.vessels > 1

    def _change(self, degc: int | None, stay: Stay, *, vessel: bool) -> int | None:
        """Return the minutes until a stay may follow on an oven of some heat; None if it is cold by then."""
        if degc is None:
            return None
        change = self.oven.change(degc, stay.degc)
        if stay.vessel and not vessel:
            change = max(change, self.oven.heat_up_vessel)
        return change if change <= self.oven.hot_gap else None

    def _open(self, stay: Stay) -> None:
        """Keep a stay and its heat within one span in which the oven is open, and one that is watched."""
        oven = self.oven
        watch = oven.watch_after_vessel if stay.vessel else oven.watch_after
        edges = [-1440, *(at for span in union(oven.closed) for at in span), self.problem.end + 2880]
        hours: Spans = tuple((a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b)
        for spans, more in ((hours, 0), (self.problem.watched, watch)):
            inside = []
            for first, last in spans:
                if first <= stay.start.high and stay.start.low <= last:
                    here = self.literal()
                    self.model.add(stay.hot >= first).only_enforce_if(here)
                    self.model.add(stay.end.at + more <= last).only_enforce_if(here)
                    inside.append(here)
            self.model.add(sum(inside) == stay.present)

    def _kitchen(self) -> None:
        kitchen, model = self.problem.kitchen, self.model
        has = {"bowl": kitchen.bowls, "dough": kitchen.dough_grams, "banneton": kitchen.bannetons}
        has["fridge"] = kitchen.fridge_spots
        held: dict[str, list[tuple[Any, Expression]]] = defaultdict(list)
        for bake in self.bakes:
            total = sum(shape.total * lit for shape, lit in bake.counts)
            most = max(shape.total for shape, _ in bake.counts)
            pieces = self.amount(most)
            model.add(pieces == total)
            for use in bake.process.uses:
                size = self.amount(5000)
                until = model.new_int_var(0, self.problem.end + 1440, "")
                lag = sum(shape.lag * lit for shape, lit in bake.counts) if use.until == "oven" else 0
                model.add(until == bake.starts[use.until] + lag).only_enforce_if(bake.present)
                interval = model.new_optional_interval_var(bake.starts[use.since], size, until, bake.present, "")
                held[use.what].append((interval, 1 if use.what == "bowl" else pieces))
                if use.what == "bowl":
                    held["dough"].append((interval, bake.bread.dough_grams * pieces))
        for finish in self.finishes:
            if finish.route.place == "fridge" and finish.route.fridge_units:
                spots, each = self.amount(99), finish.route.fridge_units
                model.add(each * spots >= finish.units)
                size, stay = self.amount(5000), finish.stay
                interval = model.new_optional_interval_var(finish.out.at, size, stay.start.at, stay.present, "")
                held["fridge"].append((interval, spots))
        for what, steps in has.items():
            if held[what]:
                model.add_cumulative([i for i, _ in held[what]], [demand for _, demand in held[what]], steps[0][1])

    # bread --------------------------------------------------------------------------------------------------------

    def _meals(self) -> None:
        problem, model, weights = self.problem, self.model, self.problem.weights
        for bake in self.bakes:
            self._table(bake)
        for number, meal in enumerate(problem.meals):
            for bread in problem.breads:
                for route in bread.routes:
                    if route.gives == TOAST and longest(meal, bread, TOAST) >= 0:
                        slices = self.toast[bread.id, route.id, number] = self.amount(meal.portions)
                        self.fed[number].append(slices)
        self.loaves = [self.amount(50) for _ in problem.shop.closes]
        given: dict[int, list[Any]] = defaultdict(list)
        for number, meal in enumerate(problem.meals):
            for closing, at in enumerate(problem.shop.closes):
                if buys(problem, meal) and at <= meal.at <= at + problem.shop.keeps:
                    slices = self.eaten[f"bought-{closing}", number] = self.amount(meal.portions)
                    given[closing].append(slices)
                    self.fed[number].append(slices)
                    self.without[number].append(slices)
            short = self.amount(meal.portions)
            self.without[number].append(short)
            model.add(sum(self.fed[number]) + short == meal.portions)
            self.cost.append((weights.strict_portion if meal.strict else weights.unmet_portion) * short)
        for closing, loaves in enumerate(self.loaves):
            model.add(sum(given[closing]) <= problem.shop.portions * loaves)
            self.cost.append(problem.shop.loaf_milli * loaves)

    def _table(self, bake: Bake) -> None:
        """Say which meals a bake's fresh bread feeds, by the quarter of a day in which it is ready."""
        problem, model, bread = self.problem, self.model, bake.bread
        rest = bake.process.treatment(TABLE).cool
        end = bake.stay.end
        ready = Time(end.at + rest, end.low + rest, end.high + rest)
        count = sum(shape.count(TABLE) * lit for shape, lit in bake.counts)
        most = bread.portions * max(shape.count(TABLE) for shape, _ in bake.counts)
        some = self.literal()
        model.add(sum(lit for shape, lit in bake.counts if shape.count(TABLE)) == some)
        feeds = []
        for number, meal in enumerate(problem.meals):
            age = min(longest(meal, bread, FRESH), bread.keeps)
            if age >= 0 and ready.low <= meal.at <= ready.high + age:
                does = self.literal()
                model.add_linear_constraint(ready.at, meal.at - age, meal.at).only_enforce_if(does)
                feeds.append((number, meal, does))
        quarters: dict[int, tuple[int, int]] = {}
        for at in range(ready.low, ready.high + 1):
            quarter = problem.quarter_of(at)
            first, _ = quarters.get(quarter, (at, at))
            quarters[quarter] = first, at
        literals = {quarter: self.literal() for quarter in quarters}
        model.add(sum(literals.values()) == some)
        by_meal: dict[int, list[Any]] = defaultdict(list)
        for quarter, (first, last) in quarters.items():
            here, in_quarter = literals[quarter], []
            model.add_linear_constraint(ready.at, first, last).only_enforce_if(here)
            for number, meal, _ in feeds:
                if first <= meal.at <= last + bread.keeps:
                    portions = self.amount(meal.portions)
                    model.add(portions <= meal.portions * here)
                    self.cost.append((problem.quarter_of(meal.at) - quarter) * meal.age_milli * portions)
                    by_meal[number].append(portions)
                    in_quarter.append(portions)
            model.add(sum(in_quarter) <= most * here)
        eaten = []
        for number, meal, does in feeds:
            if by_meal[number]:
                portions = self.eaten[bake.stay.id, number] = self.amount(meal.portions)
                model.add(portions == sum(by_meal[number]))
                model.add(portions <= meal.portions * does)
                self.fed[number].append(portions)
                eaten.append(portions)
        model.add(sum(eaten) <= bread.portions * count)
        self._waste(ready, bread.keeps, bread.portions * count - sum(eaten), most, problem.weights.wasted_portion)

    def _freezer(self) -> None:
        """Let stock go from night to night; what leaves is frozen through, what comes has room, at every minute."""
        problem, model, weights = self.problem, self.model, self.problem.weights
        self.stock: dict[tuple[str, str, int], Expression] = {}
        room = problem.kitchen.freezer_dl[0][1]
        for bread in problem.breads:
            counted = []
            last: list[Expression] = []
            for form in bread.forms:
                most = room // max(form.unit_dl, 1)
                stock: Expression = sum(
                    lot.units for lot in problem.lots if (lot.bread, lot.form) == (bread.id, form.id)
                )
                price = weights.portion_day_frozen * form.portions_per_unit
                for day in range(problem.days):
                    self.stock[bread.id, form.id, day - 1] = stock
                    thrown = self.thrown[bread.id, form.id, day] = self.amount(most)
                    self.cost.append(weights.wasted_portion * form.portions_per_unit * thrown)
                    night = self.amount(most)
                    model.add(
                        night == stock + self._comes(bread, form.id, day) - self._leaves(bread, form.id, day) - thrown
                    )
                    self.cost.append(price * night)
                    stock = night
                self.stock[bread.id, form.id, problem.days - 1] = stock
                last.append(form.portions_per_unit * stock)
                self._through(bread, form.id, most)
            for most, milli in bread.worth:
                counted.append(self.amount(most))
                self.cost.append(-milli * counted[-1])
            model.add(sum(counted) <= sum(last))
        for kept in problem.reserve:
            weeks = max(problem.days // 7, 1)  # the last with the days left over
            hungry = eaters(problem, kept)
            most = kept.portions + sum(problem.meals[n].portions for n in hungry)
            lowest = [self.amount(most) for _ in range(weeks)]
            self.cost.append(kept.lowest * sum(lowest))
            for day in range(problem.days):
                missing = self.amount(most)
                there = sum(problem.bread(b).form(f).portions_per_unit * self.stock[b, f, day] for b, f in kept.forms)
                there -= sum(sum(self.without[n]) for n in hungry if problem.day_of(problem.meals[n].at) <= day)
                model.add(missing + there >= kept.portions)
                model.add(lowest[min(day // 7, weeks - 1)] + there >= kept.portions)
                self.cost.append(kept.milli * missing)
        self._room(room)
        grams = [(bake, bake.bread.form(form).load_grams) for bake in self.bakes for form in (self._form(bake),)]
        loads = [
            (model.new_optional_fixed_size_interval_var(bake.put_in.at, 1440, bake.present, ""), each * bake.frozen)
            for bake, each in grams
        ]
        demands = []
        for _, demand in loads:
            amount = self.amount(10**5)
            model.add(amount == demand)
            demands.append(amount)
        model.add_cumulative([i for i, _ in loads], demands, problem.kitchen.freezing_grams_24h[0][1])

    @staticmethod
    def _form(bake: Bake) -> str:
        return next(t.id for t in bake.process.treatments if t.id != TABLE)

    def _bakes_of(self, bread: Bread, form: str) -> list[Bake]:
        return [bake for bake in self.bakes if bake.bread is bread and self._form(bake) == form]

    def _finishes_of(self, bread: Bread, form: str) -> list[Finish]:
        return [finish for finish in self.finishes if finish.bread is bread and finish.route.form == form]

    def _toasts(self, bread: Bread, form: str, day: int) -> list[tuple[int, Any]]:
        """Return the slices taken on a day: minute, units."""
        first, last = self.problem.midnights[day], self.problem.midnights[day + 1]
        return [
            (self.problem.meals[number].at, slices)
            for (of, route, number), slices in self.toast.items()
            if of == bread.id and bread.route(route).form == form
            and (first < self.problem.meals[number].at or not day) and self.problem.meals[number].at <= last
        ]  # fmt: skip

    def _comes(self, bread: Bread, form: str, day: int) -> Expression:
        return sum(bake.nights.get(day, 0) for bake in self._bakes_of(bread, form))

    def _leaves(self, bread: Bread, form: str, day: int) -> Expression:
        outs = sum(f.days[day][1] for f in self._finishes_of(bread, form) if day in f.days)
        return outs + sum(slices for _, slices in self._toasts(bread, form, day))

    def _through(self, bread: Bread, form: str, most: int) -> None:
        """Let what has left by a minute of a day, all of it, have been frozen through by then."""
        finishes, bakes = self._finishes_of(bread, form), self._bakes_of(bread, form)
        for day in range(self.problem.days):
            toasts = [(Time(at, at, at), slices, None) for at, slices in self._toasts(bread, form, day)]
            outs = [(f.out, f.days[day][1], f.days[day][0]) for f in finishes if day in f.days]
            leaves = [*toasts, *outs]
            for time, units, there in leaves:
                gone = [units]
                for other, part, _ in leaves:
                    if other is not time:
                        gone.append(self.unless(part, self.by(time, other, strictly=True), most))
                there_is = self.stock[bread.id, form, day - 1]
                for bake in bakes:
                    freeze = bake.process.treatment(form).freeze
                    through = Time(bake.put_in.at + freeze, bake.put_in.low + freeze, bake.put_in.high + freeze)
                    before = sum(part for night, part in bake.nights.items() if night < day)
                    if day in bake.nights:
                        there_is = there_is + self.given(bake.nights[day], self.by(through, time), most)
                    if not isinstance(before, int) and through.high > self.problem.midnights[day]:
                        there_is = there_is - self.unless(before, self.by(through, time), most)
                row = self.model.add(sum(gone) <= there_is)
                if there is not None:
                    row.only_enforce_if(there)

    def _room(self, room: int) -> None:
        """Let whatever is put in find room at that minute."""
        problem = self.problem
        for day in range(problem.days):
            coming = [bake for bake in self.bakes if day in bake.nights]
            for bake in coming:
                held: list[Expression] = []
                for bread in problem.breads:
                    for form in bread.forms:
                        held.append(form.unit_dl * self.stock[bread.id, form.id, day - 1])
                        for at, slices in self._toasts(bread, form.id, day):
                            part = self.given(slices, self.by(Time(at, at, at), bake.put_in), 99)
                            held.append(-form.unit_dl * part)
                        for finish in self._finishes_of(bread, form.id):
                            if day in finish.days:
                                part = self.given(finish.days[day][1], self.by(finish.out, bake.put_in), 99)
                                held.append(-form.unit_dl * part)
                for other in coming:
                    dl = other.bread.form(self._form(other)).unit_dl
                    part = other.nights[day]
                    if other is not bake:
                        part = self.unless(part, self.by(bake.put_in, other.put_in, strictly=True), 999)
                    held.append(dl * part)
                some = self.literal()
                self.model.add(bake.nights[day] <= 999 * some)
                self.model.add(sum(held) <= room).only_enforce_if(some)

    def _weeks(self) -> None:
        weights = self.problem.weights
        for first in range(0, self.problem.days, 7) if weights.extra_bake else ():
            bakes = [bake.present for bake in self.bakes if first <= bake.day < first + 7]
            extra = self.amount(len(bakes))
            self.model.add(sum(bakes) <= extra + weights.bakes_a_week)
            self.cost.append(weights.extra_bake * extra)
