"""Dough that is late: the household finds out when it would shape, and goes on by a process of longer waits."""

from __future__ import annotations

from dataclasses import replace

from rotation.problem import RESCUED, Process

PATIENCE = 60
"""Minutes that late dough may stand once it is ready, at least."""


def looked_at(process: Process) -> str:
    """Return the step at which late dough shows: the last one before the oven that comes after the mix."""
    names = [stage.name for stage in process.stages]
    before = names[names.index("mix") + 1 : names.index("oven")]
    return before[-1] if before else "oven"


def slower(process: Process, done: dict[str, tuple[int, int]], step: str, at: int, minutes: int, bake: str) -> Process:
    """Return the process by which a bake goes on whose dough wants `minutes` more from minute `at` on.

    done: its steps so far, with their minutes.
    """
    order = [stage.name for stage in process.stages]
    here, waits = order.index(step), []
    for wait in process.waits:
        if order.index(wait.second) < here or wait.first not in done:
            waits.append(wait)
            continue
        shortest, longest = wait.bounds[0]
        if wait.second == step:
            waited = at - done[wait.first][0 if wait.whole else 1] + minutes
            waits.append(replace(wait, bounds=((waited, max(longest, waited) + PATIENCE),)))
        else:
            waits.append(replace(wait, bounds=((shortest, longest + minutes + PATIENCE),)))
    name = f"{process.id}{RESCUED}, {minutes} min late, {bake}"
    return replace(process, id=name, waits=tuple(waits), unusual=())
