"""A tiny home as one flat model with optional intervals in CP-SAT: every step a start, every job an interval.

A third opinion beside the planner and the listing (tests/outside/listed.py), written from what a plan means, for the
same homes: one bread of one form, one oven with one place, no vessel, no shop, ample room.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from ortools.sat.python import cp_model

from rotation.problem import (
    FIXED,
    TABLE,
    TOAST,
    Bread,
    Person,
    Problem,
    Process,
    Route,
    Wish,
    covers,
    free_spans,
    value_at,
)
from tests.outside.listed import in_reach, moments

GRID = 5
Literal = Any
Expression = Any


@dataclass
class Stay:
    """A stay in the oven that may be. `hot`: since when the oven is on for it."""

    present: Literal
    start: Expression
    end: Expression
    degc: int
    hot: Expression
    bakes: bool
    ways: list[Literal] = field(default_factory=list)


@dataclass(frozen=True)
class Source:
    """Bread ready to eat: portions of it, when it is ready, how long it keeps."""

    portions: Expression
    ready: Expression
    keeps: int


class Flat:
    """The model of a home."""

    def __init__(self, problem: Problem) -> None:
        self.problem, self.model = problem, cp_model.CpModel()
        self.bread: Bread = problem.breads[0]
        self.form, self.oven = self.bread.forms[0], problem.ovens[0]
        self.route: Route = self.bread.routes[0]
        self.cost: list[Expression] = []
        self.kept: dict[str, list[Literal]] = {wish.id: [] for wish in problem.wishes if wish.kind in FIXED}
        """The bakes and finishes that keep a wish, of which each keeps one at most."""
        self.strict: list[Expression] = []
        """Portions short of strict meals: what comes before cost."""
        self.busy: dict[str, list[Any]] = defaultdict(list)
        self.stays: list[Stay] = []
        self.sources: list[Source] = []
        self.comes: list[tuple[Expression, Expression, Expression]] = []
        """Put in, frozen through, units."""
        self.leaves: list[tuple[Expression, Expression, Literal]] = []
        """Taken out, units, whether at all."""
        self.later = 2 * 1440 + problem.end
        self.levels = cache(self._levels)
        for process in self.bread.processes:
            for day in range(problem.days):
                self._bake(process, day)
        self._finishes()
        self._heat()
        self._meals()
        self._freezer()
        for jobs in self.busy.values():
            self.model.add_no_overlap(jobs)

    def least(self) -> tuple[int, int]:
        """Return the fewest strict portions short, and the least cost under that, of plans that keep what they can."""
        return self.tiers()[1:]

    def tiers(self) -> tuple[int, int, int]:
        """Return the fewest wishes dropped, under that the fewest strict portions short, under that the least cost."""
        dropped: list[Expression] = []
        for kept in self.kept.values():
            dropped.append(self._literal())
            self.model.add_bool_or([*kept, dropped[-1]])
        first = []
        for goal in (dropped, self.strict):
            first.append(self._least(goal) if goal else 0)
            self.model.add(sum(goal) == first[-1])
        return first[0], first[1], self._least(self.cost)

    def _least(self, of: list[Expression], work: float = 60.0) -> int:
        """Return the least of a sum, proven within deterministic work."""
        self.model.minimize(sum(of))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = work
        solver.parameters.catch_sigint_signal = False
        status = solver.solve(self.model)
        assert status == cp_model.OPTIMAL, solver.status_name(status)
        return round(solver.objective_value)

    # parts --------------------------------------------------------------------------------------------------------

    def _literal(self) -> Literal:
        return self.model.new_bool_var("")

    def _start(self) -> Expression:
        return GRID * self.model.new_int_var(0, self.problem.end // GRID, "")

    def _minute(self) -> Any:
        return self.model.new_int_var(-1440, self.later, "")

    def _amount(self, most: int) -> Any:
        return self.model.new_int_var(0, most, "")

    def _whether(self, of: Expression, most: int) -> Literal:
        """Return a literal that says whether a minute is at most another."""
        is_ = self._literal()
        self.model.add(of <= most).only_enforce_if(is_)
        self.model.add(of > most).only_enforce_if(~is_)
        return is_

    def _given(self, amount: Expression, if_: Literal, most: int) -> Any:
        """Return an amount where a literal holds, else nothing."""
        counted = self._amount(most)
        self.model.add(counted == amount).only_enforce_if(if_)
        self.model.add(counted == 0).only_enforce_if(~if_)
        return counted

    def _levels(self, person: Person, minutes: int, moved: bool) -> dict[int, Any]:
        """Return the starts at which somebody could do a job, by the price of a minute; moved: just by being in."""
        starts: dict[int, list[int]] = defaultdict(list)
        free = person.inside if moved else free_spans(person, minutes)
        for at in range(self.problem.end + 2 * 1440):
            if covers(free, at, at + minutes):
                starts[value_at(person.price, at)].append(at)
        return {price: cp_model.Domain.from_values(at) for price, at in starts.items()}

    def _job(
        self, minutes: int, start: Expression, present: Literal, bakes: bool, moved: Sequence[Literal] = ()
    ) -> None:
        """Add hands for some minutes: those of one person who is free then, or in where the family moved it there."""
        does: list[Literal] = []
        able = [person for person in self.problem.people if person.bakes or (person.finishes and not bakes)]
        for person, by_family in ((person, by) for person in able for by in ((False, True) if moved else (False,))):
            for price, starts in self.levels(person, minutes, by_family).items():
                who = self._literal()
                self.model.add_linear_expression_in_domain(start, starts).only_enforce_if(who)
                self.busy[person.id].append(self.model.new_optional_fixed_size_interval_var(start, minutes, who, ""))
                self.cost.append(minutes * price * who)
                does.append(who)
                if by_family:
                    self.model.add_bool_or(moved).only_enforce_if(who)
        self.model.add(sum(does) == present)

    def _keeps(self, present: Literal, **starts: Expression) -> dict[str, list[Literal]]:
        """Let something that may be keep one wish about a step of it; return what says so, by step."""
        keeps: dict[str, list[Literal]] = {step: [] for step in starts}
        for wish in self.problem.wishes:
            step = _step(wish)
            if wish.kind in FIXED and step in starts:
                keeps[step].append(self._literal())
                self.kept[wish.id].append(keeps[step][-1])
                self.model.add_implication(keeps[step][-1], present)
                self.model.add(starts[step] == wish.at).only_enforce_if(keeps[step][-1])
        self.model.add_at_most_one([literal for literals in keeps.values() for literal in literals])
        return keeps

    # bakes and finishes -------------------------------------------------------------------------------------------

    def _bake(self, process: Process, day: int) -> None:
        mix, _, bag = process.stages
        table, cold = process.treatment(TABLE), next(t for t in process.treatments if t.id != TABLE)
        (wait,), each = process.waits, process.programme.handling
        low, high = wait.bounds[0]
        begin, start, bags, end = self._start(), self._start(), self._start(), self._minute()
        counts = [(n, total - n) for total in process.pieces for n in range(total + 1)]
        chosen = [self._literal() for _ in counts]
        present, frozen = self._literal(), self._literal()
        self.model.add(sum(chosen) == present)
        self.model.add(sum(lit for lit, (_, cold_ones) in zip(chosen, counts, strict=True) if cold_ones) == frozen)
        first, last = self.problem.midnights[day], self.problem.midnights[day + 1]
        self.model.add_linear_constraint(begin, first, last - 1).only_enforce_if(present)
        keeps = self._keeps(present, mix=begin, oven=start, bag=bags)
        for literal in keeps["bag"]:
            self.model.add_implication(literal, frozen)
        for wish in self.problem.wishes:
            if wish.kind == "no bake":
                before = self._whether(begin, wish.at - 1)
                self.model.add(begin >= wish.until).only_enforce_if([~before, present])
        self._job(mix.hands, begin, present, True, keeps["mix"])
        self._job(each, start, present, True, keeps["oven"])
        self.cost.append(process.mixed_on(day) * present)
        put_in = self._minute()
        for literal, (warm, cold_ones) in zip(chosen, counts, strict=True):
            minutes = {m for m, n in ((table.uncovered, warm), (cold.uncovered, cold_ones)) if n}
            lengths = sorted(minutes, reverse=True)
            events = [sum(lengths[: n + 1]) for n in range(len(lengths))]
            latest = high - (events[-2] if len(events) > 1 else 0)
            since = start - begin - mix.hands
            self.model.add_linear_constraint(since, low, latest).only_enforce_if(literal)
            self.model.add(end == start + events[-1]).only_enforce_if(literal)
            for at in events:
                self._job(each, start + at, literal, True)
            if cold_ones:
                bag_minutes = bag.hands + bag.hands_per_piece * cold_ones
                self._job(bag_minutes, bags, literal, True, keeps["bag"])
                self.model.add_linear_constraint(bags - end, cold.cool, cold.bag_by).only_enforce_if(literal)
                self.model.add(put_in == bags + bag_minutes).only_enforce_if(literal)
        pieces = sum(n * lit for lit, (n, _) in zip(chosen, counts, strict=True))
        units = sum(n * self.form.units_per_piece * lit for lit, (_, n) in zip(chosen, counts, strict=True))
        self.stays.append(Stay(present, start, end, process.programme.degc, self._minute(), True))
        self.sources.append(Source(self.bread.portions * pieces, end + table.cool, self.bread.keeps))
        self.comes.append((put_in, put_in + cold.freeze, units))

    def _finishes(self) -> None:
        """Add as many finishes as there are meals, the first ones first; slices leave at the meal."""
        if self.route.gives == TOAST:
            return
        assert self.route.oven is not None
        (degc, minutes), (low, high), each = self.route.oven, self.route.thaw, self.route.handling
        outs: list[tuple[Expression, Literal]] = []
        ends: list[tuple[Expression, Literal]] = []
        for _ in self.problem.meals:
            present, taken, start, end = self._literal(), self._start(), self._start(), self._minute()
            units = self._amount(self.route.load_units)
            self.model.add(end == start + minutes)
            self.model.add_linear_constraint(start - taken, low, high).only_enforce_if(present)
            self.model.add(units >= 1).only_enforce_if(present)
            self.model.add(units == 0).only_enforce_if(~present)
            shared = []
            for other, there in outs:
                same = self._literal()
                self.model.add(taken == other).only_enforce_if(same)
                self.model.add_implication(same, there)
                shared.append(same)
            own = self._literal()
            self.model.add(own + sum(shared) == present)
            keeps = self._keeps(present, out=taken, finish=start)
            reach = cp_model.Domain.from_intervals([list(span) for span in in_reach(self.problem, self.route)])
            self.model.add_linear_expression_in_domain(end + self.route.stand, reach).only_enforce_if(present)
            ends.append((end + self.route.stand, present))
            self._job(self.route.handling_out, taken, own, False, keeps["out"])
            self._job(each, start, present, False, keeps["finish"])
            self._job(each, end, present, False)
            if outs:
                self.model.add_implication(present, outs[-1][1])
                self.model.add(taken >= outs[-1][0]).only_enforce_if(present)
            outs.append((taken, present))
            self.stays.append(Stay(present, start, end, degc, self._minute(), False))
            portions = self.form.portions_per_unit * units
            self.sources.append(Source(portions, end + self.route.stand, self.route.keeps))
            self.leaves.append((taken, units, present))
        if self.kept:
            self._once(ends)

    def _once(self, finishes: Sequence[tuple[Expression, Literal]]) -> None:
        """Let at most one finish be ready in each moment."""
        edges = moments(self.problem)
        here: list[list[Literal]] = []
        for ready, present in finishes:
            here.append([self._literal() for _ in edges])
            self.model.add(sum(here[-1]) == present)
            for literal, first, after in zip(here[-1], edges, [*edges[1:], self.later], strict=True):
                self.model.add_linear_constraint(ready, first, after - 1).only_enforce_if(literal)
        for same in zip(*here, strict=True):
            self.model.add_at_most_one(same)

    # the oven -----------------------------------------------------------------------------------------------------

    def _heat(self) -> None:
        """Let each stay be hot in one way; one after the other, outside closed hours and bookings, and watched."""
        oven, model = self.oven, self.model
        for stay in self.stays:
            cold = self._literal()
            stay.ways.append(cold)
            model.add(stay.hot == stay.start - oven.heat_up).only_enforce_if(cold)
            model.add(stay.hot >= 0).only_enforce_if(cold)
            self._job(1, stay.hot, cold, stay.bakes)
            self.cost.append(self.problem.weights.heat_up * cold)
            for other in self.stays:
                if other is not stay:
                    after = self._literal()
                    stay.ways.append(after)
                    model.add_implication(after, other.present)
                    model.add(stay.hot == other.end).only_enforce_if(after)
                    gap = oven.change(other.degc, stay.degc), oven.hot_gap
                    model.add_linear_constraint(stay.start - other.end, *gap).only_enforce_if(after)
            beside = self._booked(stay)
            model.add(sum(stay.ways) == stay.present)
            self._apart(stay, [(span.start, span.end) for span in oven.bookings], except_=beside)
            self._apart(stay, oven.closed)
            inside = []
            for first, last in self.problem.watched:
                here = self._literal()
                model.add(stay.hot >= first).only_enforce_if(here)
                model.add(stay.end + oven.watch_after <= last).only_enforce_if(here)
                inside.append(here)
            model.add(sum(inside) == stay.present)
        model.add_no_overlap(
            model.new_optional_interval_var(stay.hot, self._length(stay), stay.end, stay.present, "")
            for stay in self.stays
        )

    def _length(self, stay: Stay) -> Any:
        length = self._amount(self.later)
        self.model.add(length == stay.end - stay.hot).only_enforce_if(stay.present)
        return length

    def _booked(self, stay: Stay) -> list[Literal]:
        """Add the ways in which a stay has its heat from a booking; return those beside one."""
        found = []
        for booking in self.oven.bookings:
            if booking.temperature_degc is None:
                continue
            after = self._literal()
            stay.ways.append(after)
            gap = self.oven.change(booking.temperature_degc, stay.degc), self.oven.hot_gap
            self.model.add_linear_constraint(stay.start - booking.end, *gap).only_enforce_if(after)
            self.model.add(stay.hot == booking.end).only_enforce_if(after)
            if booking.temperature_degc == stay.degc and booking.places_left:
                beside = self._literal()
                stay.ways.append(beside)
                self.model.add(stay.hot == stay.start).only_enforce_if(beside)
                self.model.add(stay.start >= booking.start).only_enforce_if(beside)
                self.model.add(stay.end <= booking.end).only_enforce_if(beside)
                found.append(beside)
        return found

    def _apart(self, stay: Stay, spans: Iterable[tuple[int, int]], except_: Sequence[Literal] = ()) -> None:
        """Keep a stay, heating included, out of spans, unless it has its heat in one of some ways."""
        for start, end in spans:
            before, behind = self._literal(), self._literal()
            self.model.add(stay.end <= start).only_enforce_if(before)
            self.model.add(stay.hot >= end).only_enforce_if(behind)
            self.model.add_bool_or([before, behind, ~stay.present, *except_])

    # bread --------------------------------------------------------------------------------------------------------

    def _meals(self) -> None:
        """Price portions short, by age and left over."""
        problem, weights = self.problem, self.problem.weights
        fed: dict[int, list[Expression]] = defaultdict(list)
        for source in self.sources:
            most, eaten = 40, []
            quarter = self._amount(4 * problem.days + 40)
            in_quarter = []
            for index in range(4 * problem.days):
                here = self._literal()
                first, last = index * 360, (index + 1) * 360 - 1 if index < 4 * problem.days - 1 else self.later
                self.model.add_linear_constraint(source.ready, first, last).only_enforce_if(here)
                self.model.add(quarter == index).only_enforce_if(here)
                in_quarter.append(here)
            self.model.add_exactly_one(in_quarter)
            for number, meal in enumerate(problem.meals):
                for index, here in enumerate(in_quarter):
                    age = problem.quarter_of(meal.at) - index
                    if age < 0:
                        continue
                    portions, does = self._amount(meal.portions), self._literal()
                    self.model.add(portions <= meal.portions * does)
                    self.model.add_implication(does, here)
                    longest = min(source.keeps, meal.accepts[0].max_age)
                    self.model.add_linear_constraint(meal.at - source.ready, 0, longest).only_enforce_if(does)
                    self.cost.append(age * meal.age_milli * portions)
                    fed[number].append(portions)
                    eaten.append(portions)
            self.model.add(sum(eaten) <= source.portions)
            over = self._whether(source.ready + source.keeps, problem.end)
            left = self._given(source.portions - sum(eaten), over, most)
            self.cost.append(weights.wasted_portion * left)
        for number, meal in enumerate(problem.meals):
            if self.route.gives == TOAST:
                slices = self._amount(meal.portions)
                fed[number].append(slices)
                self.leaves.append((meal.at, slices, 1))
            short = self._amount(meal.portions)
            self.model.add(sum(fed[number]) + short == meal.portions)
            if meal.strict:
                self.strict.append(short)
            else:
                self.cost.append(weights.unmet_portion * short)

    def _freezer(self) -> None:
        """Let what has left by a minute have been frozen through; price what is there at night, and at the end."""
        opening = sum(lot.units for lot in self.problem.lots)
        for taken, _, present in self.leaves:
            gone = [self._given(units, self._by(at, taken), 40) for at, units, _ in self.leaves]
            there = [self._given(units, self._by(through, taken), 40) for _, through, units in self.comes]
            self.model.add(sum(gone) <= opening + sum(there)).only_enforce_if(present)
        each, price = self.form.portions_per_unit, self.problem.weights.portion_day_frozen
        held: Expression = 0
        for night in self.problem.midnights[1:]:
            put_in = [self._given(units, self._by(at, night), 40) for at, _, units in self.comes]
            gone = [self._given(units, self._by(at, night), 40) for at, units, _ in self.leaves]
            held = opening + sum(put_in) - sum(gone)
            self.cost.append(price * each * held)
        counted = []
        for most, milli in self.bread.worth:
            counted.append(self._amount(most))
            self.cost.append(-milli * counted[-1])
        self.model.add(sum(counted) <= each * held)

    def _by(self, at: Expression, minute: Expression) -> Literal:
        """Return whether one minute is at most another."""
        return self._whether(at - minute, 0)


def _step(wish: Wish) -> str:
    """Return the step that a wish is about."""
    return {"fixed thaw": "out", "fixed finish": "finish"}.get(wish.kind, wish.step)
