"""What a timing that failed, or cost more than the days said, teaches: the fewest tasks that are to blame, as cuts.

A cut is sure if it holds for every plan: the tasks alone, ready at any minute of their class, or late enough for a meal
that the cut names. One that hangs on what is in the freezer helps to find a plan and is never used for a bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import product

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.oven_turns import bake_turns
from rotation.problem import TABLE, Problem
from rotation.solve import cuts, shelves
from rotation.solve.counted import Counted
from rotation.solve.cuts import Cut, Eats, each_more, planned
from rotation.solve.tasks import finish_turns
from rotation.solve.timer import Timer
from rotation.solve.timing import Timed
from rotation.tasks import ANY_DAY, Asked, BakeTask, Task

Key = tuple[bool, tuple[tuple[object, ...], ...]]
"""Whether ovens are hot anyway, and which tasks."""


class Lessons:
    """Times tasks, and says what is to be learnt. `work`: deterministic limit of one timing.

    Bakes and finishes that are not looked at may do one thing for those that are: heat the oven. So each lesson is
    looked for first with ovens that are hot anyway, which holds whatever else is chosen; only then cold (`Cut.cold`).
    """

    def __init__(self, problem: Problem, grid: Grid, work: float, path: list[str]) -> None:
        self.problem = problem
        self.timer = Timer(problem, grid, work, path)
        self.known: set[Cut] = set()
        self.seen: dict[Key, Timed | TimeoutError | None] = {}
        """What came of tasks that were timed by themselves: the next lesson often asks the same."""
        self._counted: Counted | None = None

    def counted(self, choices: Choices) -> Counted:
        """Return what a choice of days counts for tasks."""
        if self._counted is None or self._counted.choices is not choices:
            self._counted = Counted(choices)
        return self._counted

    def apart(self, tasks: Sequence[Task], choices: Choices) -> list[tuple[list[Task], Timed | None]]:
        """Return the cheapest minutes of each group of tasks on days of its own, as if it were alone in the house."""
        return [(group, self.timed(group, choices)) for group in cuts.clusters(tasks)]

    def excluded(self, group: Sequence[Task], tasks: Sequence[Task], choices: Choices) -> bool:
        """Say whether a group that has no minutes alone has none among all tasks either: none of them heats for it."""
        rest = [task for task in tasks if task not in group]
        return self._impossible(group, choices, hot=True) or not any(self._near(task, rest) for task in group)

    def timed(
        self, tasks: Sequence[Task], choices: Choices, asked: Asked | None = None, *, hot: bool = False
    ) -> Timed | None:
        """Return the cheapest minutes of tasks, None if there are none; with the freezer's rules if `asked`."""
        if asked is not None:
            return self.timer.minutes(tasks, hot, choices, asked)
        key = (hot, tuple(_key(task) for task in tasks))
        if key not in self.seen:
            try:
                self.seen[key] = self.timer.minutes(tasks, hot)
            except TimeoutError as late:
                self.seen[key] = late
        found = self.seen[key]
        if isinstance(found, TimeoutError):
            raise found
        return found

    def _meant(self, cut: Cut, choices: Choices) -> Iterator[list[Task]]:
        """Yield the tasks of a cut, as they are said of all it speaks of."""
        yield list(cut.tasks)
        for index, task in enumerate(cut.tasks):
            if isinstance(task, BakeTask) and task.id in cut.whole:
                yield from ([*cut.tasks[:index], o, *cut.tasks[index + 1 :]] for o in _mixed(task, choices))

    def _impossible(self, tasks: Sequence[Task], choices: Choices, asked: Asked | None = None, *, hot: bool) -> bool:
        """Say whether it is proven that tasks have no minutes; not known within the limit is no."""
        try:
            return self.timed(tasks, choices, asked, hot=hot) is None
        except TimeoutError:
            return False

    def conflict(self, tasks: Sequence[Task], choices: Choices, asked: Asked) -> Cut:
        """Return that some tasks exclude each other, none of which can be spared."""
        cut = self._conflict(tasks, choices, asked)
        if self.timer.confirmed(cut, self._meant(cut, choices)) is cut:
            return cut
        self.seen.clear()
        cut = self._conflict(tasks, choices, asked)
        return self.timer.confirmed(cut, self._meant(cut, choices))

    def _conflict(self, tasks: Sequence[Task], choices: Choices, asked: Asked) -> Cut:
        wide, alone = [_widened(task, choices) for task in tasks], [_apart(task) for task in tasks]
        most = self._impossible(tasks, choices, hot=False)  # where that can be, all that is looser can
        for hot, some in ((True, wide), (True, alone), (False, wide), (False, alone)):
            if most and self._impossible(some, choices, hot=hot):
                core = self._core(some, choices, None, hot)
                impossible = partial(self._impossible, choices=choices, hot=hot)
                return self._lifted(core, hot, choices, impossible, mixed=True)
        core = self._core(tasks, choices, asked, True)
        return Cut(tuple(core), frozenset(), None, cuts.days_of(core), sure=False)

    def _lifted(
        self, core: list[Task], hot: bool, choices: Choices, holds: Callable[[list[Task]], bool], *, mixed: bool
    ) -> Cut:
        """Return a cut over tasks that says as much of as many choices as it can: whatever still `holds` is left open.

        mixed: whether it may be that only the pieces in all matter.
        """
        alike, whole = set[str](), set[str]()
        for index in range(len(core)):
            for ease in (_fewer, _widened):
                trial = [*core[:index], ease(core[index], choices), *core[index + 1 :]]
                core = trial if trial != core and holds(trial) else core
        for index, task in enumerate(core):
            if not isinstance(task, BakeTask):
                continue
            trial = [*core[:index], _eased(task), *core[index + 1 :]]
            if hot and holds(trial):
                alike.add(task.id)
                core = trial
            elif (
                mixed
                and task.total > 1
                and len(task.pieces) > 1
                and all(holds([*core[:index], other, *core[index + 1 :]]) for other in _mixed(task, choices))
            ):
                whole.add(task.id)
        return Cut(
            tuple(core), frozenset(alike), None, cuts.days_of(core), sure=not any(map(_shared, core)),
            eats=_eats(core), cold=not hot, whole=frozenset(whole),
        )  # fmt: skip

    def _core(self, tasks: Sequence[Task], choices: Choices, asked: Asked | None, hot: bool) -> list[Task]:
        """Return tasks that cannot be timed together, each of which is needed for that, or may heat for one that is."""
        core = list(tasks)
        for cluster in cuts.clusters(tasks):
            if self._impossible(cluster, choices, asked, hot=hot):
                core = cluster
                break
        for task in list(core):
            trial = [other for other in core if other is not task]
            if (hot or not self._near(task, trial)) and self._impossible(trial, choices, asked, hot=hot):
                core = trial
        return core

    def dearer(self, tasks: Sequence[Task], choices: Choices) -> list[Cut]:
        """Return for each group of tasks on days of their own what it costs beyond what the days say, if anything."""
        learnt = []
        for group in cuts.clusters(tasks):
            if any(self._extra(group, choices, hot) > 0 for hot in (False, True)):
                wide, alone = [_widened(task, choices) for task in group], [_apart(task) for task in group]
                kinds = (wide, alone) if alone == group else (wide, alone, group)
                for some, hot in product(kinds, (True, False)):
                    cut = self._dearer(some, choices, hot)
                    if cut is not None and cut not in self.known:
                        self.known.add(cut)
                        learnt.append(cut)
                        break
        return learnt

    def _dearer(self, tasks: list[Task], choices: Choices, hot: bool) -> Cut | None:
        """Return the fewest of some tasks that cost all of what they cost beyond what the days say."""
        extra, core = self._extra(tasks, choices, hot), tasks
        if extra <= 0:
            return None
        for task in tasks:
            trial = [other for other in core if other is not task]
            if trial and (hot or not self._near(task, trial)) and self._extra(trial, choices, hot) >= extra:
                core = trial
        counted = {task.id: task for task in core}

        def holds(trial: list[Task]) -> bool:
            fewer = sum(_spared(self.problem, counted[task.id], task) for task in trial)
            asked = [counted[task.id] for task in trial]
            return self._least(trial, choices, hot) + fewer - self.counted(choices).all(asked, hot) >= extra

        cut = self._lifted(core, hot, choices, holds, mixed=False)
        cut = replace(cut, cost=self._least(cut.tasks, choices, hot))
        return self.timer.confirmed(cut, self._meant(cut, choices))

    def _least(self, tasks: Sequence[Task], choices: Choices, hot: bool) -> int:
        """Return what tasks cost at least, 0 if that is not known."""
        try:
            timed = self.timed(tasks, choices, hot=hot)
        except TimeoutError:
            return 0
        return 0 if timed is None else timed.bound

    def _extra(self, tasks: Sequence[Task], choices: Choices, hot: bool) -> int:
        """Return what tasks cost at least beyond what the days say of them."""
        return self._least(tasks, choices, hot) - self.counted(choices).all(tasks, hot)

    def _near(self, task: Task, others: Sequence[Task]) -> bool:
        """Say whether a task may heat the oven for others, or they for it."""
        item = planned(task)
        there = [planned(other) for other in others if planned(other).oven == item.oven]
        if item.oven is None:
            return False
        oven = self.problem.oven(item.oven)
        return any(item.stay.heats(other.stay, oven) or other.stay.heats(item.stay, oven) for other in there)


def minutes_of(choices: Choices, asked: Asked) -> object:
    """Return what the minutes of a whole choice of days hang on."""
    tasks: list[Task] = [*asked.bakes, *asked.ways]
    return tuple(_key(task) for task in tasks), tuple(shelves.leaving(choices, asked))


def _key(task: Task) -> tuple[object, ...]:
    """Return what the minutes of a task hang on."""
    if isinstance(task, BakeTask):
        return task.id, task.run, task.pieces, task.ready, task.eater, task.shared
    return task.id, task.way, task.units, task.ready, task.eater


def _widened(task: Task, choices: Choices) -> Task:
    """Return a task that may be ready at any minute of its class, whoever eats of it."""
    if task.node is None:
        return task
    span = choices.moments.span(task.node[0], task.node[2])
    return _apart(replace(task, ready=span, eater=""))


def _eats(tasks: Sequence[Task]) -> frozenset[Eats]:
    """Return who eats of what, where that says when tasks must be ready."""
    return frozenset(
        Eats(task.node, task.eater, task.run.slot if isinstance(task, BakeTask) else ())
        for task in tasks
        if task.node is not None and task.eater
    )


def _apart(task: Task) -> Task:
    """Return a task that is ready for those who hang on it alone, whatever the others of its node are ready for."""
    return replace(task, shared=()) if isinstance(task, BakeTask) else task


def _shared(task: Task) -> bool:
    """Say whether when a task must be ready hangs on how much there is of other bakes, and who eats of them."""
    return isinstance(task, BakeTask) and bool(task.shared)


def _fewer(task: Task, choices: Choices) -> Task:
    """Return a task with as few pieces or units as there can be."""
    if isinstance(task, BakeTask):
        pieces = tuple((id_, 1) for id_, _ in task.pieces)
        turns = bake_turns(task.process, pieces, choices.problem.oven(task.run.oven))
        return replace(task, pieces=pieces, turns=turns)
    return replace(task, units=1, turns=task.turns[:1] and finish_turns(task.route, 1, choices, task.way.oven))


def _mixed(task: BakeTask, choices: Choices) -> Iterator[BakeTask]:
    """Yield a bake with as many pieces, of other treatments: some to the table, some frozen in one form."""
    for form in (treatment.id for treatment in task.process.treatments if treatment.id != TABLE):
        for table in range(1, task.total):
            pieces = tuple(
                (t.id, table if t.id == TABLE else task.total - table)
                for t in task.process.treatments
                if t.id in (TABLE, form)
            )
            turns = bake_turns(task.process, pieces, choices.problem.oven(task.run.oven))
            yield replace(task, pieces=pieces, turns=turns)


def _eased(task: Task) -> Task:
    """Return a bake that may be ready, and go into the freezer, at any time."""
    if not isinstance(task, BakeTask):
        return task
    day = None if task.run.put_day is None else ANY_DAY
    return replace(task, run=replace(task.run, put_day=day), ready=(-(10**6), 10**6), eater="", shared=())


def _spared(problem: Problem, more: Task, fewer: Task) -> int:
    """Return what a bake of fewer pieces costs less at least, in any minutes."""
    if not isinstance(more, BakeTask) or not isinstance(fewer, BakeTask):
        return 0
    left = dict(fewer.pieces)
    return sum(each_more(problem, more, id_) * (count - left[id_]) for id_, count in more.pieces)
