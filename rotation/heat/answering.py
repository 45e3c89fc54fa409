"""Answer what is asked of one bread: run its cases, take what was measured into account."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import exp, log

from rotation.heat.asked import Answer, Measured, PartBake, Question, Taken, Way
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
from rotation.heat.conduction import Course, Stay
from rotation.heat.crumb import BOILING_DEGC, Array
from rotation.heat.soft import LEFT_AFTER_MEASURING, Range, Where

PART_BAKED_DEGC = 96.5
"""Core at which a part-baked loaf is set (C40: 96 to 97)."""

INTO_FREEZER_DEGC, RATED_KJ_PER_KG = 25.0, 285.0
"""Bread as it is put in, and the heat of the packs a freezer is rated with, from there to -18 degC (F03)."""

FROZEN_WITHIN, FRIDGE_WITHIN, ROOM_WITHIN = 3.0, 3.0, 5.0
"""How near a core comes to its freezer, fridge or room, in K, to count as frozen through, thawed or ready to eat."""

WORKTOP_CORE_DEGC, FRIDGE_CORE_DEGC = 15.0, 0.0
"""Core of a thawed loaf: near the room's (C43), or above freezing (T04)."""

THAWED_DEGC, WARM_DEGC = 0.0, 35.0
"""What the core of a loaf finished from frozen should be at least from the oven, and when eaten: common practice."""

FIRST_PARTS = (10, 20, 30, 40, 50, 60)
"""Minutes to choose from for the first, gentle part of a finish from frozen (T06 has 10, T07 30)."""

LEAST_PACE, MOST_PACE = 0.5, 2.0
"""What is measured beyond these is doubted: a thermometer, a mass or a size is wrong."""

STILL, HOT = ("water", "bound", "freezing_degc", "k_above", "k_below", "density"), ("water", "k_above", "density")


def answer(question: Question) -> Answer:
    """Return what the model says. Raises OutsideModel for a loaf or surroundings it says nothing of."""
    air, oven, doubts = _paces(question)
    asked = _Asked(question, air, oven)
    held = body(question.loaf).crumb.tables.enthalpy_at
    given = float(held(INTO_FREEZER_DEGC) - held(question.around.freezer)) / 1000
    return Answer(
        cool=asked.cool(),
        freeze=asked.freeze(),
        kj_per_kg=given,
        load_percent=min(100, -(-round(1000 * given / RATED_KJ_PER_KG) // 10)),
        ways=tuple(asked.way(each) for each in question.ways),
        part_bake=None if question.part_bake is None else asked.part_bake(question.part_bake),
        pace_air=air,
        pace_oven=oven,
        doubts=doubts,
    )


def target_degc(question: Question, way: Way) -> float:
    """Return the core at which a loaf counts as thawed: to be finished, or to be eaten."""
    room, fridge = question.around.room_low, question.around.fridge
    if way.place == "worktop":
        return min(WORKTOP_CORE_DEGC, room - ROOM_WITHIN)
    return min(FRIDGE_CORE_DEGC, fridge - FRIDGE_WITHIN) if way.oven else fridge - FRIDGE_WITHIN


class _Asked:
    """A question, with the paces of what was measured."""

    def __init__(self, question: Question, pace_air: float, pace_oven: float) -> None:
        self.question, self.loaf, self.around = question, question.loaf, question.around
        self.air, self.oven = pace_air, pace_oven
        self.measured_air = any(each.what != "finish" for each in question.measured)
        self.measured_oven = any(each.what == "finish" for each in question.measured)

    def cool(self) -> Range:
        """Return minutes until a loaf may be bagged, in the warmest room."""
        room = self.around.room_high
        core = max(BAG_DEGC, room + ROOM_WITHIN)
        return self._time(lambda f, n: cooled(self.loaf, room, core, f, n), HOT, ["rack"], "cooling")

    def freeze(self) -> Range:
        """Return minutes until frozen through."""
        cold = self.around.freezer
        core = cold + FROZEN_WITHIN
        return self._time(
            lambda f, n: frozen(self.loaf, BAG_DEGC - 5, cold, core, f, n), STILL, ["freezer"], "freezing"
        )

    def way(self, way: Way) -> Taken:
        """Return what is to be said of a way, its first part the model's own where that is left open."""
        thaw = None if way.place == "none" or way.thaw is not None else self._thaw(way)
        if not way.oven:
            core = None if way.thaw is None else self._cores(way, way.thaw)[0]
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
            if core.low >= THAWED_DEGC and eaten.low >= WARM_DEGC:
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
        return self._time(course, HOT, list(kinds), "part-baking", oven=True)

    def cores(self, way: Way, thaw_minutes: float, figures: Figures, fineness: Fineness) -> tuple[float, float]:
        """Return the core after thawing and the oven, and after standing."""
        start: float | Array = self.around.freezer
        if way.place != "none":
            stay = figures.air(way.place, self._degc(way), thaw_minutes / self.air, self.loaf.bare)
            start = through(self.loaf, start, [stay], figures, fineness).end
        parts = [self._heat(figures, degc, minutes / self.oven) for degc, minutes in way.oven]
        out = through(self.loaf, start, parts, figures, fineness)
        if not way.stand:
            return out.core, out.core
        stand = figures.air("rack", self.around.room_low, way.stand / self.oven)
        return out.core, through(self.loaf, out.end, [stand], figures, fineness).core

    def _thaw(self, way: Way) -> Range:
        where: Where = "fridge" if way.place == "fridge" else "worktop"
        degc, core, cold = self._degc(way), target_degc(self.question, way), self.around.freezer
        return self._time(lambda f, n: thawed(self.loaf, cold, where, degc, core, f, n), STILL, [where], "thawing")

    def _cores(self, way: Way, thaw_minutes: float) -> tuple[Range, Range]:
        """Return the core out of the oven and after standing; never colder than the freezer, nor above boiling."""
        out, eaten = ranged(lambda f, n: self.cores(way, thaw_minutes, f, n), STILL, [self._oven_kind], self.loaf)
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


def _paces(question: Question) -> tuple[float, float, tuple[str, ...]]:
    """Return how many times as long things take in air and in the oven as the model says, by what was measured."""
    air: list[float] = []
    oven: list[float] = []
    doubts: list[str] = []
    for measured in (each for each in question.measured if each.what != "finish"):
        _take(air, doubts, measured, _air_pace(question, measured))
    pace = exp(sum(map(log, air)) / len(air)) if air else 1.0
    for measured in (each for each in question.measured if each.what == "finish"):
        _take(oven, doubts, measured, _oven_pace(question, measured, pace))
    return pace, exp(sum(map(log, oven)) / len(oven)) if oven else 1.0, tuple(doubts)


def _take(paces: list[float], doubts: list[str], measured: Measured, pace: float | None) -> None:
    if pace is not None and LEAST_PACE <= pace <= MOST_PACE:
        paces.append(pace)
        return
    doubts.append(
        f"a core of {measured.core_degc:g} degC measured at the {measured.what} is further off than the model can be: "
        "not counted. Look at the thermometer, and at the loaf's mass and size."
    )


def _air_pace(question: Question, measured: Measured) -> float | None:
    """Return measured over modelled time to the core that was measured; None if it cannot be reached."""
    loaf, degc, core = question.loaf, measured.degc, measured.core_degc
    if measured.what == "cool":
        course = cooled(loaf, degc, core, BEST, COARSE)
    elif measured.what == "freeze":
        course = frozen(loaf, BAG_DEGC - 5, degc, core, BEST, COARSE)
    else:
        course = thawed(loaf, question.around.freezer, measured.where, degc, core, BEST, COARSE)
    return measured.minutes / course.reached if course.reached else None


def _oven_pace(question: Question, measured: Measured, pace_air: float) -> float | None:
    """Return the pace at which a way's finish ends with the core that was measured; None if none does."""
    from scipy.optimize import brentq

    way = next((each for each in question.ways if each.id == measured.way and each.oven), None)
    if way is None:
        return None
    bare = replace(way, stand=0)
    thaw = 0.0 if way.place == "none" else way.thaw or _Asked(question, pace_air, 1.0)._thaw(way).high

    def off(pace: float) -> float:
        return _Asked(question, pace_air, pace).cores(bare, thaw, BEST, COARSE)[0] - measured.core_degc

    if off(LEAST_PACE) < 0 or off(MOST_PACE) > 0:
        return None
    return float(brentq(off, LEAST_PACE, MOST_PACE, xtol=0.01))
