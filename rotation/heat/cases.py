"""What may happen to a loaf: it cools, freezes through, thaws, is baked or finished. Times and cores with ranges.

Each case runs once on a fine mesh; its range comes from coarse runs in which one soft figure after the other goes to
its ends, their effects added in squares.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import sqrt

import numpy as np

from rotation.heat.conduction import TOLERANCE, Body, Course, Stay, run
from rotation.heat.crumb import Array, Crumb
from rotation.heat.mesh import Mesh, radial, spheroid
from rotation.heat.shape import Loaf, brick, refuse
from rotation.heat.soft import CRUMB, DRIFT_DEGC, SURFACE, OutsideModel, Range, Where

HORIZON_MINUTES = 96 * 60.0
HOT_DEGC, BAG_DEGC = 98.0, 35.0
"""Core of a loaf from the oven, and when it may be bagged: lukewarm (common practice, no published source)."""


@dataclass(frozen=True)
class Fineness:
    """How finely a body is cut, from core to surface (of a tin, twice as finely) and around, and time is stepped."""

    shells: int
    rays: int
    tolerance: float = TOLERANCE


FINE, COARSE = Fineness(20, 8), Fineness(8, 3, 8 * TOLERANCE)


@dataclass(frozen=True)
class Figures:
    """The figures of one run: of the crumb by name, where they are not the best guess.

    surface: factor on the heat at a surface; off_degc: added to its surroundings.
    """

    crumb: Mapping[str, float] = field(default_factory=dict)
    surface: Mapping[Where, float] = field(default_factory=dict)
    off_degc: Mapping[Where, float] = field(default_factory=dict)

    def of(self, name: str) -> float:
        """Return a figure of the crumb."""
        return self.crumb.get(name, CRUMB[name].best)

    def air(self, where: Where, degc: float, minutes: float = HORIZON_MINUTES, bare: float = 1.0) -> Stay:
        """Return a stay somewhere. bare: share of the surface that meets the air."""
        h = SURFACE[where].best * self.surface.get(where, 1.0)
        return Stay(minutes, degc + self.off_degc.get(where, 0.0), bare * h)


BEST = Figures()


def body(loaf: Loaf, figures: Figures = BEST, fineness: Fineness = FINE) -> Body:
    """Return a loaf as a body. Raises OutsideModel."""
    refuse(loaf)
    density = loaf.usual_density * (1.0 if loaf.sides_cm else figures.of("density"))
    crumb = Crumb(
        water=loaf.water + figures.of("water"),
        bound=figures.of("bound"),
        freezing_degc=figures.of("freezing_degc"),
        k_above=figures.of("k_above"),
        k_below=figures.of("k_below"),
        density=density,
    )
    return Body(_mesh(loaf, density, fineness), crumb)


@lru_cache(maxsize=64)
def _mesh(loaf: Loaf, density: float, fineness: Fineness) -> Mesh:
    length, width, height = loaf.sides_m(density)
    if loaf.shape == "tin":
        power, radius = brick(length, width, height)
        return radial(power, radius, length * width * height, 2 * fineness.shells)
    if loaf.shape in ("round", "roll"):
        return spheroid(height / 2, sqrt(length * width) / 2, fineness.shells, fineness.rays)
    return spheroid(length / 2, sqrt(width * height) / 2, fineness.shells, fineness.rays)


Case = Callable[[Figures, Fineness], tuple[float, ...]]
"""What one run gives: minutes, or degC, one or several."""


def ranged(case: Case, crumb: Sequence[str], wheres: Sequence[Where], loaf: Loaf, fine: Fineness = FINE) -> list[Range]:
    """Return what a case gives, and how far the soft figures named, and those of the surroundings, may move it."""
    likely, coarse = np.array(case(BEST, FINE)), np.array(case(BEST, COARSE))
    up, down = np.zeros_like(likely), np.zeros_like(likely)
    for ends in _ends(crumb, wheres, loaf):
        moves = np.array([case(end, COARSE) for end in ends]) - coarse
        up += np.maximum(moves, 0.0).max(axis=0) ** 2
        down += np.minimum(moves, 0.0).min(axis=0) ** 2
    return [
        Range(float(best - low), float(best), float(best + high))
        for best, low, high in zip(likely, np.sqrt(down), np.sqrt(up), strict=True)
    ]


def _ends(crumb: Sequence[str], wheres: Sequence[Where], loaf: Loaf) -> list[tuple[Figures, Figures]]:
    names = [name for name in crumb if name != "density" or not loaf.measured]
    ends = [(Figures({name: CRUMB[name].low}), Figures({name: CRUMB[name].high})) for name in names]
    for where in wheres:
        soft, drift = SURFACE[where], DRIFT_DEGC[where]
        ends += [
            (Figures(surface={where: soft.low / soft.best}), Figures(surface={where: soft.high / soft.best})),
            (Figures(off_degc={where: -drift}), Figures(off_degc={where: drift})),
        ]
    return ends


def until(course: Course, what: str) -> float:
    """Return the minutes a course took to reach its core temperature. Raises OutsideModel if it never did."""
    if course.reached is None:
        raise OutsideModel(f"The core does not get there in four days: {what}.")
    return course.reached


def cooled(loaf: Loaf, room_degc: float, core_degc: float, figures: Figures, fineness: Fineness) -> Course:
    """Return the course from the oven, bare on a rack, to a core temperature."""
    return through(loaf, HOT_DEGC, [figures.air("rack", room_degc)], figures, fineness, core_degc)


def frozen(
    loaf: Loaf, start_degc: float, freezer_degc: float, core_degc: float, figures: Figures, fineness: Fineness
) -> Course:
    """Return the course of a bagged loaf in the freezer to a core temperature."""
    stay = figures.air("freezer", freezer_degc, bare=loaf.bare)
    return through(loaf, start_degc, [stay], figures, fineness, core_degc)


def thawed(
    loaf: Loaf, freezer_degc: float, where: Where, degc: float, core_degc: float, figures: Figures, fineness: Fineness
) -> Course:
    """Return the course of a bagged loaf from the freezer to a core temperature."""
    stay = figures.air(where, degc, bare=loaf.bare)
    return through(loaf, freezer_degc, [stay], figures, fineness, core_degc)


def through(
    loaf: Loaf,
    start: float | Array,
    stays: Sequence[Stay],
    figures: Figures,
    fineness: Fineness,
    core_degc: float | None = None,
) -> Course:
    """Return the course of a loaf through stays; start: degC, or the enthalpies an earlier course ended with."""
    made = body(loaf, figures, fineness)
    first = start if isinstance(start, np.ndarray) else made.uniform(start)
    return run(made, first, stays, core_degc, fineness.tolerance)
