"""What was published and is dropped or moved, and new bakes near at hand; nothing where nothing was published."""

from __future__ import annotations

from rotation import facts
from rotation.choices import Choices
from rotation.clockwork import Sum, if_true
from rotation.grid import Grid
from rotation.minutes import Minutes
from rotation.moments import Moments
from rotation.plan import Plan
from rotation.problem import Problem, PublishedWay

NAME = "changes"


def days(c: Choices, _: Grid) -> None:
    """Price all that was published, take off what is kept on its day, add what is new.

    A run that can only be in the oven at other hours than were told has at least that step moved.
    """
    problem = c.problem
    if problem.published is None:
        return
    told = {(entry.bread, entry.process, entry.day): entry for entry in problem.published}
    c.model.cost(NAME, [], sum(entry.price for entry in told.values()))
    new = dict(enumerate(problem.weights.changed_by_day))
    for index, run in enumerate(c.runs):
        entry = told.get((run.bread, run.process, run.day))
        if entry is not None:
            oven = dict(entry.starts).get("oven", run.stay.first)
            moved = 0 if run.under_way or run.stay.first <= oven <= run.stay.last else entry.moved
            c.model.cost(NAME, [(moved - entry.price, c.run[index])])
        elif run.under_way is None:
            c.model.cost(NAME, [(new.get(run.day, 0), c.run[index])])
    for number, way in enumerate(problem.published_ways):
        ready = c.moments.class_of(way.bread, way.ready)
        same = [(1, c.way[index]) for index, of in enumerate(c.ways) if _is(way, of.bread, of.route, of.take_day)
                and of.ready == ready]  # fmt: skip
        gone = c.model.flow(0, 1, f"published way {number} gone")
        c.model.row(1, [(1, gone), *same], None)
        c.model.cost(NAME, [(way.price, gone)])


def minutes(m: Minutes) -> None:
    """Price what keeps its day and not its minutes. Of one key there is at most one bake, and one way to one moment."""
    for entry in m.problem.published or ():
        for task in m.bakes:
            key = (task.run.bread, task.run.process, task.run.day)
            if task.run.under_way is None and key == (entry.bread, entry.process, entry.day):
                for step, at in entry.starts:
                    if (task.id, step) in m.starts:
                        _moved(m, m.starts[task.id, step], at, entry.moved)
    if not m.problem.published_ways:
        return
    moments = Moments(m.problem)
    for way in m.problem.published_ways:
        for of in m.ways:
            mine = _is(way, of.way.bread, of.way.route, of.way.take_day)
            if mine and of.way.ready == moments.class_of(way.bread, way.ready):
                _moved(m, m.starts.get((of.id, "in"), m.starts[of.id, "out"]), way.at, way.price)


def _moved(m: Minutes, start: Sum, at: int, price: int) -> None:
    moved = m.clock.literal(f"moved from {at}")
    m.clock.between(at, start, at, when=[~moved])
    m.clock.cost(if_true(moved, price))


def _is(way: PublishedWay, bread: str, route: str, day: int) -> bool:
    return (way.bread, way.route, way.day) == (bread, route, day)


def score(problem: Problem, plan: Plan) -> int:
    """Return what the changes of a plan cost."""
    if problem.published is None:
        return 0
    kept = {(bake.bread, bake.process, bake.day): bake for bake in plan.bakes if bake.under_way is None}
    known = {(entry.bread, entry.process, entry.day) for entry in problem.published}
    total = 0
    for entry in problem.published:
        bake = kept.get((entry.bread, entry.process, entry.day))
        if bake is None:
            under_way = any((b.bread, b.process, b.day) == (entry.bread, entry.process, entry.day) for b in plan.bakes)
            total += 0 if under_way else entry.price
        else:
            steps = {step.name: step.start for step in bake.steps}
            total += entry.moved * sum(steps[name] != at for name, at in entry.starts if name in steps)
    prices = dict(enumerate(problem.weights.changed_by_day))
    total += sum(prices.get(day, 0) for bread, process, day in kept if (bread, process, day) not in known)
    moments = Moments(problem)
    return total + sum(way.price for way in problem.published_ways if not _held(problem, moments, plan, way))


def _held(problem: Problem, moments: Moments, plan: Plan, way: PublishedWay) -> bool:
    """Say whether a plan has the way on its day, at its minute, for the same meals."""
    wanted = moments.class_of(way.bread, way.ready)
    for out in plan.take_outs:
        finish = facts.finish_of(plan, out)
        at, ready = (finish.stay.start, finish.ready) if finish else (out.at, out.ready)
        same = _is(way, out.bread, out.route, problem.day_of(out.at)) and at == way.at
        if same and moments.class_of(way.bread, ready) == wanted:
            return True
    return False
