"""A whole home as a time-indexed programme: 0/1 for each step, person and quarter of an hour it may start in.

Stock flows from half hour to half hour. Starts lie on quarters of an hour, hands are kept apart by three minutes, ovens
and bowls by quarters of an hour, and what has to be rounded is rounded outwards: its plans hold, but the best on the
grid of five minutes may be a little better, so its bound is not used.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise

from rotation.problem import (
    FINISHED,
    FRESH,
    TABLE,
    TOAST,
    Bread,
    Problem,
    Process,
    Route,
    covers,
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
from tests.rivals.rows import INF, Rows, Terms, plus

SLOT, CELL, BLOCK = 15, 3, 30
Jobs = dict[tuple[str, int], int]
"""(person, start) -> variable."""


def up(minute: int, step: int = SLOT) -> int:
    """Return the next multiple."""
    return -(-minute // step) * step


@dataclass
class Stay:
    """A stay that may be. lead, guest: (kind, start) -> variable; kinds: minutes long and loads."""

    id: str
    degc: int
    vessel: bool
    lengths: list[int]
    loads: list[int]
    lead: dict[tuple[int, int], int] = field(default_factory=dict)
    guest: dict[tuple[int, int], int] = field(default_factory=dict)
    cold: dict[int, int] = field(default_factory=dict)
    after: dict[int, int] = field(default_factory=dict)

    def at(self, start: int) -> Terms:
        """Return whether it begins at a minute, whatever its kind."""
        return plus(v for of in (self.lead, self.guest) for (_, at), v in of.items() if at == start)

    def kind(self, kind: int) -> dict[int, Terms]:
        """Return whether it is of a kind, by start."""
        found: dict[int, Terms] = defaultdict(dict)
        for of in (self.lead, self.guest):
            for (which, at), variable in of.items():
                if which == kind:
                    found[at] = plus(found[at], [variable])
        return found


@dataclass
class Bake:
    """A bake that may be. jobs: by step, and the pieces it is for (0: any), by person and start."""

    bread: Bread
    process: Process
    day: int
    counts: list[tuple[Shape, int]]
    kinds: list[tuple[int, int, tuple[int, ...]]]
    jobs: dict[tuple[str, int], Jobs]
    acts: Jobs
    stay: Stay
    frozen: dict[int, int] = field(default_factory=dict)
    """Units by the start of the bag."""
    fresh: list[tuple[int, list[int]]] = field(default_factory=list)

    @property
    def form(self) -> str:
        """The form it freezes."""
        return next(t.id for t in self.process.treatments if t.id != TABLE)


@dataclass
class Finish:
    """A finish that may be."""

    bread: Bread
    route: Route
    moment: Moment
    units: int
    out: dict[int, int]
    jobs: dict[str, Jobs]
    stay: Stay


class Indexed:
    """The programme of a home."""

    def __init__(self, problem: Problem) -> None:
        refuse_more(problem)
        assert all(person.bakes for person in problem.people)
        self.problem, self.rows, self.oven = problem, Rows(), problem.ovens[0]
        self.constant = 0
        self.busy: dict[tuple[str, int], list[int]] = defaultdict(list)
        self.fed: dict[int, list[int]] = defaultdict(list)
        self.without: dict[int, list[int]] = defaultdict(list)
        self.eaten: dict[tuple[str, int], list[int]] = defaultdict(list)
        self.toast: dict[tuple[str, str, int], int] = {}
        self.thrown: dict[tuple[str, str, int], int] = {}
        self.can = cache(self._can)
        self.quiet = cache(self._quiet)
        self.on: Jobs = {}
        self.trips: Jobs = {}
        made = [self._bake(b, p, day) for b in problem.breads for p in b.processes for day in range(problem.days)]
        self.bakes = [bake for bake in made if bake]
        self.finishes = [
            finish for bread in problem.breads for route in bread.routes if route.gives == FINISHED
            for moment in moments(problem, bread, route) if (finish := self._finish(bread, route, moment))
        ]  # fmt: skip
        self._alone()
        self._trips()
        self._heat()
        self._kitchen()
        self._meals()
        self._freezer()
        self._weeks()
        for variables in self.busy.values():
            if len(variables) > 1:
                self.rows.row(0, plus(variables), 1)

    # hands --------------------------------------------------------------------------------------------------------

    def _can(self, start: int, minutes: int) -> tuple[tuple[str, int], ...]:
        """Return who is free for a job, and what it costs."""
        found = []
        for person in self.problem.people:
            if 0 <= start <= self.problem.end and covers(free_spans(person, minutes), start, start + minutes):
                found.append((person.id, minutes * value_at(person.price, start)))
        return tuple(found)

    def _jobs(self, minutes: int, starts: range | list[int]) -> Jobs:
        """Add a variable for each start and person who is free for a job."""
        jobs: Jobs = {}
        for start in starts:
            for who, price in self.can(start, minutes):
                variable = jobs[who, start] = self.rows.binary(price)
                for cell in range(start // CELL, -(-(start + minutes) // CELL)):
                    self.busy[who, cell].append(variable)
        return jobs

    @staticmethod
    def _at(jobs: Jobs, start: int) -> list[int]:
        return [variable for (_, at), variable in jobs.items() if at == start]

    # bakes and finishes -------------------------------------------------------------------------------------------

    def _quiet(self, start: int, end: int, watch: int) -> bool:
        """Say whether an oven may be on for some minutes, and is watched for some more."""
        taken = union((*self.oven.closed, *((booking.start, booking.end) for booking in self.oven.bookings)))
        clear = not any(a < end and start < b for a, b in taken)
        return start >= 0 and clear and covers(self.problem.watched, start, end + watch)

    def _stay(self, id_: str, degc: int, vessel: bool, kinds: list[tuple[int, int]], starts: list[int]) -> Stay:
        """Add a stay whose kinds are minutes long and want loads."""
        oven, rows = self.oven, self.rows
        stay = Stay(id_, degc, vessel, [length for length, _ in kinds], [loads for _, loads in kinds])
        watch = oven.watch_after_vessel if vessel else oven.watch_after
        heat = oven.heat_up_vessel if vessel else oven.heat_up
        for at in starts:
            some = [number for number, (length, _) in enumerate(kinds) if self.quiet(at, at + length, watch)]
            for number in some:
                stay.lead[number, at] = rows.binary()
                stay.guest[number, at] = rows.binary()
            if some and self.quiet(at - heat, at, 0) and self.can(at - heat, 1):
                stay.cold[at] = rows.binary(self.problem.weights.heat_up)
            if some:
                stay.after[at] = rows.binary()
                ways = plus([v for v in (stay.cold.get(at), stay.after[at]) if v is not None])
                rows.row(0, plus([stay.lead[n, at] for n in some], plus(ways, by=-1)), 0)
        return stay

    def _slots(self, low: int, high: int) -> range:
        return range(up(max(low, 0)), min(high, self.problem.end) + 1, SLOT)

    def _bake(self, bread: Bread, process: Process, day: int) -> Bake | None:
        problem, rows, programme = self.problem, self.rows, process.programme
        every = shapes(process, self.oven)
        kinds = list(dict.fromkeys((s.length, s.lag, s.acts) for s in every))
        peak = [max(sum(1 for a, b in s.loads if a <= at < b) for at, _ in s.loads)
                for kind in kinds for s in (next(s for s in every if (s.length, s.lag, s.acts) == kind),)]  # fmt: skip
        counts = [(shape, rows.binary(process.mixed_on(day))) for shape in every]
        rows.row(0, plus(v for _, v in counts), 1)
        names = [stage.name for stage in process.stages if stage.name != "bag"]
        hands = {s.name: (s.hands, s.hands_per_piece) for s in process.stages}
        waits = {(w.first, w.second): (w.on(day), w.whole) for w in process.waits}
        low, high = {"mix": problem.midnights[day]}, {"mix": problem.midnights[day + 1] - 1}
        at, most = names.index("mix"), max(process.pieces)
        for first, second in pairwise(names[at:]):
            (least, longest_), _ = waits.get((first, second), ((0, 1440), False))
            low[second] = low[first] + hands[first][0] + least
            high[second] = high[first] + hands[first][0] + hands[first][1] * most + longest_
        for first, second in reversed(list(pairwise(names[: at + 1]))):
            (least, longest_), _ = waits.get((first, second), ((0, 1440), False))
            low[first] = low[second] - hands[first][0] - hands[first][1] * most - longest_
            high[first] = high[second] - hands[first][0] - least
        jobs: dict[tuple[str, int], Jobs] = {}
        for stage in process.stages:
            if stage.name in ("bag", "oven"):
                continue
            for total in process.pieces if stage.hands_per_piece else (0,):
                minutes = stage.hands + stage.hands_per_piece * total
                jobs[stage.name, total] = self._jobs(minutes, self._slots(low[stage.name], high[stage.name]))
                whose = [v for shape, v in counts if not total or shape.total == total]
                rows.row(0, plus(jobs[stage.name, total].values(), plus(whose, by=-1)), 0)
        jobs["oven", 0] = self._jobs(programme.handling, self._slots(low["oven"], high["oven"]))
        starts = sorted({start for _, start in jobs["oven", 0]})
        id_ = f"bake {bread.id} {process.id} {day}"
        of_kinds = [(length, loads) for (length, _, _), loads in zip(kinds, peak, strict=True)]
        stay = self._stay(id_, programme.degc, programme.covered > 0, of_kinds, starts)
        bake = Bake(bread, process, day, counts, kinds, jobs, {}, stay)
        for number, kind in enumerate(kinds):
            whose = [v for shape, v in counts if (shape.length, shape.lag, shape.acts) == kind]
            rows.row(0, plus(*stay.kind(number).values(), plus(whose, by=-1)), 0)
        for start in starts:
            rows.row(0, plus(self._at(jobs["oven", 0], start), plus(stay.at(start), by=-1)), 0)
        minutes_of: dict[int, list[Terms]] = defaultdict(list)
        for number, (_, _, acts) in enumerate(kinds):
            for start, whether in stay.kind(number).items():
                for act in acts:
                    minutes_of[start + act].append(whether)
        bake.acts = self._jobs(programme.handling, sorted(minutes_of))
        for minute, whethers in minutes_of.items():
            rows.row(0, plus(self._at(bake.acts, minute), plus(*whethers, by=-1)), 0)
        for (first, second), ((least, longest_), whole) in waits.items():
            self._wait(bake, first, second, least, longest_, whole=whole, hands=hands)
        for first, second in pairwise(names):
            if (first, second) not in waits:
                self._wait(bake, first, second, 0, 10**5, whole=False, hands=hands)
        self._bag(bake)
        self._table(bake)
        return bake

    def _wait(
        self, bake: Bake, first: str, second: str, least: int, most: int, *, whole: bool,
        hands: dict[str, tuple[int, int]],
    ) -> None:  # fmt: skip
        """Let a step begin only where the one before it lets it."""
        begun: list[tuple[int, int, int]] = []  # start, minutes until counted, variable
        for (name, total), jobs in bake.jobs.items():
            if name == first:
                after = 0 if whole else hands[first][0] + hands[first][1] * total
                begun += [(start, after, variable) for (_, start), variable in jobs.items()]
        ends: dict[tuple[int, int], Terms] = {}
        if second == "oven":
            for lag in {lag for _, lag, _ in bake.kinds}:
                for number, (_, of, _) in enumerate(bake.kinds):
                    for start, whether in bake.stay.kind(number).items() if of == lag else ():
                        ends[start, lag] = plus(ends.get((start, lag), {}), whether)
        else:
            for (name, _), jobs in bake.jobs.items():
                for (_, start), variable in jobs.items() if name == second else ():
                    ends[start, 0] = plus(ends.get((start, 0), {}), [variable])
        for (start, lag), whether in ends.items():
            inside = [v for at, after, v in begun if least <= start - at - after and start + lag - at - after <= most]
            self.rows.row(-INF, plus(whether, plus(inside, by=-1)), 0)

    def _bag(self, bake: Bake) -> None:
        """Add the bag: once cold, and before it is dry."""
        bag, cold, rows = bake.process.stages[-1], bake.process.treatment(bake.form), self.rows
        ends: dict[int, Terms] = defaultdict(dict)
        for number, (length, _, _) in enumerate(bake.kinds):
            for start, whether in bake.stay.kind(number).items():
                ends[up(start + length)] = plus(ends[up(start + length)], whether)
        ended = {}
        for end, whether in ends.items():
            ended[end] = rows.binary()
            rows.row(0, plus([ended[end]], plus(whether, by=-1)), 0)
        slots = sorted({at for end in ends for at in self._slots(end + cold.cool, end + cold.bag_by - SLOT)})
        frozen = [(shape.frozen, v) for shape, v in bake.counts if shape.frozen]
        sizes = sorted({n for n, _ in frozen}) if bag.hands_per_piece else [0]
        each, most = bake.bread.form(bake.form).units_per_piece, max(n for n, _ in frozen)
        at_slot: dict[int, list[int]] = defaultdict(list)
        for size in sizes:
            jobs = bake.jobs["bag", size] = self._jobs(bag.hands + bag.hands_per_piece * size, slots)
            rows.row(0, plus(jobs.values(), plus([v for n, v in frozen if not size or n == size], by=-1)), 0)
            for (_, at), variable in jobs.items():
                at_slot[at].append(variable)
        for at, variables in at_slot.items():
            inside = [v for end, v in ended.items() if end + cold.cool <= at <= end + cold.bag_by - SLOT]
            rows.row(-INF, plus(variables, plus(inside, by=-1)), 0)
            bake.frozen[at] = rows.amount(each * most)
            rows.row(-INF, plus([bake.frozen[at]], plus(variables, by=-each * most)), 0)
        rows.row(0, {**plus(bake.frozen.values()), **{v: -each * n for n, v in frozen}}, 0)

    def _table(self, bake: Bake) -> None:
        """Say which meals a bake's fresh bread feeds, by where it is ready."""
        problem, bread, rows = self.problem, bake.bread, self.rows
        rest = bake.process.treatment(TABLE).cool
        classes: dict[tuple[int, tuple[int, ...], bool], list[Terms]] = defaultdict(list)
        for number, (length, _, _) in enumerate(bake.kinds):
            for start, whether in bake.stay.kind(number).items():
                ready = start + length + rest
                ages = ((n, min(longest(meal, bread, FRESH), bread.keeps)) for n, meal in enumerate(problem.meals))
                fed = tuple(n for n, age in ages if 0 <= problem.meals[n].at - ready <= age)
                classes[problem.quarter_of(ready), fed, ready + bread.keeps <= problem.end].append(whether)
        most = max(shape.count(TABLE) for shape, _ in bake.counts)
        pieces = []
        for (quarter, fed, gone), whethers in classes.items():
            price = problem.weights.wasted_portion if gone else 0
            pieces.append(rows.amount(most, price * bread.portions))
            rows.row(-INF, plus([pieces[-1]], plus(*whethers, by=-most)), 0)
            given = []
            for n in fed:
                meal = problem.meals[n]
                age = (problem.quarter_of(meal.at) - quarter) * meal.age_milli
                given.append(rows.amount(meal.portions, age - price))
                self.fed[n].append(given[-1])
                self.eaten[bake.stay.id, n].append(given[-1])
            rows.row(-INF, {**plus(given), pieces[-1]: -bread.portions}, 0)
        table = {v: -float(shape.count(TABLE)) for shape, v in bake.counts}
        rows.row(0, {**plus(pieces), **table}, 0)

    def _finish(self, bread: Bread, route: Route, moment: Moment) -> Finish | None:
        assert route.oven is not None
        problem, rows, form = self.problem, self.rows, bread.form(route.form)
        degc, minutes = route.oven
        after = minutes + route.stand
        slots = self._slots(moment.first - after, moment.last - after)
        starts = [at for at in slots if self.can(at, route.handling) and self.can(at + minutes, route.handling)]
        id_ = f"out {bread.id} {route.id} {moment.first}"
        stay = self._stay(id_, degc, False, [(minutes, n + 1) for n in range(self.oven.places)], starts)
        if not stay.lead:
            return None
        jobs = {"in": self._jobs(route.handling, starts)}
        jobs["done"] = self._jobs(route.handling, [at + minutes for at in starts])
        least, most = route.thaw if route.place else STRAIGHT
        outs = {at for start in starts for at in self._slots(start - most, start - least)}
        out = {at: rows.binary() for at in sorted(outs) if self.can(at, route.handling_out)}
        units = rows.amount(self.oven.places * route.load_units)
        held = {v: -float(route.load_units * (n + 1)) for of in (stay.lead, stay.guest) for (n, _), v in of.items()}
        rows.row(-INF, {units: 1, **held}, 0)
        rows.row(0, {units: 1, **plus(stay.lead.values(), stay.guest.values(), by=-1)}, INF)
        rows.row(0, plus(stay.lead.values(), stay.guest.values()), 1)
        rows.row(0, plus(stay.lead.values(), stay.guest.values(), plus(out.values(), by=-1)), 0)
        for start in starts:
            there = stay.at(start)
            rows.row(0, plus(self._at(jobs["in"], start), plus(there, by=-1)), 0)
            rows.row(0, plus(self._at(jobs["done"], start + minutes), plus(there, by=-1)), 0)
            inside = [v for at, v in out.items() if least <= start - at <= most]
            rows.row(-INF, plus(there, plus(inside, by=-1)), 0)
        gone = moment.last + route.keeps <= problem.end  # a little cheaper for what is thrown away at the very end
        price = problem.weights.wasted_portion if gone else 0
        rows.price[units] = price * form.portions_per_unit
        given = []
        for n, age in moment.fed:
            meal = problem.meals[n]
            aged = (problem.quarter_of(meal.at) - problem.quarter_of(moment.first)) * meal.age_milli
            given.append(rows.amount(meal.portions, aged - price))
            late = [at for at in starts if meal.at - at - after <= age]
            rows.row(-INF, {given[-1]: 1, **plus(*(stay.at(at) for at in late), by=-meal.portions)}, 0)
            self.fed[n].append(given[-1])
            self.eaten[id_, n].append(given[-1])
        rows.row(-INF, {**plus(given), units: -form.portions_per_unit}, 0)
        return Finish(bread, route, moment, units, out, jobs, stay)

    def _alone(self) -> None:
        same: dict[tuple[str, str, int], list[Stay]] = defaultdict(list)
        for finish in self.finishes:
            kind = stands_alone(self.problem, finish.route, finish.bread, finish.moment)
            same[finish.bread.id, kind, finish.moment.first].append(finish.stay)
        for stays in same.values():
            self.rows.row(0, plus(*(plus(stay.lead.values(), stay.guest.values()) for stay in stays)), 1)

    def _trips(self) -> None:
        if not self.finishes:
            return
        starts = sorted({at for finish in self.finishes for at in finish.out})
        self.trips = self._jobs(self.finishes[0].route.handling_out, starts)
        for finish in self.finishes:
            for at, variable in finish.out.items():
                self.rows.row(0, plus(self._at(self.trips, at), {variable: -1}), INF)

    # the oven -----------------------------------------------------------------------------------------------------

    @property
    def stays(self) -> list[Stay]:
        """All stays that may be."""
        return [bake.stay for bake in self.bakes] + [finish.stay for finish in self.finishes]

    def _heat(self) -> None:
        """Let each stay be hot, and one heat in the oven at a time."""
        rows, oven = self.rows, self.oven
        taken: dict[int, Terms] = defaultdict(dict)
        alike: dict[tuple[int, bool, int], Terms] = defaultdict(dict)
        hosts: dict[tuple[int, bool, int], list[tuple[int, int, int]]] = defaultdict(list)
        ends: dict[int, list[tuple[Stay, int]]] = defaultdict(list)
        switched: dict[int, list[int]] = defaultdict(list)
        for number, stay in enumerate(self.stays):
            heat = oven.heat_up_vessel if stay.vessel else oven.heat_up
            for at, variable in stay.cold.items():
                switched[at - heat].append(variable)
                for cell in range(at - heat, at, SLOT):
                    taken[cell][variable] = 1
            for (kind, at), variable in stay.lead.items():
                for cell in range(at, at + stay.lengths[kind], SLOT):
                    taken[cell][variable] = 1
                hosts[stay.degc, stay.vessel, at].append((stay.lengths[kind], number, variable))
            for of in (stay.lead, stay.guest):
                for (kind, at), variable in of.items():
                    ends[at + stay.lengths[kind]].append((stay, variable))
                    alike[stay.degc, stay.vessel, at][variable] = stay.loads[kind]
        for cell in taken.values():
            rows.row(0, cell, 1)
        self.on = self._jobs(1, sorted(switched))
        for at, variables in switched.items():
            rows.row(0, plus(self._at(self.on, at), plus(variables, by=-1)), INF)
        for group in alike.values():
            rows.row(0, group, oven.places)
        for number, stay in enumerate(self.stays):
            for (kind, at), variable in stay.guest.items():
                size = stay.lengths[kind]
                where = hosts[stay.degc, stay.vessel, at] if not stay.vessel or oven.vessels > 1 else []
                longer = [v for length, of, v in where if of != number and (length, -of) > (size, -number)]
                rows.row(-INF, {variable: 1, **plus(longer, by=-1)}, 0)
            for at, variable in stay.after.items():
                before = []
                for end in range(at - oven.hot_gap, at + 1):
                    for other, v in ends.get(end, ()):
                        if other is not stay and self._follows(stay, other.degc, other.vessel) <= at - end:
                            before.append(v)
                booked = any(
                    b.temperature_degc is not None
                    and self._follows(stay, b.temperature_degc, vessel=False) <= at - b.end <= oven.hot_gap
                    for b in oven.bookings
                )
                if not booked:
                    rows.row(-INF, {variable: 1, **plus(before, by=-1)}, 0)

    def _follows(self, stay: Stay, degc: int, vessel: bool) -> int:
        change = self.oven.change(degc, stay.degc)
        return max(change, self.oven.heat_up_vessel) if stay.vessel and not vessel else change

    def _kitchen(self) -> None:
        kitchen, rows = self.problem.kitchen, self.rows
        has = {"bowl": kitchen.bowls, "dough": kitchen.dough_grams, "banneton": kitchen.bannetons}
        has["fridge"] = kitchen.fridge_spots
        held: dict[tuple[str, int], Terms] = defaultdict(dict)
        for bake in self.bakes:
            total = {v: float(shape.total) for shape, v in bake.counts}
            most = max(shape.total for shape, _ in bake.counts)
            for use in bake.process.uses:
                change: dict[int, Terms] = defaultdict(dict)
                for (name, _), jobs in bake.jobs.items():
                    for (_, at), variable in jobs.items():
                        if name == use.since and name != "oven":
                            change[at] = plus(change[at], [variable])
                        if name == use.until and name != "oven":
                            change[at] = plus(change[at], {variable: -1})
                for number, (_, lag, _) in enumerate(bake.kinds) if use.until == "oven" else ():
                    for at, whether in bake.stay.kind(number).items():
                        change[up(at + lag)] = plus(change[up(at + lag)], plus(whether, by=-1))
                before: int | None = None
                for at in range(min(change), max(change) + 1, SLOT) if change else ():
                    now = rows.binary()
                    terms = plus([now], plus(change.get(at, {}), by=-1))
                    rows.row(0, terms if before is None else {**terms, before: -1}, 0)
                    before = now
                    if use.what == "bowl":
                        held["bowl", at][now] = 1
                    pieces = rows.amount(most, whole=False)
                    rows.row(-most, {pieces: 1, now: -most, **plus(total, by=-1)}, INF)
                    what, each = ("dough", bake.bread.dough_grams) if use.what == "bowl" else (use.what, 1)
                    held[what, at][pieces] = each
        for (what, _), terms in held.items():
            rows.row(-INF, terms, has[what][0][1])

    # bread --------------------------------------------------------------------------------------------------------

    def _meals(self) -> None:
        problem, rows, weights = self.problem, self.rows, self.problem.weights
        self.loaves = [rows.amount(50, problem.shop.loaf_milli) for _ in problem.shop.closes]
        given: dict[int, list[int]] = defaultdict(list)
        for n, meal in enumerate(problem.meals):
            for bread in problem.breads:
                for route in bread.routes:
                    if route.gives == TOAST and longest(meal, bread, TOAST) >= 0:
                        self.toast[bread.id, route.id, n] = rows.amount(meal.portions)
                        self.fed[n].append(self.toast[bread.id, route.id, n])
            for closing, at in enumerate(problem.shop.closes):
                if buys(problem, meal) and at <= meal.at <= at + problem.shop.keeps:
                    given[closing].append(rows.amount(meal.portions))
                    self.eaten[f"bought-{closing}", n].append(given[closing][-1])
                    self.fed[n].append(given[closing][-1])
                    self.without[n].append(given[closing][-1])
            short = rows.amount(meal.portions, weights.strict_portion if meal.strict else weights.unmet_portion)
            self.without[n].append(short)
            rows.row(meal.portions, plus(self.fed[n], [short]), meal.portions)
        for closing, loaves in enumerate(self.loaves):
            rows.row(-INF, {**plus(given[closing]), loaves: -problem.shop.portions}, 0)

    def _freezer(self) -> None:
        """Let stock go from half hour to half hour: what is held, and what of it is frozen through."""
        problem, rows, weights = self.problem, self.rows, self.problem.weights
        room, blocks = problem.kitchen.freezer_dl[0][1], up(problem.end, BLOCK) // BLOCK
        full: dict[int, Terms] = defaultdict(dict)
        grams: dict[int, Terms] = defaultdict(dict)
        stock: dict[tuple[str, str, int], int] = {}
        nights = {-(-midnight // BLOCK) - 1: day for day, midnight in enumerate(problem.midnights[1:])}
        for bread in problem.breads:
            last: Terms = {}
            for form in bread.forms:
                comes, through, leaves = (defaultdict[int, Terms](dict) for _ in range(3))
                for bake in self.bakes:
                    if bake.bread is not bread or bake.form != form.id:
                        continue
                    bag, most = bake.process.stages[-1], max(shape.frozen for shape, _ in bake.counts)
                    took = bag.hands + bag.hands_per_piece * most + bake.process.treatment(form.id).freeze
                    for at, units in bake.frozen.items():
                        comes[at // BLOCK][units] = 1
                        through[-(-(at + took) // BLOCK)][units] = 1
                        grams[at // BLOCK][units] = form.load_grams
                for finish in self.finishes:
                    if finish.bread is bread and finish.route.form == form.id:
                        parts = {}
                        most = self.oven.places * finish.route.load_units
                        for at, out in finish.out.items():
                            parts[at] = rows.amount(most)
                            rows.row(-INF, {parts[at]: 1, out: -most}, 0)
                            leaves[at // BLOCK][parts[at]] = 1
                        rows.row(0, plus(parts.values(), {finish.units: -1}), 0)
                for (of, route, n), slices in self.toast.items():
                    if of == bread.id and bread.route(route).form == form.id:
                        leaves[problem.meals[n].at // BLOCK][slices] = 1
                opening = sum(lot.units for lot in problem.lots if (lot.bread, lot.form) == (bread.id, form.id))
                held: Terms = {}
                hard: Terms = {}
                most = max(opening, room // max(form.unit_dl, 1))
                for block in range(blocks):
                    if block in nights:
                        price = weights.wasted_portion * form.portions_per_unit
                        thrown = self.thrown[bread.id, form.id, nights[block]] = rows.amount(most, price)
                        leaves[block][thrown] = 1
                    for variable, k in plus(held, comes[block]).items():
                        full[block][variable] = k * form.unit_dl
                    night = weights.portion_day_frozen * form.portions_per_unit if block in nights else 0
                    now = rows.amount(most, night, whole=False)
                    there = rows.amount(most, whole=False)
                    begin = opening if not block else 0
                    rows.row(-begin, {**plus(held, comes[block], plus(leaves[block], by=-1)), now: -1}, -begin)
                    rows.row(-begin, {**plus(hard, through[block], plus(leaves[block], by=-1)), there: -1}, -begin)
                    held, hard = {now: 1}, {there: 1}
                    if block in nights:
                        stock[bread.id, form.id, nights[block]] = now
                last = {**last, **plus(held, by=form.portions_per_unit)}
            worth = {rows.amount(most, -milli, whole=False): 1.0 for most, milli in bread.worth}
            rows.row(-INF, plus(worth, plus(last, by=-1)), 0)
        for kept in problem.reserve:
            weeks = max(self.problem.days // 7, 1)  # the last with the days left over
            hungry = eaters(problem, kept)
            most = kept.portions + sum(problem.meals[n].portions for n in hungry)
            lowest = [rows.amount(most, kept.lowest, whole=False) for _ in range(weeks)]
            for day in range(problem.days):
                there = {stock[b, f, day]: problem.bread(b).form(f).portions_per_unit for b, f in kept.forms}
                past = (n for n in hungry if problem.day_of(problem.meals[n].at) <= day)
                there |= {amount: -1 for n in past for amount in self.without[n]}
                rows.row(kept.portions, {**there, rows.amount(most, kept.milli, whole=False): 1}, INF)
                rows.row(kept.portions, {**there, lowest[min(day // 7, weeks - 1)]: 1}, INF)
        for terms in full.values():
            rows.row(-INF, terms, room)
        window = 1440 // BLOCK + 1
        for block in sorted(grams):
            inside = plus(*(grams[b] for b in range(block, block + window) if b in grams))
            rows.row(-INF, inside, problem.kitchen.freezing_grams_24h[0][1])

    def _weeks(self) -> None:
        weights = self.problem.weights
        for first in range(0, self.problem.days, 7) if weights.extra_bake else ():
            bakes = [v for bake in self.bakes if first <= bake.day < first + 7 for _, v in bake.counts]
            extra = self.rows.amount(99, weights.extra_bake)
            self.rows.row(-INF, {**plus(bakes), extra: -1}, weights.bakes_a_week)
