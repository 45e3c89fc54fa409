"""Bakes published and dropped, and new ones near at hand; none where nothing was published."""

from __future__ import annotations

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "changes"


def days(c: Choices, _: Grid) -> None:
    """Price all that was published, take off what is kept, add what is new."""
    problem = c.problem
    if problem.published is None:
        return
    prices = {(entry.bread, entry.process, entry.day): entry.price for entry in problem.published}
    c.model.cost(NAME, [], sum(prices.values()))
    new = dict(enumerate(problem.weights.changed_by_day))
    for index, run in enumerate(c.runs):
        price = prices.get((run.bread, run.process, run.day))
        if price is not None:
            c.model.cost(NAME, [(-price, c.run[index])])
        elif run.under_way is None:
            c.model.cost(NAME, [(new.get(run.day, 0), c.run[index])])


def score(problem: Problem, plan: Plan) -> int:
    """Return what the changes of a plan cost."""
    if problem.published is None:
        return 0
    kept = {(bake.bread, bake.process, bake.day) for bake in plan.bakes}
    dropped = sum(entry.price for entry in problem.published if (entry.bread, entry.process, entry.day) not in kept)
    known = {(entry.bread, entry.process, entry.day) for entry in problem.published}
    prices = dict(enumerate(problem.weights.changed_by_day))
    new = [bake for bake in plan.bakes if bake.under_way is None]
    return dropped + sum(prices.get(b.day, 0) for b in new if (b.bread, b.process, b.day) not in known)
