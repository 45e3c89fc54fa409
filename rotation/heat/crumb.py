"""Bread as a conductor of heat: its enthalpy, and the conductivity summed up over temperature.

Freezing is gradual: water turns to ice as the rest grows richer in what is dissolved (the ice fraction follows
Raoult's law), and some never freezes. Above 0 degC vapour carries heat through the pores. At 100 degC water boils away;
what is dry then is crust. Figures and their ranges: `soft.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rotation.heat.substances import WHEAT_SOLIDS, conductivity, cp, density

Array = NDArray[np.float64]

FUSION = 333.6e3
"""Latent heat of ice in J/kg."""

EVAPORATION = 2257e3
"""Latent heat of water at 100 degC in J/kg."""

BOILING_DEGC = 100.0
LEFT_IN_CRUST = 0.05
"""Water by mass of the loaf that stays in a dried crust."""

CRUST_K = 0.08
MOST_K = 1.0
"""Conductivity of dried crust, and the most that vapour may raise it to, in W/(m K)."""

REFERENCE = (0.43, 411.0)
"""Water by mass and kg/m3 of the crumb whose conductivity the figures give."""

TORTUOSITY = 1.5
AIR_PRESSURE = 101_325.0


@dataclass(frozen=True)
class Tables:
    """Enthalpy in J/kg (0 at the first freezing), and what belongs to it: degC, and the integral of k in W/m."""

    enthalpy: Array
    degc: Array
    integral: Array

    def enthalpy_at(self, degc: float | Array) -> Array:
        """Return J/kg at a temperature; at the boiling point, of what is still wet."""
        return np.asarray(np.interp(degc, self.degc, self.enthalpy), dtype=np.float64)

    def degc_at(self, enthalpy: Array) -> Array:
        """Return degC at J/kg."""
        return np.asarray(np.interp(enthalpy, self.enthalpy, self.degc), dtype=np.float64)


@dataclass(frozen=True)
class Crumb:
    """A bread's crumb, crust included. Fractions by mass of the loaf; bound: kg of unfreezable water per kg of solids.

    density: kg/m3 with the pores. k_above, k_below: W/(m K) above freezing without vapour, and frozen, of a crumb of
    `REFERENCE`; another conducts as its walls do, and as there is more or less of them (as C11 does with porosity).
    """

    water: float = 0.43
    bound: float = 0.30
    freezing_degc: float = -5.0
    k_above: float = 0.22
    k_below: float = 0.34
    density: float = 411.0

    @property
    def freezable(self) -> float:
        """Water by mass of the loaf that can freeze."""
        return max(self.water - self.bound * (1 - self.water), 0.0)

    @property
    def porosity(self) -> float:
        """Share of the volume that is air."""
        return max(1 - self.density / density(_parts(self.water)), 0.0)

    @property
    def walls(self) -> float:
        """How many times as well it conducts as the reference."""
        return _walls(self.water, self.density) / _walls(*REFERENCE)

    @property
    def cp_above(self) -> float:
        """Specific heat above freezing in J/(kg K)."""
        return 1000 * (self.water * cp({"water": 1.0}) + (1 - self.water) * cp(WHEAT_SOLIDS))

    def ice(self, degc: float | Array) -> Array:
        """Return the ice by mass of the loaf."""
        cold = np.minimum(degc, self.freezing_degc)
        return np.asarray(self.freezable * (1 - self.freezing_degc / cold), dtype=np.float64)

    def enthalpy(self, degc: float | Array) -> Array:
        """Return J/kg below boiling; 0 where it begins to freeze."""
        start = self.freezing_degc
        cold = np.minimum(degc, start)
        less = 1000 * (cp({"water": 1.0}) - cp({"ice": 1.0}, -15.0)) * self.freezable
        gathered = (cold - start) - start * np.log(cold / start)  # the ice fraction per freezable water, integrated
        return np.asarray(self.cp_above * (degc - start) - less * gathered - FUSION * self.ice(degc), dtype=np.float64)

    def k(self, degc: Array) -> Array:
        """Return the conductivity below boiling in W/(m K): with the ice, and with vapour above 0 degC."""
        frozen = self.ice(degc) / max(float(self.ice(-25.0)), 1e-9)
        still = self.k_above + (self.k_below - self.k_above) * np.minimum(frozen, 1.0)
        return np.asarray(np.minimum(self.walls * still + self.vapour_k(degc), MOST_K), dtype=np.float64)

    def vapour_k(self, degc: Array) -> Array:
        """Return what vapour moving through the pores adds, in W/(m K); nothing below 0 degC."""
        warm = np.clip(degc, 0.0, 99.5)
        kelvin, step = warm + 273.15, 0.05
        diffusion = 2.6e-5 * (kelvin / 298.15) ** 1.81
        latent = 2501e3 - 2.44e3 * warm
        slope = (_saturation(warm + step) - _saturation(warm - step)) / (2 * step)
        share = self.porosity / TORTUOSITY * AIR_PRESSURE / (AIR_PRESSURE - _pressure(warm))
        return np.asarray(np.where(degc > 0, share * diffusion * latent * slope, 0.0), dtype=np.float64)

    @cached_property
    def boils(self) -> float:
        """Enthalpy in J/kg at 100 degC, before any water has boiled away."""
        return float(self.enthalpy(BOILING_DEGC))

    @cached_property
    def tables(self) -> Tables:
        """Enthalpy, temperature and the integral of k from -60 to 350 degC."""
        cold = np.linspace(-60.0, self.freezing_degc, 240)
        wet = np.concatenate([cold, np.linspace(self.freezing_degc, BOILING_DEGC, 211)[1:]])
        integral = np.concatenate([[0.0], np.cumsum(np.diff(wet) * self.k((wet[1:] + wet[:-1]) / 2))])
        dried = self.boils + EVAPORATION * max(self.water - LEFT_IN_CRUST, 0.0)
        cp_crust = 1000 * ((1 - self.water) * cp(WHEAT_SOLIDS, 120.0) + LEFT_IN_CRUST * cp({"water": 1.0}))
        hot = 350.0 - BOILING_DEGC
        return Tables(
            enthalpy=np.concatenate([self.enthalpy(wet), [dried, dried + cp_crust * hot]]),
            degc=np.concatenate([wet, [BOILING_DEGC, BOILING_DEGC + hot]]),
            integral=np.concatenate([integral, [integral[-1], integral[-1] + CRUST_K * hot]]),
        )


def _parts(water: float) -> dict[str, float]:
    """Return what the walls are made of, by mass."""
    return {name: share * (1 - water) for name, share in WHEAT_SOLIDS.items()} | {"water": water}


def _walls(water: float, kg_per_m3: float) -> float:
    """Return what the walls conduct in W/(m K), by their share of the volume."""
    parts = _parts(water)
    return conductivity(parts) * kg_per_m3 / density(parts)


def _pressure(degc: Array) -> Array:
    """Return the pressure of saturated vapour in Pa (Tetens, from memory; 100 degC within 2 %)."""
    return np.asarray(610.78 * np.exp(17.27 * degc / (degc + 237.3)), dtype=np.float64)


def _saturation(degc: Array) -> Array:
    """Return kg of vapour in a cubic metre that is saturated."""
    return _pressure(degc) * 0.018015 / (8.3145 * (degc + 273.15))
