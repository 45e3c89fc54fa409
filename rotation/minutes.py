"""What is chosen on the level of minutes: when each step starts, who does it, how an oven gets hot, who shares a trip.

The variables of a timing, by what they mean; rotation/timetable.py makes them. The rules (rotation/rules/) say which
values go together, two of the cost terms (rotation/costs/) add prices; rotation/solve/ finds values.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from rotation.clockwork import Clockwork, Literal, Sum
from rotation.grid import Grid
from rotation.problem import Booking, Oven, Problem, Spans
from rotation.tasks import BakeTask, Task, WayTask


@dataclass(frozen=True)
class Job:
    """Minutes of somebody's hands. who: person to literal; wanted: whether it is a job at all (None: it is).

    moved: the family put the step there themselves.
    """

    owner: str
    name: str
    minutes: int
    start: Sum
    who: dict[str, Literal]
    wanted: Literal | None
    moved: bool


@dataclass(frozen=True)
class Heating:
    """One way for a stay to get hot. how: "cold", "with", "beside:<booking>", "after:<booking or task>".

    since: minute from which the oven is on for it; of: the booking, or the stay it follows.
    """

    how: str
    literal: Literal
    since: Sum
    of: Booking | HotStay | None = None


@dataclass
class HotStay:
    """A stay in an oven that starts within two minutes. Its heatings exclude each other."""

    task: Task
    oven: Oven
    degc: int
    vessel: bool
    start: Sum
    within: tuple[int, int]
    heatings: list[Heating] = field(default_factory=list)

    @property
    def end(self) -> Sum:
        """The minute the last load is out."""
        return self.start + self.task.length

    @property
    def turns(self) -> tuple[tuple[int, int], ...]:
        """Minutes after the start at which another temperature is set, and which."""
        return self.task.temperatures

    @property
    def last_degc(self) -> int:
        """The temperature of the oven at the end."""
        return self.turns[-1][1] if self.turns else self.degc

    @property
    def heat_up(self) -> int:
        """Minutes from cold."""
        return self.oven.heat_up_vessel if self.vessel else self.oven.heat_up

    @property
    def cold(self) -> Literal:
        """Whether the oven is heated up for it."""
        return next(heating.literal for heating in self.heatings if heating.how == "cold")

    def may_meet(self, booking: Booking) -> bool:
        """Say whether the stay may be beside a booking, or on its heat."""
        return booking.start <= self.within[1] and self.within[0] <= booking.end + self.oven.hot_gap

    def starts(self, heating: Heating, spans: Spans, after: int = 0) -> Spans:
        """Return the starts for which one span holds the stay, `after` minutes more, and all its heating.

        The gap after another stay is left out: that stay's minutes end where it begins.
        """
        tail, lead = self.task.length + after, self.start - heating.since
        if heating.since.fixed:
            on = heating.since.constant
            return tuple((on, last - tail + 1) for first, last in spans if first <= on < last)
        ahead = lead.constant if lead.fixed else 0
        return tuple((first + ahead, last - tail + 1) for first, last in spans)


@dataclass
class Minutes:
    """The variables of one timing, written to `clock`.

    starts: (task, step) -> minute, "out" and "in" for ways; ready: task -> minute. before, same: (task, task) ->
    whether one stay is over before the other, or both go in together.
    trips: task -> (task with whose trip it goes -> literal).
    """

    problem: Problem
    grid: Grid
    tasks: Sequence[Task]
    clock: Clockwork
    hot: bool = False
    """Whether every oven is hot anyway: what tasks come to that others heat for, whoever that may be."""
    starts: dict[tuple[str, str], Sum] = field(default_factory=dict)
    ready: dict[str, Sum] = field(default_factory=dict)
    jobs: list[Job] = field(default_factory=list)
    stays: list[HotStay] = field(default_factory=list)
    before: dict[tuple[str, str], Literal] = field(default_factory=dict)
    same: dict[tuple[str, str], Literal] = field(default_factory=dict)
    trips: dict[str, dict[str, Literal]] = field(default_factory=dict)
    in_oven: list[tuple[str, int, int]] = field(default_factory=list)
    """`(oven, start, end)` of what was in one when the plan begins."""

    @property
    def never(self) -> int:
        """A minute after all others."""
        return self.grid.minutes + 10**5

    @property
    def bakes(self) -> list[BakeTask]:
        """The bakes among the tasks."""
        return [task for task in self.tasks if isinstance(task, BakeTask)]

    @property
    def ways(self) -> list[WayTask]:
        """The ways among the tasks."""
        return [task for task in self.tasks if isinstance(task, WayTask)]

    def done(self, task: BakeTask) -> dict[str, tuple[int, int]]:
        """Return the real minutes of the steps of a bake under way that are done."""
        begun = next((begun for begun in self.problem.under_way if begun.id == task.run.under_way), None)
        return {name: (start, end) for name, start, end in begun.done} if begun else {}

    def end(self, task: BakeTask, name: str) -> Sum:
        """Return when a step of a bake ends."""
        done = self.done(task)
        return Sum((), done[name][1]) if name in done else self.starts[task.id, name] + task.hands(name)

    def late(self, name: str, at: Sum, deadline: int) -> None:
        """Let a moment be late, but by as little as can be, before all cost."""
        by = self.clock.integer(0, self.never, f"{name} late")
        self.clock.between(None, at - by, deadline)
        self.clock.prefer(by)

    def to_last_load(self, task: BakeTask, step: str) -> int:
        """Return the minutes from a bake's first load to its last, where the longest wait before a step binds loads."""
        return task.turns[-1].start if step == "oven" else 0

    def gap_without(self, stay: HotStay, heating: Heating, spans: Spans) -> None:
        """Keep spans out of the gap after the stay that a stay follows; longer ones than the gap may be, are anyway."""
        if not isinstance(heating.of, HotStay):
            return
        for start, end in spans:
            if end - start <= stay.oven.hot_gap:
                after = self.clock.literal(f"{stay.task.id} {heating.how} after {end}")
                self.clock.between(end, heating.since, None, when=[heating.literal, after])
                self.clock.between(None, stay.start, start, when=[heating.literal, ~after])

    def day(self, minute: Sum, day: int) -> None:
        """Keep a minute on a local day."""
        self.clock.between(self.problem.midnights[day], minute, self.problem.midnights[day + 1] - 1)


@dataclass(frozen=True)
class Freezer:
    """What happens in the freezer by bread and form, as `(minute, units more or less)`, and grams put in, by minute.

    through: what is frozen through, and what leaves; held: what is put in, and what leaves.
    """

    through: dict[tuple[str, str], list[tuple[Sum, int]]]
    held: dict[tuple[str, str], list[tuple[Sum, int]]]
    loads: list[tuple[Sum, int]]
