"""What makes no sense in a loaf's size, in what was measured of it, or in a kitchen's cold."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from rotation.household import usual
from rotation.household.breads import Bread
from rotation.household.kitchen import Kitchen
from rotation.household.lines import Path
from rotation.household.mistakes import Wrong, closest, shown

MOST_GRAMS = 5000
LEAST_KG_PER_M3, MOST_KG_PER_M3 = 120, 900
WARMEST_FRIDGE_DEGC = 10.0
SIDES = ("length_cm", "width_cm", "height_cm")


def loaf_wrong(bread: Bread) -> Iterator[Wrong]:
    """Yield what makes no sense in a bread's loaf."""
    loaf = bread.loaf
    if bread.grams > MOST_GRAMS:
        wrong = f"a loaf of {bread.grams / 1000:g} kg is beyond what a home bakes, and what the estimates of heat know."
        yield Wrong(("piece_grams",), wrong, "Write the dough of one piece, as 900")
    given = [name for name in SIDES if getattr(loaf, name) is not None]
    if given and len(given) < len(SIDES):
        missing = next(name for name in SIDES if name not in given)
        yield Wrong(
            ("loaf",), f"has a {given[0].removesuffix('_cm')}, but not all three sides.", f"Write {missing} = 12"
        )
    if sides := loaf.sides_cm:
        fill = 1 if loaf.shape == "tin" else pi / 6
        density = bread.grams * 1000 / (fill * sides[0] * sides[1] * sides[2])
        if not LEAST_KG_PER_M3 <= density <= MOST_KG_PER_M3:
            wrong = f"{bread.grams} g in that size are {density:.0f} kg/m3, which is no bread."
            instead = f"Bread has {LEAST_KG_PER_M3} to {MOST_KG_PER_M3}: measure one baked piece in cm again."
            yield Wrong(("loaf",), wrong, instead)
        if loaf.density_kg_per_m3 is not None:
            wrong = "is told by the sides already."
            yield Wrong(("loaf", "density_kg_per_m3"), wrong, "Leave it out, or leave out the sides.")
    yield from _measured(bread)


def _measured(bread: Bread) -> Iterator[Wrong]:
    finished = [route.id for route in usual.routes(bread) if route.oven]
    for index, one in enumerate(bread.loaf.measured):
        at: Path = ("loaf", "measured", index)
        if one.what == "finish":
            if one.route is None:
                yield Wrong(at, "does not say which route was measured.", f"One of: {', '.join(finished) or 'none'}.")
            elif one.route not in finished:
                yield Wrong((*at, "route"), f"no finish is called {shown(one.route)}.", closest(one.route, finished))
        elif one.hours is None:
            yield Wrong(at, "does not say after how long it was measured.", "Write hours = 4.5")


def cold_wrong(kitchen: Kitchen) -> Iterator[Wrong]:
    """Yield a fridge that keeps nothing cold."""
    if kitchen.fridge_degc > WARMEST_FRIDGE_DEGC:
        wrong = f"a fridge of {kitchen.fridge_degc:g} degC is no fridge: dough and thawing bread would not stay cold."
        yield Wrong(("kitchen", "fridge_degc"), wrong, "Turn it down and measure again: 4 is right, 6 is usual.")
