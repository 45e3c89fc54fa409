"""Solving again: a changed problem, or plans of a shape, each plan proven to keep every rule before it is used."""

from __future__ import annotations

from dataclasses import replace

from rotation.costs import scores
from rotation.errors import NothingPlanned
from rotation.facts import rank
from rotation.plan import KeptWish, Plan
from rotation.problem import Problem
from rotation.rules.checked import broken, prove
from rotation.solve import Limits, Shape, solve

NEAR = Limits(quick=0.5, better=0.0, days=0.5, minutes=1.0, mends=4, rounds=1)
"""Work for choosing a few days anew."""

SOON = replace(NEAR, days=0.2)
"""Work for an answer that is only the first."""

MORE = Limits(quick=1.0, better=0.0, days=2.0, minutes=2.0, mends=12, rounds=1)
"""Work for a second attempt, where nothing was found."""

FIRST = replace(NEAR, days=0.0)
"""Work for a first plan, and no bound."""


def best(
    problem: Problem, shape: Shape | None = None, *, start: Plan | None = None, work: Limits = NEAR
) -> Plan | None:
    """Return the best plan found of a shape, None if there is none. start: a plan to better.

    Raises CheckFailed for a plan that breaks a rule: a fault of the program; `Stopped` if Ctrl-C ended it.
    """
    try:
        plan = solve(problem, work, shape=shape, start=start)
    except NothingPlanned:
        return None
    prove(problem, plan)
    return plan


def better(problem: Problem, plan: Plan, other_problem: Problem, other: Plan, least: int = 1) -> bool:
    """Say whether a plan is better than another: fewer wishes dropped, then guests less short, then `least` cheaper."""
    new, old = rank(problem, plan), rank(other_problem, other)
    return new[:2] < old[:2] or (new[:2] == old[:2] and new[2] <= old[2] - least)


def priced(problem: Problem, plan: Plan) -> Plan | None:
    """Return a plan of another problem as one of this one, with its cost; None if it breaks a rule here."""
    answers = {answer.wish: answer for answer in plan.wishes}
    wishes = tuple(answers.get(wish.id, KeptWish(wish.id, True)) for wish in problem.wishes)
    here = replace(plan, wishes=wishes)
    return None if broken(problem, here) else replace(here, terms=scores(problem, here))
