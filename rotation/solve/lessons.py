"""What a timing that failed, or cost more than the days said, teaches: the fewest tasks that are to blame, as cuts.

A cut is sure if it holds for every plan: the tasks alone, ready at any minute of their class, whatever is eaten and
frozen. One that hangs on who eats what, or on the freezer, helps to find a plan and is never used for a bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.hot import FREE
from rotation.problem import Problem
from rotation.solve import cuts, shelves
from rotation.solve.cuts import Cut
from rotation.solve.timing import Timed, Timing
from rotation.tasks import ANY_DAY, Asked, BakeTask, Task


class Lessons:
    """Times tasks, and says what is to be learnt. `work`: deterministic limit of one timing."""

    def __init__(self, problem: Problem, grid: Grid, work: float) -> None:
        self.problem, self.grid, self.work = problem, grid, work

    def timed(self, tasks: Sequence[Task], choices: Choices, asked: Asked | None = None) -> Timed | None:
        """Return the cheapest minutes of tasks, None if there are none; with the freezer's rules if `asked`."""
        timing = Timing(self.problem, self.grid, tasks)
        if asked is not None:
            shelves.add(timing, choices, asked, tasks)
        return timing.solve(self.work)

    def _impossible(self, tasks: Sequence[Task], choices: Choices, asked: Asked | None = None) -> bool:
        """Say whether it is proven that tasks have no minutes; not known within the limit is no."""
        try:
            return self.timed(tasks, choices, asked) is None
        except TimeoutError:
            return False

    def conflict(self, tasks: Sequence[Task], choices: Choices, asked: Asked) -> Cut:
        """Return that some tasks exclude each other, none of which can be spared."""
        wide = [self._widened(task, choices) for task in tasks]
        if self._impossible(wide, choices):
            core = self._core(wide, choices, None)
            alike: set[str] = set()
            for task in core:
                trial = [_eased(other) if other is task or other.id in alike else other for other in core]
                if isinstance(task, BakeTask) and self._impossible(trial, choices):
                    alike.add(task.id)
            return Cut(tuple(core), frozenset(alike), None, cuts.days_of(core))
        also = None if self._impossible(tasks, choices) else asked
        core = self._core(tasks, choices, also)
        return Cut(tuple(core), frozenset(), None, cuts.days_of(core), sure=False)

    def _core(self, tasks: Sequence[Task], choices: Choices, asked: Asked | None) -> list[Task]:
        """Return tasks that cannot be timed together, each of which is needed for that."""
        core = list(tasks)
        for cluster in cuts.clusters(tasks):
            if self._impossible(cluster, choices, asked):
                core = cluster
                break
        for task in list(core):
            trial = [other for other in core if other is not task]
            if self._impossible(trial, choices, asked):
                core = trial
        return core

    def dearer(self, tasks: Sequence[Task], choices: Choices) -> list[Cut]:
        """Return for each group of tasks on days of their own what it costs beyond what the days say, if anything."""
        wide = [self._widened(task, choices) for task in tasks]
        found = (self._dearer(cluster, choices, True) for cluster in cuts.clusters(wide))
        sure = [cut for cut in found if cut is not None]
        if sure:
            return sure
        found = (self._dearer(cluster, choices, False) for cluster in cuts.clusters(tasks))
        return [cut for cut in found if cut is not None]

    def _dearer(self, tasks: list[Task], choices: Choices, sure: bool) -> Cut | None:
        """Return the fewest of some tasks that cost all of what they cost beyond what the days say."""
        extra, core = self._extra(tasks, choices), tasks
        if extra <= 0:
            return None
        for task in tasks:
            trial = [other for other in core if other is not task]
            if trial and self._extra(trial, choices) >= extra:
                core = trial
        return Cut(tuple(core), frozenset(), extra, cuts.days_of(core), sure)

    def _extra(self, tasks: Sequence[Task], choices: Choices) -> int:
        """Return what tasks cost at least beyond what the days say of them."""
        try:
            timed = self.timed(tasks, choices)
        except TimeoutError:
            return 0
        return 0 if timed is None else timed.bound - least_effort(choices, tasks)

    def _widened(self, task: Task, choices: Choices) -> Task:
        """Return a task that may be ready at any minute of its class, whoever eats of it."""
        if isinstance(task, BakeTask):
            if task.run.ready is None:
                return task
            return replace(task, ready=choices.moments.span(task.run.bread, task.run.ready))
        return replace(task, ready=choices.moments.span(task.way.bread, task.way.ready))


def _eased(task: Task) -> Task:
    """Return a bake that may be ready, and go into the freezer, at any time."""
    if not isinstance(task, BakeTask):
        return task
    day = None if task.run.put_day is None else ANY_DAY
    return replace(task, run=replace(task.run, put_day=day), ready=(-(10**6), 10**6))


def least_effort(choices: Choices, tasks: Sequence[Task]) -> int:
    """Return what the day level counts at least for the hands and heat-ups of tasks: runs, ways, trips, sessions."""
    priced = {variable: milli for milli, variable in choices.model.costs.get("hands", [])}
    heat_up = choices.problem.weights.heat_up
    total, free = 0, dict[tuple[str, int], bool]()
    trips: set[int] = set()
    for task in tasks:
        if isinstance(task, BakeTask):
            run = task.run
            total += run.cost + run.per_piece * task.total + run.per_frozen * task.frozen
            free[run.oven, run.session] = free.get((run.oven, run.session), False) or run.heat == FREE
        else:
            way = task.way
            total += way.cost
            trips.add(way.take_day)
            if way.oven is not None:
                free[way.oven, way.session] = free.get((way.oven, way.session), False) or way.heat == FREE
    total += sum(priced.get(choices.trips[day], 0) for day in trips)
    cold = [session for session, served in free.items() if not served]
    return total + sum(heat_up + priced.get(choices.heated[session], 0) for session in cold)
