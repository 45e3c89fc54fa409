"""Each cold oven heated up; not for what is in the oven when the plan begins."""

from __future__ import annotations

from rotation import facts
from rotation.choices import Choices
from rotation.clockwork import if_true
from rotation.grid import Grid
from rotation.minutes import Minutes
from rotation.plan import Plan
from rotation.problem import Problem

NAME = "heat_ups"


def days(c: Choices, _: Grid) -> None:
    """Price each block of a session in which the oven is heated up, once."""
    c.model.cost(NAME, [(c.problem.weights.heat_up, heated) for heated in c.heated.values()])


def minutes(m: Minutes) -> None:
    """Price each stay that is heated up for."""
    for stay in m.stays:
        m.clock.cost(if_true(stay.cold, m.problem.weights.heat_up))


def score(problem: Problem, plan: Plan) -> int:
    """Return what heating up costs in a plan."""
    cold = sum(1 for stay in facts.planned_stays(problem, plan) if stay.heat == "cold")
    return cold * problem.weights.heat_up
