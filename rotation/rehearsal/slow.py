"""Dough that is late: the household finds out when it would shape, and goes on by a process of longer waits."""

from __future__ import annotations

from dataclasses import replace

from rotation.problem import RESCUED, Process, Use, of_household

FRIDGE, AT_ONCE = "fridge", "at once"
RESCUES = (FRIDGE, AT_ONCE)
"""What is tried with dough that no plan can go on with, before it is given up."""

RETARD = (480, 1440)
"""Minutes that dough stands in a fridge: the usual cold proof, 8 to 24 hours (T02)."""

LEAST_PROOF = 30
"""Minutes from shaping to the oven of dough that goes on at once: a flat loaf."""

PATIENCE = 60
"""Minutes that late dough may stand once it is ready, at least."""


def looked_at(process: Process) -> str:
    """Return the step at which late dough shows: the last one before the oven that comes after the mix."""
    names = [stage.name for stage in process.stages]
    before = names[names.index("mix") + 1 : names.index("oven")]
    return before[-1] if before else "oven"


def as_on(process: Process, day: int, bake: str) -> Process:
    """Return the process of a bake mixed on a day, with the waits of that day alone: it takes them along.

    Where the days after have others it is a process of its own.
    """
    waits = tuple(replace(wait, bounds=(wait.on(day),)) for wait in process.waits)
    same = all(wait.on(day) == wait.on(later) for wait in process.waits for later in (day + 1, day + 2))
    name = process.id if same else f"{of_household(process.id)}{RESCUED}, warm as when mixed, {bake}"
    return replace(process, id=name, waits=waits)


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
    name = f"{of_household(process.id)}{RESCUED}, {minutes} min late, {bake}"
    return replace(process, id=name, waits=tuple(waits), unusual=())


def rescued(process: Process, done: dict[str, tuple[int, int]], step: str, at: int, rescue: str, bake: str) -> Process:
    """Return the process by which dough goes on that no hands are there for in time: in the fridge, or at once.

    The choice a household has is richer (rotation/intake/rescues.py): here the dough stays the bread it is.
    """
    order = [stage.name for stage in process.stages]
    here, waits, uses = order.index(step), [], process.uses
    for wait in process.waits:
        shortest, longest = wait.bounds[0]
        if order.index(wait.second) < here:
            waits.append(wait)
        elif wait.first not in done:
            quick = rescue == AT_ONCE and wait.second == "oven" and not wait.whole
            waits.append(replace(wait, bounds=((min(shortest, LEAST_PROOF), longest),)) if quick else wait)
        else:
            waited = at - done[wait.first][0 if wait.whole else 1]
            low, high = (0, PATIENCE) if rescue == AT_ONCE else RETARD
            if wait.second != step:
                waits.append(replace(wait, bounds=((min(shortest, waited), longest + high + longest),)))
            else:
                waits.append(replace(wait, bounds=((waited + low, max(longest, waited + high)),)))
    if rescue == FRIDGE:
        uses = (*uses, Use("fridge", order[here - 1], step))
    name = f"{of_household(process.id)}{RESCUED}, {rescue}, {step}, {bake}, {at}"  # it may be rescued once more
    return replace(process, id=name, waits=tuple(waits), uses=uses, unusual=())
