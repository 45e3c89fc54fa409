"""Formula arithmetic: percentages to grams and back, how much dough, and how warm the water.

All percentages are of all the flour, the preferments' flour and water included (T12); a preferment's own are of its own
flour. Masses are grams, temperatures degC. IDs of sources are those of `tests/outside/data/references.csv`.
"""

from rotation.bakers_math.scaling import (
    dough_for,
    dough_from_flour,
    dough_in,
    dough_yield,
    flour_in,
    loss_percent,
    percentages,
)
from rotation.bakers_math.shares import hydration_percent, prefermented_percent, soaked_percent, total_percent
from rotation.bakers_math.water import (
    FLOUR_KJ_PER_KG_K,
    WATER_KJ_PER_KG_K,
    Water,
    dough_degc,
    ice_share,
    water_by_heat,
    water_degc,
    water_for,
)
from rotation.bakers_math.weighing import WATER, Build, Grams, Impossible, Soaked, Weighed, feed, weigh

__all__ = [
    "FLOUR_KJ_PER_KG_K",
    "WATER",
    "WATER_KJ_PER_KG_K",
    "Build",
    "Grams",
    "Impossible",
    "Soaked",
    "Water",
    "Weighed",
    "dough_degc",
    "dough_for",
    "dough_from_flour",
    "dough_in",
    "dough_yield",
    "feed",
    "flour_in",
    "hydration_percent",
    "ice_share",
    "loss_percent",
    "percentages",
    "prefermented_percent",
    "soaked_percent",
    "total_percent",
    "water_by_heat",
    "water_degc",
    "water_for",
    "weigh",
]
