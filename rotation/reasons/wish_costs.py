"""What keeping each wish of the family costs: the plan against the best one found without that wish."""

from __future__ import annotations

from dataclasses import replace

from rotation.facts import rank
from rotation.plan import KeptWish, Plan
from rotation.problem import Problem, Wish
from rotation.reasons.again import best, priced
from rotation.reasons.held import nothing_new

MOST = 8
"""Wishes that are priced; of more, the last ones' cost is not known. Each takes about a second."""


def with_costs(problem: Problem, plan: Plan) -> Plan:
    """Return a plan that says of every kept wish what keeping it costs, in milli, as far as was looked: near the wish.

    Raises CheckFailed for a plan that breaks a rule: a fault of the program; `Stopped` if Ctrl-C ended it.
    """
    wishes = {wish.id: wish for wish in problem.wishes}
    answers = list[KeptWish]()
    for number, answer in enumerate(plan.wishes):
        looked_at = answer.kept and number < MOST
        answers.append(replace(answer, cost=_cost(problem, plan, wishes[answer.wish])) if looked_at else answer)
    return replace(plan, wishes=tuple(answers))


def _cost(problem: Problem, plan: Plan, wish: Wish) -> int | None:
    """Return what the best plan without a wish costs less; None where it makes up for more than cost.

    A step that stands where only its wish lets it, out of somebody's free hours, is no plan to begin with.
    """
    other = replace(problem, wishes=tuple(one for one in problem.wishes if one.id != wish.id))
    days = range(problem.day_of(wish.at) - 1, problem.day_of(wish.until) + 2)
    found = best(other, nothing_new(plan, days), start=priced(other, plan))
    if found is None:
        return 0
    without = replace(plan, wishes=tuple(one for one in plan.wishes if one.wish != wish.id))
    if rank(other, found)[:2] < rank(other, without)[:2]:
        return None
    return max(0, plan.total - found.total)
