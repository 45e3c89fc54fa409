"""Heat conduction in enthalpy, stepped by SciPy's LSODA with the exact banded Jacobian.

    density volume dH/dt = flow (integral of k) + surface h (air - T)

With the conductivity summed up over temperature (Kirchhoff) the flow is linear, and phase changes need no tracking: the
enthalpy carries them. The heat that came in through the surface is integrated beside it, so that the balance can be
held against what the body holds.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from rotation.heat.crumb import BOILING_DEGC, Array, Tables
from rotation.heat.mesh import Mesh
from rotation.heat.soft import OutsideModel

TOLERANCE = 1.5e-4
"""Of each step, relative to what a piece holds, or to `ABOUT_J_PER_KG` where that is more: a twentieth of a kelvin."""

ABOUT_J_PER_KG = 1e6

DENSE = 90
"""Pieces up to which a full matrix is quicker than a sparse one, and small enough not to be spread over processors."""

Change = Callable[[float, Array], Array]


@dataclass(frozen=True)
class Stay:
    """Some time in surroundings of one temperature; h: W/(m2 K) at the surface, radiation included."""

    minutes: float
    air_degc: float
    h: float


class Stuff(Protocol):
    """What a body is made of."""

    @property
    def density(self) -> float:
        """Its density in kg/m3, pores included."""

    @property
    def tables(self) -> Tables:
        """Its temperature, and its conductivity summed up, by what it holds."""

    @property
    def boils(self) -> float:
        """Its enthalpy in J/kg at 100 degC, nothing boiled away."""


@dataclass(frozen=True)
class Body:
    """A mesh filled with crumb, or with anything else that conducts."""

    mesh: Mesh
    crumb: Stuff

    @property
    def kg(self) -> float:
        """Its mass."""
        return float(self.crumb.density * self.mesh.volumes.sum())

    def uniform(self, degc: float) -> Array:
        """Return the enthalpies of a body of one temperature."""
        return np.full(len(self.mesh.volumes), float(self.crumb.tables.enthalpy_at(degc)))


@dataclass(frozen=True)
class Course:
    """What happened: minutes from the start of the stays, core and mean degC at them, and the enthalpies at the end.

    reached: minutes at which the core came to the temperature asked for, or None. gained: J/kg through the surface;
    held: J/kg the body holds more than before; lost: J/kg that left as steam with no heat coming back.
    """

    minutes: Array
    core_degc: Array
    mean_degc: Array
    end: Array
    reached: float | None
    gained: float
    held: float
    lost: float

    @property
    def imbalance(self) -> float:
        """Share of the heat that moved which cannot be accounted for."""
        return abs(self.held + self.lost - self.gained) / max(abs(self.gained), abs(self.held), 1.0)

    @property
    def core(self) -> float:
        """The core's temperature at the end in degC."""
        return float(self.core_degc[-1])


@dataclass(frozen=True)
class _Moved:
    """One stay: J/kg gained, minutes, enthalpies at them, and whether the core came to what was asked for."""

    gained: float
    minutes: list[float]
    states: list[Array]
    reached: bool


def run(
    body: Body, start: Array, stays: Sequence[Stay], until_core_degc: float | None = None, tolerance: float = TOLERANCE
) -> Course:
    """Return the course of a body through stays, up to a core temperature if one is given.

    A body that has boiled holds no more than at 100 degC once it comes into air below that: steam that has gone does
    not give its heat back. Raises OutsideModel where the solver gives up.
    """
    now, gained, lost, reached = start, 0.0, 0.0, None
    times, states = [0.0], [start]
    for stay in stays:
        if stay.air_degc < BOILING_DEGC:
            kept = np.minimum(now, body.crumb.boils)
            lost += _mean(body, now - kept)
            now = kept
        moved = _stay(body, now, stay, until_core_degc, tolerance)
        gained, now = gained + moved.gained, moved.states[-1]
        begun = times[-1]
        times += [begun + each for each in moved.minutes]
        states += moved.states
        if moved.reached:
            reached = times[-1]
            break
    every = np.array(states)
    tables, weight = body.crumb.tables, body.mesh.volumes / body.mesh.volumes.sum()
    return Course(
        minutes=np.array(times),
        core_degc=tables.degc_at(every[:, 0]),
        mean_degc=tables.degc_at(every @ weight),
        end=now,
        reached=reached,
        gained=gained,
        held=_mean(body, now - start),
        lost=lost,
    )


def _mean(body: Body, values: Array) -> float:
    return float(values @ body.mesh.volumes / body.mesh.volumes.sum())


def _stay(body: Body, start: Array, stay: Stay, until: float | None, tolerance: float) -> _Moved:
    """Return what happens in one stay."""
    from scipy.integrate import LSODA
    from scipy.optimize import brentq

    target = None if until is None else float(body.crumb.tables.enthalpy_at(until))
    if target is not None and abs(target - start[0]) < 1.0:
        return _Moved(0.0, [0.0], [start], True)
    change, jacobian, band = _equations(body, stay)
    solver = LSODA(
        change, 0.0, np.append(start, 0.0), 60 * stay.minutes,
        rtol=tolerance, atol=tolerance * ABOUT_J_PER_KG, jac=jacobian, lband=band, uband=band,
    )  # fmt: skip
    minutes, states, crossed = [], [], False
    while solver.status == "running" and not crossed:
        solver.step()
        at, now = solver.t, solver.y
        if target is not None and (now[0] - target) * (start[0] - target) <= 0:
            between, crossed = solver.dense_output(), True
            at = brentq(lambda t, path=between: path(t)[0] - target, solver.t_old, solver.t)
            now = between(at)
        minutes.append(at / 60)
        states.append(now[:-1].copy())
    if solver.status == "failed":
        raise OutsideModel(f"Its heat in air of {stay.air_degc:g} degC could not be worked out.")
    return _Moved(float(now[-1]), minutes, states, crossed)


def _equations(body: Body, stay: Stay) -> tuple[Change, Change, int]:
    """Return the change per second of enthalpies and of the heat gained, its banded Jacobian, and the band's width."""
    from scipy.sparse import csr_array

    tables, mesh = body.crumb.tables, body.mesh
    count = len(mesh.volumes)
    mass = body.crumb.density * mesh.volumes
    outside = np.flatnonzero(mesh.surfaces)
    push = stay.h * mesh.surfaces[outside]
    flow = np.vstack([mesh.flow / mass[:, None], np.zeros(count)])
    into = np.zeros((count + 1, len(outside)))
    into[outside, np.arange(len(outside))] = push / mass[outside]
    into[count] = push / mass.sum()
    slope = np.diff(tables.integral) / np.diff(tables.enthalpy)
    warming = np.diff(tables.degc) / np.diff(tables.enthalpy)
    band = max(mesh.band, count - int(outside[0]))
    by_slope, by_air = _packed(flow, band), _packed(into, band, outside)
    drives = csr_array(flow) if count > DENSE else flow

    def change(_: float, y: Array) -> Array:
        air = stay.air_degc - np.interp(y[outside], tables.enthalpy, tables.degc)
        moved: Array = drives @ np.interp(y[:count], tables.enthalpy, tables.integral) + into @ air
        return moved

    def jacobian(_: float, y: Array) -> Array:
        part = np.searchsorted(tables.enthalpy[1:-1], y[:count], "right")
        made = np.zeros_like(by_slope)
        made[:, :count] = by_slope[:, :count] * slope[part]
        made[:, outside] -= by_air[:, outside] * warming[part[outside]]
        return made

    return change, jacobian, band


def _packed(matrix: Array, band: int, columns: NDArray[np.intp] | None = None) -> Array:
    """Return a matrix of one row more than it has pieces as its diagonals. columns: which pieces its columns are."""
    rows, column = np.nonzero(matrix)
    place = column if columns is None else columns[column]
    packed = np.zeros((2 * band + 1, len(matrix)))
    packed[band + rows - place, place] = matrix[rows, column]
    return packed
