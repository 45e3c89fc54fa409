"""Planning again what was told before: what the family knows comes first, what is better has to be worth the change."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from calendars.text import clean
from rotation.errors import NothingPlanned
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.reasons.held import baked_as_told
from rotation.solve import Limits, solve
from rotation.words import listed

UNDER_WAY = "Under way: {}. Say what is done already: rotation done STEP. Or see what can be done: rotation later STEP."
"""What to do where what is under way cannot be gone on with."""

Progress = Callable[[str], None]
"""Told in words how the solving goes on."""


def solved(problem: Problem, limits: Limits, progress: Progress | None = None) -> Plan:
    """Return a plan: where one was told, the best found that bakes as told, or what is better than that.

    So what is changed of what the family knows is worth its price, and is no accident of where the search began. What
    is better gets half of the work where the first left something open. Raises NothingPlanned, with what a family can
    do about what is under way, and Stopped as `solve`.
    """
    start, tell = None, progress or (lambda _: None)
    if problem.published:
        with suppress(NothingPlanned):  # where a bake that was told is no longer possible
            start = solve(problem, limits, lambda said: tell(f"baked as told: {said}"), shape=baked_as_told(problem))
    if start is not None and start.status != "optimal":
        limits = replace(limits, days=limits.days / 2, better=limits.better / 2)
    try:
        return solve(problem, limits, progress, start=start)
    except NothingPlanned as nothing:
        if not problem.under_way:
            raise
        names = listed(sorted({clean(problem.bread(one.bread).name, 40) for one in problem.under_way}))
        raise NothingPlanned(f"{nothing} {UNDER_WAY.format(names)}") from nothing
