"""Dough that is not yet as far as its next step wants: what can be done with it, each a changed problem.

A bake that is rescued goes on by a process of its own, which nothing else may be baked by: the waits that end at the
step are longer or shorter than the bread's.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from rotation.fermentation import OutsideRange, scaled
from rotation.household.reading import Home
from rotation.problem import RESCUED, Problem, Process, UnderWay, Use, Wait

RETARD = (480, 1440)
"""Minutes that dough may stand in a fridge before it is gone on with: 8 to 24 hours, the usual cold retard."""

MORE = 0.25
"""Share of its shortest wait that dough which is "not yet" is taken to want still, in the room."""

FLAT = (15, 90)
"""Minutes from shaping to the oven for a flatbread, which wants little rise."""


WARM_DEGC = 27.0
"""An oven with only its light on."""


def quicker(home: Home) -> float:
    """Return how many times quicker dough rises where it is warmer than in a household's room."""
    try:
        return max(1.0, 60 / scaled(60, home.settings.kitchen.room_degc, WARM_DEGC, "yeast"))
    except OutsideRange:
        return 1.0


@dataclass(frozen=True)
class Rescue:
    """One thing to do. id: how it is recorded; words: what a person does."""

    id: str
    words: str


@dataclass(frozen=True)
class Option:
    """One thing to do. next: what comes first with it and when; cost: milli more than the cheapest.

    short: portions that meals would lack; changed: what would be other than in the plan kept. next None: the bake is
    given up.
    """

    rescue: Rescue
    next: tuple[str, datetime] | None
    cost: int
    short: int
    changed: str


RESCUES = (
    Rescue("wait", "give it the time it wants, in the room"),
    Rescue("warmer", "put it warmer, about 27 degC: the oven with only its light on"),
    Rescue("fridge", "cover it, into the fridge; go on when it suits"),
    Rescue("flatbread", "go on now, as flatbread or in a tin"),
    Rescue("bin", "give it up"),
)
"""What can be done with slow dough, the plainest first."""


def rescued(problem: Problem, thing: str, step: str, rescue: str, at: int, faster: float) -> Problem | None:
    """Return the problem in which a bake under way is gone on with in another way since minute `at`; None: it is not.

    step: the one that is not yet due; faster: how many times the rise is quicker where it is warmer.
    """
    begun = next((one for one in problem.under_way if one.id == thing), None)
    if begun is None or any(name == step for name, _, _ in begun.done):
        return None
    if rescue == "bin":
        return replace(problem, under_way=tuple(one for one in problem.under_way if one is not begun))
    bread = problem.bread(begun.bread)
    process = _changed(bread.process(begun.process), begun, step, rescue, at, faster)
    breads = tuple(
        replace(one, processes=(*one.processes, process)) if one.id == bread.id else one for one in problem.breads
    )
    going_on = replace(begun, process=process.id)
    return replace(
        problem, breads=breads, under_way=tuple(going_on if one is begun else one for one in problem.under_way)
    )


def _changed(process: Process, begun: UnderWay, step: str, rescue: str, at: int, faster: float) -> Process:
    order = [stage.name for stage in process.stages]
    done = {name: (start, end) for name, start, end in begun.done}
    here = order.index(step)
    waits, uses = [], process.uses
    for wait in process.waits:
        first, second = order.index(wait.first), order.index(wait.second)
        if second < here or wait.first not in done:
            flat = rescue == "flatbread" and wait.second == "oven" and first >= here and not wait.whole
            waits.append(replace(wait, bounds=(FLAT,)) if flat else wait)
            continue
        elapsed = at - done[wait.first][0 if wait.whole else 1]
        waits.append(_longer(wait, elapsed, rescue, faster, later=second > here))
    if rescue == "fridge":
        uses = (*uses, Use("fridge", order[here - 1], step))
    name = f"{process.id}{RESCUED}, {rescue}, {begun.id}"
    return replace(process, id=name, waits=tuple(waits), uses=uses, pieces=(), unusual=())


def _longer(wait: Wait, elapsed: int, rescue: str, faster: float, *, later: bool) -> Wait:
    """Return a wait that ends at the step that is not yet due, or, `later`, spans it."""
    shortest, longest = wait.bounds[0]
    if rescue == "flatbread":
        return replace(wait, bounds=((0, max(longest, elapsed + 60)),))
    least, most = round(MORE * shortest), round(2 * MORE * longest) + 30
    if rescue == "warmer":
        least, most = round(least / faster), round(most / faster)
    elif rescue == "fridge":
        least, most = RETARD
    if later:
        return replace(wait, bounds=((shortest, max(longest, elapsed) + most + longest),))
    return replace(wait, bounds=((elapsed + least, max(longest, elapsed + most)),))
