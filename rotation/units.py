"""Masses, temperatures and clocks as people write and read them: inside are grams and degC, other units at the borders.

pint does the converting, and is loaded only where another unit is really written or read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from pint import UnitRegistry

MassUnit = Literal["g", "oz", "lb"]
DegreeUnit = Literal["degC", "degF"]
Hours = Literal[12, 24]
"""Of a clock."""

MARK_DEGF = 25
"""Ovens are marked every 25 degF: 230 degC is 450, 150 degC is 300 (T11)."""

_MASSES = {"": "gram", "g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound", "lbs": "pound"}
_DEGREES = {"": "degC", "c": "degC", "degc": "degC", "f": "degF", "degf": "degF"}
_VOLUMES = {"": "liter", "l": "liter", "litre": "liter", "litres": "liter", "ml": "milliliter", "qt": "quart"}
_WRITTEN = re.compile(r"\s*([-+]?\d{1,9}(?:[.,]\d{1,6})?)\s*°?\s*([a-zA-Z]*)\s*")


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[float]:
    from pint import UnitRegistry

    return UnitRegistry(autoconvert_offset_to_baseunit=False)


def converted(value: float, unit: str, to: str) -> float:
    """Return a value in another unit, by pint's names; nothing is loaded where they are the same."""
    if unit == to:
        return value
    return float(_registry().Quantity(value, unit).to(to).magnitude)


_hours: Hours = 24


def read_clocks(hours: Hours) -> None:
    """From here on the whole program tells the time by clocks of so many hours: it serves one household at a time."""
    global _hours
    _hours = hours


def time_of_day(at: datetime) -> str:
    """Return "9:00", or "9:00 am" where clocks of twelve hours are read."""
    if _hours == 24:
        return f"{at.hour}:{at.minute:02}"
    return f"{(at.hour - 1) % 12 + 1}:{at.minute:02} {'am' if at.hour < 12 else 'pm'}"


def midnight() -> str:
    """Return how the midnight reads that ends a day."""
    return "24:00" if _hours == 24 else "midnight"


def longest_time() -> int:
    """Return the characters of the longest time of day."""
    return len("22:00") if _hours == 24 else len("10:00 pm")


def grams(said: str) -> float:
    """Return the grams of "900", "900 g", "1.5 kg", "2 lb" or "32 oz". Raises ValueError for anything else."""
    return _read(said, _MASSES, "gram", 'a mass; write "900 g", "1.5 kg", "2 lb" or "32 oz"')


def litres(said: str) -> float:
    """Return the litres of "1.8", "1.8 l", "900 ml" or "2 qt". Raises ValueError for anything else."""
    return _read(said, _VOLUMES, "liter", 'a volume; write "1.8 l", "900 ml" or "2 qt"')


def degc(said: str) -> float:
    """Return the degC of "24", "24 C" or "75 F". Raises ValueError for anything else."""
    return _read(said, _DEGREES, "degC", 'a temperature; write "24 C" or "75 F"')


def _read(said: str, known: dict[str, str], to: str, what: str) -> float:
    found = _WRITTEN.fullmatch(said)
    unit = known.get(found[2].casefold()) if found else None
    if found is None or unit is None:
        raise ValueError(f"is not {what}")
    return converted(float(found[1].replace(",", ".")), unit, to)


@dataclass(frozen=True)
class Display:
    """The units a household reads."""

    mass: MassUnit = "g"
    temperature: DegreeUnit = "degC"

    def weight(self, grams: float) -> str:
        """Return "200 g", "1.5 g" below ten, "7.1 oz", or "1 lb 3.4 oz" where pounds are read."""
        if self.mass == "g":
            return f"{number(grams)} g"
        ounces = round(converted(grams, "gram", "ounce"), 2 if grams < 10 else 1)
        if self.mass == "oz" or ounces < 16:
            return f"{ounces:g} oz"
        return f"{int(ounces // 16)} lb {round(ounces % 16, 1):g} oz"

    def degrees(self, degc: float) -> str:
        """Return "24 degC" or "75 degF", to the whole degree."""
        return f"{round(converted(degc, 'degC', self.temperature))} {self.temperature}"

    def oven(self, degc: float) -> str:
        """Return "230", or in degF the nearest mark of an oven, "450"."""
        if self.temperature == "degC":
            return f"{degc:.0f}"
        return str(MARK_DEGF * round(converted(degc, "degC", "degF") / MARK_DEGF))


def number(grams: float) -> str:
    """Return "200", or "1.5" below ten."""
    return f"{grams:.1f}" if grams < 9.95 else f"{grams:.0f}"
