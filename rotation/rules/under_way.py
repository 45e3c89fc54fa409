"""A bake that has begun goes on as it really is: bread, process, pieces, the real minutes of what is done.

Once it is in the oven, what becomes of each piece is decided too.
"""

from __future__ import annotations

from collections.abc import Iterator

from rotation.choices import Choices
from rotation.going_on import GoingOn
from rotation.late import minutes_later
from rotation.minutes import Minutes
from rotation.oven_turns import events
from rotation.plan import Bake, Plan
from rotation.problem import Problem, UnderWay
from rotation.rules.broken import Broken
from rotation.tasks import BakeTask

NAME = "under_way"


def days(c: Choices) -> None:
    """Every bake that has begun goes on in one of its runs."""
    for begun in c.problem.under_way:
        c.model.row(1, [(1, c.run[i]) for i, run in enumerate(c.runs) if run.under_way == begun.id], 1)
        _decided(c, begun)


def _decided(c: Choices, begun: UnderWay) -> None:
    """In each run that the bake may go on in, the pieces are as the oven decided; other runs are none."""
    counts = dict(begun.fixed)
    for index, run in enumerate(c.runs):
        if run.under_way != begun.id or not counts:
            continue
        known = {id_: variable for (of, id_), variable in c.pieces.items() if of == index}
        for id_, variable in known.items():
            c.model.row(0, [(1, variable), (-counts.get(id_, 0), c.run[index])], 0)
        if not counts.keys() <= known.keys():
            c.model.row(0, [(1, c.run[index])], 0)


def minutes(m: Minutes) -> None:
    """Steps keep the waits that began in reality; where they cannot, even alone, they come as soon as can be."""
    for task in m.bakes:
        for name, earliest, deadline, late in windows(m, task):
            start = m.starts[task.id, name]
            m.clock.between(earliest, start, None)
            if late:
                m.late(f"{task.id} {name}", start, deadline)
            else:  # other jobs give way
                m.clock.between(None, start, deadline)


def windows(m: Minutes, task: BakeTask) -> Iterator[tuple[str, int, int, bool]]:
    """Yield the steps whose waits began in reality: since when and until when they may begin, and whether they cannot.

    From the first that cannot on, all of them are late; all, where not all doughs can go on as if alone.
    """
    late = minutes_later(m.problem) > 0
    oven, lag = m.problem.oven(task.run.oven), task.turns[-1].start
    acts = tuple(event.offset for event in events(task.turns, task.process.programme))
    alone = GoingOn(m.problem, task.process, task.run.day, task.total, oven, task.length, lag, acts)
    for name, (earliest, last) in task.process.windows(m.done(task), task.run.day).items():
        deadline = last - m.to_last_load(task, name)
        late = late or deadline < 0 or not alone.can(name, earliest, deadline)
        yield name, earliest, deadline, late


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the bakes under way that a plan forgets, doubles or changes."""
    for begun in problem.under_way:
        continued = [bake for bake in plan.bakes if bake.under_way == begun.id]
        if len(continued) != 1:
            yield Broken(NAME, begun.id, f"is continued by {len(continued)} bakes")
        for bake in continued:
            yield from _changed(begun, bake)


def _changed(begun: UnderWay, bake: Bake) -> Iterator[Broken]:
    was, now = (begun.bread, begun.process, begun.pieces), (bake.bread, bake.process, bake.total)
    if was != now:
        yield Broken(NAME, begun.id, f"was {was}, is {now}")
    if begun.fixed and bake.pieces != begun.fixed:
        yield Broken(NAME, begun.id, f"was to become {begun.fixed}, becomes {bake.pieces}")
    for name, start, end in begun.done:
        step = bake.step(name)
        if step is None or (step.start, step.end, step.who) != (start, end, None):
            yield Broken(NAME, f"{begun.id} {name}", f"was done from {start} to {end}, the plan says {step}")
