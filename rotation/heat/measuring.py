"""What a thermometer in the core corrects: the pace at which a bread cools, freezes and thaws, and that of its oven."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log

from rotation.heat.asked import Measured, Question
from rotation.heat.cases import BAG_DEGC, BEST, COARSE, cooled, frozen, thawed
from rotation.heat.waits import Waits

LEAST_PACE, MOST_PACE = 0.5, 2.0
"""What is measured beyond these is doubted: a thermometer, a mass or a size is wrong."""


def paces(question: Question) -> tuple[float, float, tuple[str, ...]]:
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
    thaw = 0.0 if way.place == "none" else way.thaw or Waits(question, pace_air, 1.0).thaw(way).high

    def off(pace: float) -> float:
        return Waits(question, pace_air, pace).cores(bare, thaw, BEST, COARSE)[0] - measured.core_degc

    if off(LEAST_PACE) < 0 or off(MOST_PACE) > 0:
        return None
    return float(brentq(off, LEAST_PACE, MOST_PACE, xtol=0.01))
