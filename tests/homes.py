"""What the homes of several tests have in common: forms, routes and two breads, a person, an oven, a small kitchen.

Each sample says what is its own; `changes` are fields by name.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rotation.problem import FINISHED, TOAST, Booking, Bread, Form, Kitchen, Oven, Person, Process, Route, Spans, Steps

DAY = 1440
PART_BAKED = Form(
    "part-baked", 1, 14, unit_dl=30, unit_grams=800, load_percent=50, eat_first=28 * DAY, toast_after=84 * DAY
)
"""A loaf of fourteen slices."""

SLICED = Form("sliced", 16, 1, unit_dl=2, unit_grams=45, load_percent=50, eat_first=28 * DAY, toast_after=84 * DAY)
WORKTOP = Route("worktop", "part-baked", FINISHED, "worktop", (300, 900), oven=(220, 18), stand=15, keeps=36 * 60)
TOASTED = Route("toast", "sliced", TOAST)


def sourdough(*processes: Process, **changes: Any) -> Bread:
    """Return a naturally leavened loaf, part-baked for the freezer and thawed on the worktop."""
    allergens = frozenset({"wheat"})
    loaf = Bread("sourdough", "sourdough", 14, 900, 3 * DAY, False, allergens, processes, (PART_BAKED,), (WORKTOP,))
    return replace(loaf, **changes)


def tin(**changes: Any) -> Bread:
    """Return a tin loaf that is only eaten from the freezer, sliced."""
    allergens = frozenset({"wheat", "milk"})
    loaf = Bread("tin", "tin loaf", 16, 800, 3 * DAY, False, allergens, (), (SLICED,), (TOASTED,))
    return replace(loaf, **changes)


def person(
    id_: str, inside: Spans, free: Spans, quick: Spans = (), price: Steps = ((0, 1000),), **changes: Any
) -> Person:
    """Return an adult who bakes and finishes, called by the id."""
    return replace(Person(id_, id_.capitalize(), True, True, True, inside, free, quick, price), **changes)


def oven(closed: Spans, *bookings: Booking, **changes: Any) -> Oven:
    """Return an oven with two places and one vessel."""
    made = Oven(
        id="oven",
        name="oven",
        places=2,
        vessels=1,
        heat_up=15,
        heat_up_vessel=45,
        degc_per_minute_up=10,
        degc_per_minute_down=5,
        hot_gap=20,
        watch_after=20,
        watch_after_vessel=60,
        closed=closed,
        bookings=bookings,
    )
    return replace(made, **changes)


def kitchen(
    freezer_dl: int, freezing_grams_24h: int, *, bowls: int = 1, dough_grams: int = 3000, bannetons: int = 3,
    fridge_spots: int = 3,
) -> Kitchen:  # fmt: skip
    """Return a kitchen that is the same at all times."""
    return Kitchen(
        bowls=((0, bowls),),
        dough_grams=((0, dough_grams),),
        bannetons=((0, bannetons),),
        fridge_spots=((0, fridge_spots),),
        freezer_dl=((0, freezer_dl),),
        freezing_grams_24h=((0, freezing_grams_24h),),
    )
