"""A timetable of tasks with all its minutes still open: the variables of a timing, and what makes them mean it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from rotation.clockwork import Clockwork, Literal, Sum
from rotation.grid import Grid
from rotation.minutes import Heating, HotStay, Job, Minutes
from rotation.oven_turns import events
from rotation.problem import DIAL, GRID, TABLE, Booking, Problem
from rotation.tasks import BakeTask, Task, WayTask


def open_minutes(
    problem: Problem, grid: Grid, tasks: Sequence[Task], clock: Clockwork, *, hot: bool = False
) -> Minutes:
    """Return the variables of a timing, in a fixed order; `hot`: in ovens that are hot anyway."""
    made = Minutes(problem, grid, tasks, clock, hot)
    for task in tasks:
        if isinstance(task, BakeTask):
            _bake(made, task)
        else:
            _way(made, task)
    _trips(made)
    for oven in problem.ovens:
        _ovens(made, [stay for stay in made.stays if stay.oven.id == oven.id])
    return made


def _start(made: Minutes, task: Task, name: str, low: int, high: int) -> Sum:
    """Return a planned start: on the grid, in the horizon."""
    first, last = -(-max(low, 0) // GRID), min(high, made.problem.end) // GRID
    made.starts[task.id, name] = made.clock.integer(first, last, f"{task.id} {name}") * GRID
    return made.starts[task.id, name]


def _job(
    made: Minutes, task: Task, name: str, minutes: int, start: Sum, wanted: Literal | None = None, moved: bool = False
) -> None:
    """Add a job that one of those who may does, if it is wanted."""
    people = made.grid.may("bakes" if isinstance(task, BakeTask) else "finishes")
    who = {person.id: made.clock.literal(f"{task.id} {name} {person.id}") for person in people}
    made.clock.one_of(who.values(), wanted)
    made.jobs.append(Job(task.id, name, minutes, start, who, wanted, moved))


def _bake(made: Minutes, task: BakeTask) -> None:
    """Add the steps of a bake, its stay and the hands at the oven."""
    problem, process, run, done = made.problem, task.process, task.run, made.done(task)
    day = min(max(run.day, 0), problem.days - 1)
    around = (problem.midnights[day] - 3 * 1440, problem.midnights[day + 1] + 5 * 1440)
    fixed = {wish.step for wish in problem.wishes if wish.id == run.wish}
    for stage in process.stages:
        if stage.name in done:
            made.starts[task.id, stage.name] = Sum((), done[stage.name][0])
        elif stage.name != "bag" or task.frozen:
            start = _start(made, task, stage.name, *(around if stage.name != "bag" else (0, problem.end)))
            _job(made, task, stage.name, task.hands(stage.name), start, moved=stage.name in fixed)
    oven = made.starts[task.id, "oven"]
    programme = process.programme
    for event in events(task.turns, programme):
        if not oven.fixed or oven.constant + event.offset >= 0:
            _job(made, task, f"event {event.offset}", programme.handling, oven + event.offset)
    if oven.fixed:
        made.in_oven.append((run.oven, oven.constant, oven.constant + task.length))
    else:
        made.stays.append(HotStay(task, problem.oven(run.oven), programme.degc, programme.covered > 0, oven, around))
    rest = next((treatment.cool for treatment in process.treatments if treatment.id == TABLE), 0)
    made.ready[task.id] = oven + task.length + rest


def _way(made: Minutes, task: WayTask) -> None:
    """Add the trip to the freezer, the finish, and when it is ready."""
    route, midnights = task.route, made.problem.midnights
    asked = _asked(made, task)
    around = (midnights[task.way.take_day] - 1440, midnights[task.way.take_day + 1] + 1440 + route.thaw[1])
    out = _start(made, task, "out", *around)
    made.ready[task.id] = out + route.thaw[0]
    if route.oven is not None and task.way.oven is not None:
        into = _start(made, task, "in", *around)
        made.stays.append(HotStay(task, made.problem.oven(task.way.oven), route.oven[0], False, into, around))
        _job(made, task, "in", route.handling, into, moved=asked == "fixed finish")
        for after, _ in route.turns:
            _job(made, task, f"event {after}", DIAL, into + after)
        _job(made, task, "done", route.handling, into + task.length)
        made.ready[task.id] = into + task.length + route.stand


def _asked(made: Minutes, task: WayTask) -> str:
    """Return the kind of the wish that a way is there for, or ""."""
    return next((wish.kind for wish in made.problem.wishes if wish.id == task.way.wish), "")


def _trips(made: Minutes) -> None:
    """Let each take-out have a trip of its own, or go with one that takes as long."""
    for index, task in enumerate(made.ways):
        shared = {
            other.id: made.clock.literal(f"{task.id} with {other.id}")
            for other in made.ways[:index]
            if other.way.take_day == task.way.take_day and other.route.handling_out >= task.route.handling_out
        }
        own = made.clock.literal(f"{task.id} own trip")
        made.clock.one_of([own, *shared.values()])
        made.trips[task.id] = shared
        start, moved = made.starts[task.id, "out"], _asked(made, task) == "fixed thaw"
        _job(made, task, "out", task.route.handling_out, start, wanted=own, moved=moved)


def _ovens(made: Minutes, stays: list[HotStay]) -> None:
    """Add how each stay of one oven gets hot, who switches it on, and in which order they go in."""
    clock = made.clock
    for stay in stays:

        def add(how: str, since: Sum, of: Booking | HotStay | None = None, stay: HotStay = stay) -> None:
            stay.heatings.append(Heating(how, clock.literal(f"{stay.task.id} {how}"), since, of))

        add("cold", stay.start - stay.heat_up)
        add("with", stay.start)
        if made.hot:
            add("hot", stay.start)
        for booking in stay.oven.bookings:
            if booking.temperature_degc is not None and stay.may_meet(booking):
                add(f"after:{booking.id}", Sum((), booking.end), booking)
                add(f"beside:{booking.id}", stay.start, booking)
        for other in stays:
            if other is not stay:
                add(f"after:{other.task.id}", other.end, other)
        clock.one_of([heating.literal for heating in stay.heatings])
        _job(made, stay.task, "on", 1, stay.start - stay.heat_up, wanted=stay.cold)
    for first, second in combinations(stays, 2):
        a, b = first.task.id, second.task.id
        made.before[a, b], made.before[b, a] = clock.literal(f"{a} before {b}"), clock.literal(f"{b} before {a}")
        made.same[a, b] = made.same[b, a] = clock.literal(f"{a} and {b}")
        clock.one_of([made.before[a, b], made.before[b, a], made.same[a, b]])
