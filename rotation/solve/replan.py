"""Planning again against what the family was told: first with the bakes near at hand as told, then whether more is won.

A search that begins anew ends at some plan among many nearly as good, and its bakes are seldom those that were told. So
one look holds them to their days and adds none; the other is free. The better plan is kept, changes priced in.
"""

from __future__ import annotations

from collections.abc import Callable

from rotation.choices import Choices
from rotation.errors import NothingPlanned
from rotation.facts import rank
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.solve.days import Limits
from rotation.solve.planner import solve

NEAR = 7
"""Days ahead within which bakes that were told are held to their days, and none are added."""


def replan(problem: Problem, limits: Limits | None = None, progress: Callable[[str], None] | None = None) -> Plan:
    """Return the best plan found for a problem with a plan published; as `solve` where nothing was.

    Raises NothingPlanned as `solve` does.
    """
    if not problem.published:
        return solve(problem, limits, progress)
    try:
        near = solve(problem, limits, progress, shape=as_told)
    except NothingPlanned:
        return solve(problem, limits, progress)
    free = solve(problem, limits, progress)
    return min((near, free), key=lambda plan: rank(problem, plan))


def as_told(choices: Choices) -> None:
    """Keep the bakes published within the next days where they have any run left, and add none there."""
    told = {(one.bread, one.process, one.day) for one in choices.problem.published or ()}
    kept: dict[tuple[str, str, int], list[tuple[int, int]]] = {}
    for index, run in enumerate(choices.runs):
        if run.under_way is None and run.day < NEAR:
            key = run.bread, run.process, run.day
            if key in told:
                kept.setdefault(key, []).append((1, choices.run[index]))
            elif run.wish is None:
                choices.model.row(None, [(1, choices.run[index])], 0)
    for terms in kept.values():
        choices.model.row(1, terms, None)
