"""Waits and spans keep their bounds; only a bake under way may be late, where it could not have gone on in time."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from rotation import facts
from rotation.going_on import GoingOn
from rotation.late import minutes_later
from rotation.minutes import Minutes
from rotation.plan import Bake, Plan, Step
from rotation.problem import Problem, Wait
from rotation.rules.broken import Broken
from rotation.rules.under_way import windows

NAME = "waits"


def minutes(m: Minutes) -> None:
    """Waits and spans keep their bounds, but after late dough; those that began in reality are `under_way`'s."""
    for task in m.bakes:
        done = m.done(task)
        overdue = any(late for *_, late in windows(m, task))
        for wait in task.process.waits:
            if wait.second in done or wait.first in done:
                continue
            shortest, longest = wait.on(task.run.day)
            since = m.starts[task.id, wait.first] if wait.whole else m.end(task, wait.first)
            waited = m.starts[task.id, wait.second] - since
            most = longest - m.to_last_load(task, wait.second)
            m.clock.between(shortest, waited, None if overdue else most)
            if overdue:  # what follows late dough is as little late as can be
                m.late(f"{task.id} {wait.first} to {wait.second}", waited, most)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the waits that are too short, or too long without a reason, and steps called late that are not."""
    for bake in plan.bakes:
        done = facts.done_steps(problem, bake)
        for first, second in pairwise(bake.steps):
            if second.name not in done and second.start < first.end:
                yield Broken(NAME, f"{bake.id} {second.name}", f"starts {first.end - second.start} min too soon")
        late, process = set(), problem.bread(bake.bread).process(bake.process)
        real = process.windows(done, bake.day)
        for wait in process.waits:
            begin, second_step = bake.step(wait.first), bake.step(wait.second)
            if begin is None or second_step is None or wait.second in done:
                continue
            shortest, longest = wait.on(bake.day)
            since = begin.start if wait.whole else begin.end
            waited = second_step.start - since
            if waited < shortest:
                yield Broken(NAME, f"{bake.id} {wait.second}", f"{waited} min after {wait.first}, at least {shortest}")
            lag = _to_last_load(bake, wait)
            deadline = since + longest - lag
            if second_step.start > deadline:
                late.add(wait.second)
                earliest, last = real.get(wait.second, (since + shortest, since + longest))
                if not _fair(problem, bake, second_step, earliest, last - lag):
                    late_by = second_step.start - deadline
                    yield Broken(NAME, f"{bake.id} {wait.second}", f"{late_by} min too late after {wait.first}")
        for name in bake.late:
            if name not in late and name != "bag":
                yield Broken(NAME, f"{bake.id} {name}", "is called late, but keeps its bounds")


def _to_last_load(bake: Bake, wait: Wait) -> int:
    """Return the minutes by which the last load starts after the first, where a wait binds loads."""
    loads = bake.stay.loads if wait.second == "oven" else ()
    return max((load.start for load in loads), default=bake.stay.start) - bake.stay.start


def _fair(problem: Problem, bake: Bake, step: Step, earliest: int, deadline: int) -> bool:
    """Say whether a step is rightly late: of a bake under way, too late from the start, or it could not be in time.

    Any may be where not all doughs can go on as if alone.
    """
    if bake.under_way is None or step.name not in bake.late:
        return False
    names = [step.name for step in bake.steps]
    after_late = any(name in bake.late for name in names[: names.index(step.name)])
    stay, process = bake.stay, problem.bread(bake.bread).process(bake.process)
    lag = max((load.start for load in stay.loads), default=stay.start) - stay.start
    acts = tuple(event.start - stay.start for event in stay.events)
    alone = GoingOn(problem, process, bake.day, bake.total, problem.oven(stay.oven), stay.end - stay.start, lag, acts)
    could = not after_late and alone.can(step.name, earliest, deadline)
    return deadline < 0 or not could or minutes_later(problem) > 0
