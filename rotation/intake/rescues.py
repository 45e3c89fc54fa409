"""Dough that is not yet as far as its next step wants: what can be done with it, each a changed problem.

A bake that is rescued goes on by a process of its own, which nothing else may be baked by: the waits that end at the
step are longer or shorter than the bread's. Dough that takes another shape goes on as the bread that it becomes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from rotation.fermentation import (
    Course,
    OutsideRange,
    fridge_equals,
    longest_retard,
    same_work,
    scaled,
    settling_minutes,
)
from rotation.happened import Happened, What
from rotation.household.reading import Home
from rotation.household.shapes import SHAPES, dough_of, shape_id, shape_of
from rotation.problem import GRID, RESCUED, Bread, Problem, Process, UnderWay, Use, Wait, of_household

MORE = 0.25
"""Share of its shortest wait that dough which is "not yet" is taken to want still, in the room (common practice, no
published source)."""

WARM_DEGC = 27.0
"""An oven with only its light on."""

COLD_AT_LEAST = 480
"""Minutes in a fridge after which dough is gone on with at the soonest, where it gets no further there: its usual
cold proof begins at 8 hours (T02)."""

HOUR = 60


@dataclass(frozen=True)
class Rescue:
    """One thing to do. id: how it is recorded; words: what a person does; then: what came of the dough."""

    id: str
    words: str
    then: str


@dataclass(frozen=True)
class Option:
    """One thing to do, planned. next: what comes first with it and when; None: the bake is given up.

    until: when that comes at the latest, as the dough allows; None: there is no limit. cost: milli more than going on
    as if the dough were ready. short: portions that meals would lack; changed: what would be other than in the plan
    kept; pieces: of what and how many it gives.
    """

    rescue: Rescue
    next: tuple[str, datetime] | None
    until: datetime | None
    pieces: tuple[str, int] | None
    cost: int
    short: int
    changed: str


RESCUES = (
    Rescue("wait", "give it the time it wants, in the room", "it is given time"),
    Rescue("warmer", "put it warmer, about 27 degC: the oven with only its light on", "it stands warmer"),
    Rescue("fridge", "cover it, into the fridge", "it went into the fridge"),
    Rescue("tin", "into a tin", "it goes into a tin"),
    Rescue("flatbread", "make flatbread of it", "it becomes flatbread"),
    Rescue("bin", "give it up", "it was given up"),
)
"""What can be done with slow dough, the plainest first."""


@dataclass(frozen=True)
class Warmth:
    """How dough goes on in a household: degC of its room and fridge, and what leavens the dough."""

    room: float
    fridge: float
    leaven: str

    @classmethod
    def of(cls, home: Home, bread: str, process: str) -> Warmth:
        """Return the warmth for dough of a bread by one of its processes."""
        kitchen, recipe = home.settings.kitchen, home.known[bread]
        leaven = next((one.leaven for one in recipe.processes if one.id == of_household(process)), "yeast")
        return cls(kitchen.room_degc, kitchen.fridge_degc, leaven)

    def warmer(self, minutes: float) -> int:
        """Return what minutes in the room are where it is warmer; as many where that is not known."""
        try:
            return min(round(minutes), scaled(minutes, self.room, WARM_DEGC, self.leaven))
        except OutsideRange:
            return round(minutes)

    def cooling(self, minutes: float, grams: int) -> int:
        """Return what minutes in the room are in the fridge, where dough goes on as long as it is warm.

        What it would need more than a cold proof for, it is given the least of that.
        """
        try:
            enough = (
                cold for cold in range(0, COLD_AT_LEAST, GRID)
                if fridge_equals(cold, grams, self.room, self.fridge, self.room, self.leaven) >= minutes
            )  # fmt: skip
            return next(enough, COLD_AT_LEAST)
        except OutsideRange:
            return COLD_AT_LEAST

    def from_cold(self, minutes: float, grams: int) -> int:
        """Return what minutes in the room are for dough that comes out of the fridge."""
        try:
            warming = Course(((0.0, self.room),), self.fridge, settling_minutes(grams))
            return round(same_work(0.0, minutes, Course.steady(self.room), warming, self.leaven))
        except OutsideRange:
            return round(minutes)


def became(rescue: str) -> str:
    """Return what came of slow dough, in words: "it went into the fridge"."""
    return next((one.then for one in RESCUES if one.id == rescue), rescue)


def chosen(happened: Iterable[Happened]) -> tuple[Happened, ...]:
    """Return what was chosen for slow dough: of each step of each bake the last choice, in the order of choosing."""
    rows = [row for row in happened if row.what is What.CHANGED and row.start is not None]
    last = {(row.thing, row.step): row for row in rows}
    return tuple(row for row in rows if last[row.thing, row.step] is row)


def another_shape(happened: Iterable[Happened], thing: str) -> str:
    """Return the shape that was chosen for the dough of a bake last, "" for none."""
    said = [row.said for row in chosen(happened) if row.thing == thing]
    return next((one for one in reversed(said) if one in SHAPES), "")


def rescued(problem: Problem, home: Home, thing: str, step: str, rescue: str, at: int) -> Problem | None:
    """Return the problem in which a bake under way is gone on with in another way since minute `at`; None: it is not.

    step: the one that is not yet due. For another shape the problem has the bread that the dough becomes.
    """
    begun = next((one for one in problem.under_way if one.id == thing), None)
    if begun is None or any(name == step for name, _, _ in begun.done):
        return None
    if rescue == "bin":
        return replace(problem, under_way=tuple(one for one in problem.under_way if one is not begun))
    if not any(stage.name == step for stage in problem.bread(begun.bread).process(begun.process).stages):
        return None
    going_on = begun
    if rescue in SHAPES and not shape_of(begun.bread):
        other = becomes(problem, begun.bread, begun.process, rescue)
        if other is None:
            return None
        bread, times = other
        going_on = replace(begun, bread=bread.id, process=of_household(begun.process), pieces=begun.pieces * times)
        names = [stage.name for stage in bread.process(going_on.process).stages]
        if step not in names[: names.index("oven")]:  # it has its shape already
            return None
    bread = problem.bread(going_on.bread)
    warmth = Warmth.of(home, bread.id, going_on.process)
    process = _changed(bread, bread.process(going_on.process), going_on, step, rescue, at, warmth)
    breads = tuple(
        replace(one, processes=(*one.processes, process)) if one.id == bread.id else one for one in problem.breads
    )
    going_on = replace(going_on, process=process.id)
    return replace(
        problem, breads=breads, under_way=tuple(going_on if one is begun else one for one in problem.under_way)
    )


def becomes(problem: Problem, bread: str, process: str, shape: str) -> tuple[Bread, int] | None:
    """Return the bread that dough becomes in another shape, and how many pieces one of its own gives; None: none."""
    id_ = next((shape_id(dough_of(bread), one) for one in SHAPES if one == shape), "")
    other = next((one for one in problem.breads if one.id == id_), None)
    if other is None or all(one.id != of_household(process) for one in other.processes):
        return None
    return other, max(1, problem.bread(dough_of(bread)).dough_grams // other.dough_grams)


def _changed(
    bread: Bread, process: Process, begun: UnderWay, step: str, rescue: str, at: int, warmth: Warmth
) -> Process:
    order = [stage.name for stage in process.stages]
    done = {name: (start, end) for name, start, end in begun.done}
    here, grams = order.index(step), begun.pieces * bread.dough_grams
    waits, uses = [], process.uses
    for wait in process.waits:
        second = order.index(wait.second)
        if wait.first not in done and rescue == "fridge" and wait.first == step and not _cold(process, wait):
            waits.append(replace(wait, bounds=tuple(_from_cold(one, bread.dough_grams, warmth) for one in wait.bounds)))
        elif wait.first not in done and rescue in SHAPES and wait.second != "oven":
            waits.append(replace(wait, bounds=tuple((0, most) for _, most in wait.bounds)))
        elif second < here or wait.first not in done:
            waits.append(wait)
        else:
            elapsed = at - done[wait.first][0 if wait.whole else 1]
            waits.append(_longer(wait, elapsed, rescue, grams, warmth, later=second > here))
    if rescue == "fridge":
        uses = (*uses, Use("fridge", order[here - 1], step))
    name = f"{of_household(process.id)}{RESCUED}, {rescue}, {begun.id}, {step}"
    return replace(process, id=name, waits=tuple(waits), uses=uses, pieces=(), unusual=())


def _cold(process: Process, wait: Wait) -> bool:
    return any(use.what == "fridge" and use.since == wait.first for use in process.uses)


def _from_cold(bounds: tuple[int, int], grams: int, warmth: Warmth) -> tuple[int, int]:
    return warmth.from_cold(bounds[0], grams), warmth.from_cold(bounds[1], grams)


def _longer(wait: Wait, elapsed: int, rescue: str, grams: int, warmth: Warmth, *, later: bool) -> Wait:
    """Return a wait that ends at the step that is not yet due, or, `later`, spans it."""
    shortest, longest = wait.bounds[0]
    if rescue in SHAPES:
        return replace(wait, bounds=((0, max(longest, elapsed + HOUR)),))
    least, most = round(MORE * shortest), round(2 * MORE * longest) + 30
    if rescue == "warmer":
        least, most = warmth.warmer(least), warmth.warmer(most)
    elif rescue == "fridge":
        least, most = warmth.cooling(least, grams), longest_retard(warmth.fridge)
    if later:
        return replace(wait, bounds=((shortest, max(longest, elapsed) + most + longest),))
    return replace(wait, bounds=((elapsed + least, max(longest, elapsed + most)),))
