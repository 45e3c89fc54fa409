"""The fixed cost of each bake on its day; bakes under way have been paid."""

from __future__ import annotations

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "bakes"


def days(c: Choices, _: Grid) -> None:
    """Price each run."""
    for index, run in enumerate(c.runs):
        if run.under_way is None:
            process = c.problem.bread(run.bread).process(run.process)
            c.model.cost(NAME, [(process.mixed_on(run.day), c.run[index])])


def score(problem: Problem, plan: Plan) -> int:
    """Return what the bakes of a plan cost."""
    new = (bake for bake in plan.bakes if bake.under_way is None)
    return sum(problem.bread(bake.bread).process(bake.process).mixed_on(bake.day) for bake in new)
