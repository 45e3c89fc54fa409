"""The waits of one bread: its cases run, with their ranges, at the pace at which things happen there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from rotation.heat.asked import PartBake, Question, Taken, Way
from rotation.heat.cases import (
    BAG_DEGC,
    BEST,
    COARSE,
    Figures,
    Fineness,
    body,
    cooled,
    frozen,
    ranged,
    thawed,
    through,
    until,
)
from rotation.heat.conduction import Course, Stay, run
from rotation.heat.crumb import BOILING_DEGC, Array
from rotation.heat.soft import LEFT_AFTER_MEASURING, Range, Where

PART_BAKED_DEGC = 96.5
"""Core at which a part-baked loaf is set (C40: 96 to 97)."""

FROZEN_WITHIN, FRIDGE_WITHIN, ROOM_WITHIN = 3.0, 3.0, 5.0
"""How near a core comes to its freezer, fridge or room, in K, to count as frozen through, thawed or ready to eat."""

WORKTOP_CORE_DEGC, FRIDGE_CORE_DEGC = 15.0, 0.0
"""Core of a thawed loaf: near the room's (C43), or above freezing (T04)."""

THAWED_DEGC, WARM_DEGC = 0.0, 35.0
"""What the core of a loaf finished from frozen is to be at least: from the oven, and then or when eaten (custom)."""

FIRST_PARTS = (10, 20, 30, 40, 50, 60)
"""Minutes to choose from for the first, gentle part of a finish from frozen (T06 has 10, T07 30)."""

COOLING = ("k_above", "density")
FREEZING = ("water", "freezing_degc", "k_below", "density")
THAWING = ("water", "freezing_degc", "k_above", "density")
BAKING = ("water", "k_above", "density")
"""What matters of the crumb in each case; the others together move the ends of a range by less than a fortieth."""


class Waits:
    """The waits of one question. pace_air, pace_oven: how many times as long things take as the model alone says."""

    def __init__(self, question: Question, pace_air: float, pace_oven: float) -> None:
        self.question, self.loaf, self.around = question, question.loaf, question.around
        self.air, self.oven = pace_air, pace_oven
        self._likely: dict[tuple[str, float, Fineness], Array] = {}
        self.measured_air, self.measured_oven = pace_air != 1, pace_oven != 1

    def cool(self) -> Range:
        """Return minutes until a loaf may be bagged, in the warmest room."""
        room = self.around.room_high
        core = max(BAG_DEGC, room + ROOM_WITHIN)
        return self._time(lambda f, n: cooled(self.loaf, room, core, f, n), COOLING, ["rack"], "cooling")

    def freeze(self) -> Range:
        """Return minutes until frozen through."""
        cold = self.around.freezer
        core = cold + FROZEN_WITHIN
        return self._time(
            lambda f, n: frozen(self.loaf, BAG_DEGC - 5, cold, core, f, n), FREEZING, ["freezer"], "freezing"
        )

    def way(self, way: Way) -> Taken:
        """Return what is to be said of a way, its first part the model's own where that is left open."""
        thaw = None if way.place == "none" or way.thaw is not None else self.thaw(way)
        if not way.oven:
            core = None if way.thaw is None else self._thawed_core(way, way.thaw)
            return Taken(way.id, thaw, (), core, core)
        minutes = thaw.high if thaw else float(way.thaw or 0)
        if not way.open:
            return Taken(way.id, thaw, way.oven, *self._cores(way, minutes))
        return Taken(way.id, thaw, *self._opened(way))

    def _opened(self, way: Way) -> tuple[tuple[tuple[int, int], ...], Range, Range]:
        """Return a finish from frozen, its first part the shortest that leaves no ice in the core, and the cores."""
        for first in FIRST_PARTS:
            tried = replace(way, oven=((way.oven[0][0], first), *way.oven[1:]))
            if first < FIRST_PARTS[-1] and self.cores(tried, 0.0, BEST, COARSE)[0] < THAWED_DEGC:
                continue
            core, eaten = self._cores(tried, 0.0)
            if core.low >= THAWED_DEGC and max(core.low, eaten.low) >= WARM_DEGC:
                break
        return tried.oven, core, eaten

    def part_bake(self, bake: PartBake) -> Range:
        """Return minutes until the core is set."""

        def course(figures: Figures, fineness: Fineness) -> Course:
            stays = [
                figures.air("covered", part.degc, part.minutes / self.oven)
                if part.covered
                else self._heat(figures, part.degc, part.minutes / self.oven)
                for part in bake.parts
            ]
            return through(self.loaf, bake.dough_degc, stays, figures, fineness, PART_BAKED_DEGC)

        kinds: dict[Where, None] = {"covered" if part.covered else self._oven_kind: None for part in bake.parts}
        return self._time(course, BAKING, list(kinds), "part-baking", oven=True)

    def cores(self, way: Way, thaw_minutes: float, figures: Figures, fineness: Fineness) -> tuple[float, float]:
        """Return the core after the oven, and after standing, of a loaf as it likely is after its thaw."""
        made = body(self.loaf, figures, fineness)
        start = made.crumb.tables.enthalpy_at(self._lain(way, thaw_minutes, BEST, fineness))
        parts = [self._heat(figures, degc, minutes / self.oven) for degc, minutes in way.oven]
        stand = [figures.air("rack", self.around.room_low, way.stand / self.oven)] if way.stand else []
        course = run(made, start, [*parts, *stand], tolerance=fineness.tolerance)
        return float(np.interp(sum(part.minutes for part in parts), course.minutes, course.core_degc)), course.core

    def _lain(self, way: Way, minutes: float, figures: Figures, fineness: Fineness) -> Array:
        """Return the degC of each piece of a loaf from the freezer after some minutes in its place."""
        key = (way.place, minutes, fineness)
        if figures is not BEST or key not in self._likely:
            made = body(self.loaf, figures, fineness)
            held = made.uniform(self.around.freezer)
            if way.place != "none":
                stay = figures.air(way.place, self._degc(way), minutes / self.air, self.loaf.bare)
                held = run(made, held, [stay], tolerance=fineness.tolerance).end
            degc = made.crumb.tables.degc_at(held)
            if figures is not BEST:
                return degc
            self._likely[key] = degc
        return self._likely[key]

    def _thawed_core(self, way: Way, minutes: float) -> Range:
        where: Where = "fridge" if way.place == "fridge" else "worktop"
        (found,) = ranged(lambda f, n: (float(self._lain(way, minutes, f, n)[0]),), THAWING, [where], self.loaf)
        return found.narrowed(LEFT_AFTER_MEASURING) if self.measured_air else found

    def thaw(self, way: Way) -> Range:
        """Return minutes until a loaf is thawed in the way's place."""
        where: Where = "fridge" if way.place == "fridge" else "worktop"
        degc, core, cold = self._degc(way), target_degc(self.question, way), self.around.freezer
        return self._time(lambda f, n: thawed(self.loaf, cold, where, degc, core, f, n), THAWING, [where], "thawing")

    def _cores(self, way: Way, thaw_minutes: float) -> tuple[Range, Range]:
        """Return the core out of the oven and after standing; never colder than the freezer, nor above boiling."""
        out, eaten = ranged(lambda f, n: self.cores(way, thaw_minutes, f, n), THAWING, [self._oven_kind], self.loaf)
        return self._bounded(out), self._bounded(eaten)

    def _bounded(self, core: Range) -> Range:
        most = max(BOILING_DEGC, core.best)
        core = Range(max(core.low, self.around.freezer), core.best, min(core.high, most))
        return core.narrowed(LEFT_AFTER_MEASURING) if self.measured_oven else core

    def _time(
        self,
        course: Callable[[Figures, Fineness], Course],
        crumb: Sequence[str],
        wheres: Sequence[Where],
        what: str,
        *,
        oven: bool = False,
    ) -> Range:
        (found,) = ranged(lambda f, n: (until(course(f, n), what),), crumb, wheres, self.loaf)
        measured, pace = (self.measured_oven, self.oven) if oven else (self.measured_air, self.air)
        found = found.narrowed(LEFT_AFTER_MEASURING) if measured else found
        return Range(found.low * pace, found.best * pace, found.high * pace)

    @property
    def _oven_kind(self) -> Where:
        return "oven" if self.around.fan_lower is None else "fan oven"

    def _heat(self, figures: Figures, degc: float, minutes: float) -> Stay:
        """Return a stay on a bare rack; degC as an oven without a fan is set."""
        return figures.air(self._oven_kind, degc - (self.around.fan_lower or 0), minutes)

    def _degc(self, way: Way) -> float:
        return self.around.fridge if way.place == "fridge" else self.around.room_low


def target_degc(question: Question, way: Way) -> float:
    """Return the core at which a loaf counts as thawed: to be finished, or to be eaten."""
    room, fridge = question.around.room_low, question.around.fridge
    if way.place == "worktop":
        return min(WORKTOP_CORE_DEGC, room - ROOM_WITHIN)
    return min(FRIDGE_CORE_DEGC, fridge - FRIDGE_WITHIN) if way.oven else fridge - FRIDGE_WITHIN
