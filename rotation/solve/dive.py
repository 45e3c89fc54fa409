"""A quick choice in whole numbers: from a relaxation, settle one variable after the other where it leans to."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rotation.grid import Ints
from rotation.solve.relaxation import Relaxation
from rotation.solve.rows import Floats

WHOLE = 1e-5
"""How near to a whole number a value counts as one."""


def dive(relaxation: Relaxation, ranks: Sequence[Ints], cutoff: float) -> Floats | None:
    """Return values in which all ranked variables are whole, None where a step and its opposite both lead nowhere.

    The bounds of the relaxation are left as the dive set them; rows that do not bind are left aside.
    """
    if relaxation.solve(cutoff) == math.inf:
        return None
    relaxation.set_aside()
    while True:
        values = relaxation.values()
        parts = values - np.floor(values + WHOLE)
        rank = next((rank for rank in ranks if (parts[rank] > WHOLE).any()), None)
        if rank is None:
            return values
        lean = np.minimum(parts[rank], 1 - parts[rank])
        variable = int(rank[np.argmin(np.where(parts[rank] > WHOLE, lean, 2.0))])
        up = parts[variable] >= 0.5
        lower, upper, stand = relaxation.lower.copy(), relaxation.upper.copy(), relaxation.stand()
        if _steered(relaxation, variable, values[variable], up, cutoff) == math.inf:
            relaxation.box(lower, upper)
            relaxation.back_to(stand)
            if _steered(relaxation, variable, values[variable], not up, cutoff) == math.inf:
                return None


def _steered(relaxation: Relaxation, variable: int, value: float, up: bool, cutoff: float) -> float:
    """Return the least cost with one variable on one side of its value."""
    low, high = float(relaxation.lower[variable]), float(relaxation.upper[variable])
    below = float(math.floor(value + WHOLE))
    relaxation.within(variable, *((below + 1, high) if up else (low, below)))
    return relaxation.solve(cutoff)
