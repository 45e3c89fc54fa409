"""The minutes of a choice of days: who does what when, and how the oven gets hot. CP-SAT, over a few days at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from ortools.sat.python import cp_model

from rotation.chains import stay_heats
from rotation.grid import Bools, Grid, true_spans
from rotation.oven_turns import events, peak
from rotation.problem import GRID, Person, Problem, Wait, free_spans, union
from rotation.solve.tasks import BakeTask, Task, WayTask
from rotation.thaws import thaw_lag

ANY_DAY = -1
"""The put-in day of a task that may go into the freezer on any."""


@dataclass
class Job:
    """A job of somebody's hands in the model. `who`: person id and literal."""

    owner: str
    name: str
    minutes: int
    start: cp_model.LinearExprT
    who: dict[str, cp_model.IntVar] = field(default_factory=dict)


@dataclass
class Stayed:
    """A stay in the model: start, and how it gets hot by literal."""

    task: Task
    oven: str
    degc: int
    vessel: bool
    start: cp_model.LinearExprT
    heats: dict[str, cp_model.IntVar] = field(default_factory=dict)

    @property
    def end(self) -> cp_model.LinearExprT:
        """The minute the last load is out."""
        return self.start + self.task.length


@dataclass(frozen=True)
class Timed:
    """Minutes found. starts: (task, step) -> minute; who: (task, step) -> person; heats: task -> how it gets hot.

    trips: task -> task whose trip to the freezer it shares; cost in milli, bound: the least any timing can cost.
    """

    starts: dict[tuple[str, str], int]
    who: dict[tuple[str, str], str]
    heats: dict[str, str]
    trips: dict[str, str]
    cost: int
    bound: int


class Timing:
    """The model of one cluster of tasks. Build, add what couples them, solve."""

    def __init__(self, problem: Problem, grid: Grid, tasks: Sequence[Task]) -> None:
        self.problem, self.grid, self.tasks = problem, grid, tasks
        self.model = cp_model.CpModel()
        self.cost: list[cp_model.LinearExprT] = []
        self.jobs: list[Job] = []
        self.starts: dict[tuple[str, str], cp_model.LinearExprT] = {}
        self.stays: list[Stayed] = []
        self.busy: dict[str, list[cp_model.IntervalVar]] = {person.id: [] for person in problem.people}
        self.trips: dict[str, dict[str, cp_model.IntVar]] = {}
        for task in tasks:
            if isinstance(task, BakeTask):
                self._bake(task)
            else:
                self._way(task)
        self._trips()
        self._ovens()
        self._rooms()
        for intervals in self.busy.values():
            self.model.add_no_overlap(intervals)

    # starts -------------------------------------------------------------------------------------------------------

    def _start(self, task: Task, name: str, low: int, high: int) -> cp_model.LinearExprT:
        """Return a planned start on the grid within `[low, high]`."""
        low, high = max(low, 0), min(high, self.problem.end)
        if -(-low // GRID) > high // GRID:
            self.model.add_bool_or([])
            low = high = 0
        steps = self.model.new_int_var(-(-low // GRID), high // GRID, f"{task.id} {name}")
        start = GRID * steps
        self.starts[task.id, name] = start
        return start

    def _bake(self, task: BakeTask) -> None:
        """Add the steps of a bake, its waits, its stay, and what follows."""
        problem, process, run = self.problem, task.process, task.run
        begun = next((b for b in problem.under_way if b.id == run.under_way), None)
        done = {name: (start, end) for name, start, end in begun.done} if begun else {}
        around = (
            problem.midnights[max(run.day, 0)] - 3 * 1440,
            problem.midnights[min(max(run.day, 0), problem.days - 1) + 1] + 5 * 1440,
        )
        names = [stage.name for stage in process.stages if stage.name != "bag"]
        at: dict[str, cp_model.LinearExprT] = {}
        for name in names:
            if name in done:
                at[name] = done[name][0]
                continue
            low, high = around
            if name == "mix":
                low, high = problem.midnights[run.day], problem.midnights[run.day + 1] - 1
            wish = next((w for w in problem.wishes if w.id == run.wish and w.step == name), None)
            if wish is not None:
                low = high = wish.at
            at[name] = self._start(task, name, low, high)
            self._job(task, name, task.hands(name), at[name], "bakes", moved=wish is not None)
        ends = {name: done[name][1] if name in done else at[name] + task.hands(name) for name in names}
        first_open = next(name for name in names if name not in done)
        for wait in process.waits:
            if wait.second in done or wait.second not in at:
                continue
            if begun and wait.second == first_open:
                self._late(task, wait, at, done)
                continue
            shortest, longest = wait.on(run.day)
            since = at[wait.first] if wait.whole else ends[wait.first]
            last = task.turns[-1].start if wait.second == "oven" else 0
            self.model.add(at[wait.second] - since >= shortest)
            self.model.add(at[wait.second] + last - since <= longest)
        self._stay(task, run.oven, process.programme.degc, process.programme.covered > 0, at["oven"])
        self._bake_events(task, at["oven"])
        out = at["oven"] + task.length
        table = next((t for t in process.treatments if t.id == "table"), None)
        if run.ready is not None and table is not None:
            self.model.add_linear_constraint(out + table.cool, max(task.ready[0], 0), min(task.ready[1], 10**6))
        if task.frozen:
            kinds = [process.treatment(id_) for id_, _ in task.pieces if id_ != "table"]
            assert run.put_day is not None
            low, high = 0, problem.end
            if run.put_day != ANY_DAY:
                low, high = problem.midnights[run.put_day], problem.midnights[run.put_day + 1] - 1
            minutes = task.hands("bag")
            bag = self._start(task, "bag", low - minutes, high - minutes)
            by = min(t.bag_by for t in kinds)
            self.model.add(bag >= out + max(t.cool for t in kinds))
            self.model.add(bag <= out + (min(by, 120) if task.bread.filled else by))
            self._job(task, "bag", minutes, bag, "bakes")
            at["bag"] = bag

    def _late(
        self, task: BakeTask, wait: Wait, at: dict[str, cp_model.LinearExprT], done: dict[str, tuple[int, int]]
    ) -> None:
        """Keep a wait that began in reality; where its longest has passed, the step comes as soon as it can."""
        if wait.first not in done:
            return
        shortest, longest = wait.on(task.run.day)
        since = done[wait.first][0 if wait.whole else 1]
        self.model.add(at[wait.second] >= since + shortest)
        in_time = self.model.new_bool_var("")
        self.model.add(at[wait.second] <= since + longest).only_enforce_if(in_time)
        self.cost.append(10_000_000 * (1 - in_time))
        self.cost.append(1000 * at[wait.second])

    def _bake_events(self, task: BakeTask, oven: cp_model.LinearExprT) -> None:
        """Add hands at the oven after the first load."""
        for event in events(task.turns):
            self._job(task, f"event {event.offset}", task.process.programme.handling, oven + event.offset, "bakes")

    def _way(self, task: WayTask) -> None:
        """Add the trip to the freezer, the finish, and when it is ready."""
        day, route = task.way.take_day, task.route
        low, high = self.problem.midnights[day], self.problem.midnights[day + 1] - 1
        out = self._start(task, "out", low, high)
        if route.oven is None or task.way.oven is None:
            ready = out + route.thaw[0]
        else:
            lag = thaw_lag(route)
            stay = self._start(task, "in", low, high + lag[1])
            self.model.add_linear_constraint(stay - out, lag[0], lag[1])
            self._stay(task, task.way.oven, route.oven[0], False, stay)
            self._job(task, "in", route.handling, stay, "finishes")
            self._job(task, "done", route.handling, stay + task.length, "finishes")
            ready = stay + task.length + route.stand
        self.model.add_linear_constraint(ready, max(task.ready[0], 0), min(task.ready[1], 10**6))

    # hands --------------------------------------------------------------------------------------------------------

    def _job(
        self, task: Task, name: str, minutes: int, start: cp_model.LinearExprT, role: str, *,
        when: cp_model.IntVar | None = None, moved: bool = False,
    ) -> Job:  # fmt: skip
        """Add a job: one of those who may does it, inside one free span, at the price of its start."""
        job = Job(task.id, name, minutes, start)
        for person in self.grid.may(role):
            literal = self.model.new_bool_var(f"{task.id} {name} {person.id}")
            spans = person.inside if moved else free_spans(person, minutes)
            domain = [(a, b - minutes) for a, b in spans if b - minutes >= a]
            if not domain:
                self.model.add(literal == 0)
                continue
            self.model.add_linear_expression_in_domain(
                start, cp_model.Domain.from_intervals([list(span) for span in domain])
            ).only_enforce_if(literal)
            self._price(person, minutes, start, literal)
            self.busy[person.id].append(
                self.model.new_optional_fixed_size_interval_var(start, max(minutes, 1), literal, "")
            )
            job.who[person.id] = literal
        self.model.add(sum(job.who.values()) == (1 if when is None else when))
        self.jobs.append(job)
        return job

    def _price(self, person: Person, minutes: int, start: cp_model.LinearExprT, literal: cp_model.IntVar) -> None:
        """Add what a job costs if this person does it, by the price at its start."""
        spans: dict[int, list[list[int]]] = {}
        ends = [at for at, _ in person.price[1:]] + [self.grid.minutes + 10**5]
        for (at, price), end in zip(person.price, ends, strict=True):
            if end > at:
                spans.setdefault(price, []).append([at, end - 1])
        if len(spans) == 1:
            self.cost.append(minutes * next(iter(spans)) * literal)
            return
        options = []
        for price, where in sorted(spans.items()):
            option = self.model.new_bool_var("")
            self.model.add_linear_expression_in_domain(start, cp_model.Domain.from_intervals(where)).only_enforce_if(
                option
            )
            self.cost.append(minutes * price * option)
            options.append(option)
        self.model.add(sum(options) == literal)

    def _trips(self) -> None:
        """Let take-outs share a trip: same minute, same hands, one job."""
        outs = [task for task in self.tasks if isinstance(task, WayTask)]
        for index, task in enumerate(outs):
            shared: dict[str, cp_model.IntVar] = {}
            for other in outs[:index]:
                if other.way.take_day == task.way.take_day and other.route.handling_out >= task.route.handling_out:
                    same = self.model.new_bool_var(f"{task.id} with {other.id}")
                    self.model.add(self.starts[task.id, "out"] == self.starts[other.id, "out"]).only_enforce_if(same)
                    for others in self.trips[other.id].values():
                        self.model.add_implication(same, ~others)
                    shared[other.id] = same
            own = self.model.new_bool_var(f"{task.id} own trip")
            self.model.add(own + sum(shared.values()) == 1)
            self.trips[task.id] = shared
            self._job(task, "out", task.route.handling_out, self.starts[task.id, "out"], "finishes", when=own)

    # oven ---------------------------------------------------------------------------------------------------------

    def _stay(self, task: Task, oven: str, degc: int, vessel: bool, start: cp_model.LinearExprT) -> None:
        self.stays.append(Stayed(task, oven, degc, vessel, start))

    def _ovens(self) -> None:
        """Add how each stay gets hot, and that stays keep out of each other's way."""
        for oven in self.problem.ovens:
            here = [stay for stay in self.stays if stay.oven == oven.id]
            Hot(self, oven.id, here).add()

    # rooms --------------------------------------------------------------------------------------------------------

    def _rooms(self) -> None:
        """Keep bowls, dough, bannetons and fridge spots within what the house holds at every minute."""
        kitchen = self.problem.kitchen
        held: dict[str, list[tuple[cp_model.IntervalVar, int]]] = {
            "bowl": [],
            "dough": [],
            "banneton": [],
            "fridge": [],
        }
        for task in self.tasks:
            if isinstance(task, WayTask):
                self._fridge_thaw(task, held)
                continue
            begun = next((b for b in self.problem.under_way if b.id == task.run.under_way), None)
            done = {name: start for name, start, _ in begun.done} if begun else {}
            for use in task.process.uses:
                if use.until in done:
                    continue
                since = done.get(use.since, self.starts.get((task.id, use.since), 0))
                until = self.starts[task.id, use.until] + (task.turns[-1].start if use.until == "oven" else 0)
                size = self.model.new_int_var(0, self.grid.minutes + 10**5, "")
                interval = self.model.new_interval_var(since, size, until, "")
                held[use.what].append((interval, 1 if use.what == "bowl" else task.total))
                if use.what == "bowl":
                    held["dough"].append((interval, task.total * task.bread.dough_grams))
        limits = {
            "bowl": kitchen.bowls,
            "dough": kitchen.dough_grams,
            "banneton": kitchen.bannetons,
            "fridge": kitchen.fridge_spots,
        }
        for what, intervals in held.items():
            most = max(value for _, value in limits[what])
            if sum(amount for _, amount in intervals) <= min(value for _, value in limits[what]):
                continue
            ends = [at for at, _ in limits[what][1:]] + [self.grid.minutes + 10**5]
            for (at, value), end in zip(limits[what], ends, strict=True):
                if value < most:
                    intervals.append((self.model.new_fixed_size_interval_var(at, end - at, ""), most - value))
            self.model.add_cumulative([i for i, _ in intervals], [a for _, a in intervals], most)

    def _fridge_thaw(self, task: WayTask, held: dict[str, list[tuple[cp_model.IntervalVar, int]]]) -> None:
        """Count what thaws in the fridge."""
        route = task.route
        if route.place != "fridge" or not route.fridge_units:
            return
        out = self.starts[task.id, "out"]
        until = self.starts.get((task.id, "in"), out + route.thaw[0])
        size = self.model.new_int_var(0, self.grid.minutes, "")
        held["fridge"].append((self.model.new_interval_var(out, size, until, ""), -(-task.units // route.fridge_units)))

    # solve --------------------------------------------------------------------------------------------------------

    def solve(self, work: float) -> Timed | None:
        """Return the cheapest minutes, None if there are none. `work`: deterministic limit.

        Raises TimeoutError if nothing was found and nothing proven within the limit.
        """
        self.model.minimize(sum(self.cost))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.catch_sigint_signal = False
        solver.parameters.linearization_level = 1
        solver.parameters.max_deterministic_time = work
        status = solver.solve(self.model)
        if status == cp_model.INFEASIBLE:
            return None
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            raise TimeoutError(solver.status_name(status))
        starts = {key: solver.value(start) for key, start in self.starts.items()}
        who = {
            (job.owner, job.name): person
            for job in self.jobs
            for person, literal in job.who.items()
            if solver.boolean_value(literal)
        }
        heats = {
            stay.task.id: heat
            for stay in self.stays
            for heat, literal in stay.heats.items()
            if solver.boolean_value(literal)
        }
        trips = {
            task: other
            for task, shared in self.trips.items()
            for other, same in shared.items()
            if solver.boolean_value(same)
        }
        return Timed(starts, who, heats, trips, round(solver.objective_value), round(solver.best_objective_bound))


class Hot:
    """The stays of one oven in a timing model."""

    def __init__(self, timing: Timing, oven: str, stays: Sequence[Stayed]) -> None:
        self.timing, self.model, self.stays = timing, timing.model, stays
        self.oven = timing.problem.oven(oven)
        self.before: dict[tuple[str, str], cp_model.IntVar] = {}
        self.same: dict[tuple[str, str], cp_model.IntVar] = {}

    def add(self) -> None:
        """Add the ways to get hot, the order of stays, the places and vessels."""
        for stay in self.stays:
            self._own_heat(stay)
        for first, second in combinations(self.stays, 2):
            self._pair(first, second)
        for stay in self.stays:
            self._follow(stay)
            self.model.add(sum(stay.heats.values()) == 1)
            self.timing.cost.append(self.timing.problem.weights.heat_up * stay.heats["cold"])
        self._places()

    def _domain(self, stay: Stayed, able: Bools, literal: cp_model.IntVar | None) -> None:
        """Keep the start of a stay within the minutes that a way of heating allows."""
        domain = cp_model.Domain.from_intervals(true_spans(able))
        constraint = self.model.add_linear_expression_in_domain(stay.start, domain)
        if literal is not None:
            constraint.only_enforce_if(literal)

    def _heat_up(self, stay: Stayed) -> int:
        return self.oven.heat_up_vessel if stay.vessel else self.oven.heat_up

    def _own_heat(self, stay: Stayed) -> None:
        """Let a stay be heated from cold, or by a booking, or stand beside one."""
        grid, oven = self.timing.grid, self.oven
        role = "bakes" if isinstance(stay.task, BakeTask) else "finishes"
        found = dict(stay_heats(grid, oven, stay.degc, stay.vessel, stay.task.length, role))
        cold = self.model.new_bool_var(f"{stay.task.id} cold")
        self._domain(stay, found[0], cold)
        stay.heats["cold"] = cold
        self.timing._job(stay.task, "on", 1, stay.start - self._heat_up(stay), role, when=cold)
        alone = found[0] | found[1] | found[2]
        now = np.arange(len(alone))
        for booking in oven.bookings:
            if booking.temperature_degc is None:
                continue
            low = booking.end + max(
                oven.change(booking.temperature_degc, stay.degc), self._heat_up(stay) if stay.vessel else 0
            )
            high = booking.end + oven.hot_gap
            if low <= high and any(found[1][max(low, 0) : max(high + 1, 0)]):
                literal = self.model.new_bool_var("")
                self._domain(stay, found[1] & (now >= low) & (now <= high), literal)
                stay.heats[f"after:{booking.id}"] = literal
            beside = found[1][max(booking.start, 0) : max(booking.end, 0)]
            if booking.temperature_degc == stay.degc and booking.places_left and any(beside):
                literal = self.model.new_bool_var("")
                inside = (now >= booking.start) & (now + stay.task.length <= booking.end)
                self._domain(stay, found[1] & inside, literal)
                if peak(stay.task.turns) > booking.places_left:
                    self.model.add(literal == 0)
                stay.heats[f"beside:{booking.id}"] = literal
        self._domain(stay, alone, None)

    def _pair(self, first: Stayed, second: Stayed) -> None:
        """Put one stay before the other, or both in together."""
        a, b = first.task.id, second.task.id
        for one, other in ((first, second), (second, first)):
            literal = self.model.new_bool_var("")
            self.before[one.task.id, other.task.id] = literal
            self.model.add(other.start - self._heat_up(other) * other.heats["cold"] >= one.end).only_enforce_if(literal)
        same = self.model.new_bool_var("")
        self.same[a, b] = self.same[b, a] = same
        self.model.add(first.start == second.start).only_enforce_if(same)
        if first.degc != second.degc or first.vessel != second.vessel:
            self.model.add(same == 0)
        for heat, literal in (*first.heats.items(), *second.heats.items()):
            if heat.startswith("beside:"):
                self.model.add_implication(same, ~literal)
        self.model.add(self.before[a, b] + self.before[b, a] + same == 1)

    def _follow(self, stay: Stayed) -> None:
        """Let a stay take the heat of one right before it, or of one it shares."""
        position = [s.task.id for s in self.stays].index(stay.task.id)
        leaders = [s for s in self.stays[:position]]
        joined = [self.same[stay.task.id, leader.task.id] for leader in leaders]
        shares = self.model.new_bool_var("")
        stay.heats["with"] = shares
        self.model.add_bool_or([*joined, ~shares])
        for literal in joined:
            self.model.add_implication(literal, shares)
        for other in self.stays:
            if other is not stay:
                self._after(stay, other)

    def _after(self, stay: Stayed, other: Stayed) -> None:
        """Let a stay follow another while the oven is hot: at its temperature in time, nothing in between."""
        a, b = other.task.id, stay.task.id
        change = self.oven.change(other.degc, stay.degc)
        if stay.vessel and not other.vessel:
            change = max(change, self._heat_up(stay))
        if change > self.oven.hot_gap:
            return
        literal = self.model.new_bool_var("")
        stay.heats[f"after:{a}"] = literal
        self.model.add_implication(literal, self.before[a, b])
        self.model.add(stay.start - other.end >= change).only_enforce_if(literal)
        self.model.add(stay.start - other.end <= self.oven.hot_gap).only_enforce_if(literal)
        for third in self.stays:
            c = third.task.id
            if c not in (a, b):
                self.model.add_bool_or([~literal, ~self.before[a, c], ~self.before[c, b]])
                if third.task.length > other.task.length:
                    self.model.add_bool_or([~literal, ~self.same[a, c]])
        taken = union((*self.oven.closed, *((booking.start, booking.end) for booking in self.oven.bookings)))
        for start, end in taken:
            earlier = self.model.new_bool_var("")
            self.model.add(stay.start <= start).only_enforce_if([literal, earlier])
            self.model.add(other.end >= end).only_enforce_if([literal, ~earlier])

    def _places(self) -> None:
        """Keep loads within the places, and covered ones within the vessels."""
        inside, covered = [], []
        for stay in self.stays:
            for turn in stay.task.turns:
                inside.append(
                    self.model.new_fixed_size_interval_var(stay.start + turn.start, turn.out - turn.start, "")
                )
                if turn.uncover > turn.start:
                    covered.append(
                        self.model.new_fixed_size_interval_var(stay.start + turn.start, turn.uncover - turn.start, "")
                    )
        self.model.add_cumulative(inside, [1] * len(inside), self.oven.places)
        if covered:
            self.model.add_cumulative(covered, [1] * len(covered), self.oven.vessels)
