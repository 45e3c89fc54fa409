"""A small house from Friday to Tuesday: two adults, one oven with one pot, sourdough and a sliced tin loaf.

Day 0 is a Friday, minute 0 its midnight in Berlin.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from rotation.problem import (
    BOUGHT,
    FINISHED,
    FRESH,
    TABLE,
    TOAST,
    Accept,
    Booking,
    Lot,
    Meal,
    Problem,
    Process,
    Programme,
    Route,
    Shop,
    Spans,
    Stage,
    Treatment,
    Use,
    Wait,
    Weights,
    Wish,
)
from tests import homes
from tests.homes import DAY

FRI, SAT, SUN, MON, TUE = range(5)


def at(day: int, hour: int, minute: int = 0) -> int:
    """Return the minute of a local time."""
    return DAY * day + 60 * hour + minute


def daily(start: tuple[int, int], end: tuple[int, int]) -> Spans:
    """Return one span on each of the five days."""
    return tuple((at(day, *start), at(day, *end)) for day in range(5))


NIGHT = Process(
    id="night",
    name="cold proof",
    stages=(
        Stage("feed", 5),
        Stage("mix", 15),
        Stage("fold", 3),
        Stage("shape", 5, 5),
        Stage("oven", 2),
        Stage("bag", 2, 1),
    ),
    waits=(
        Wait("feed", "mix", ((480, 900),)),
        Wait("mix", "fold", ((30, 90),)),
        Wait("fold", "shape", ((120, 300),)),
        Wait("mix", "shape", ((240, 360),), whole=True),
        Wait("shape", "oven", ((480, 1440),)),
    ),
    uses=(Use("bowl", "mix", "shape"), Use("banneton", "shape", "oven"), Use("fridge", "shape", "oven")),
    programme=Programme(degc=230, covered=20, pieces_per_load=1, handling=2),
    treatments=(Treatment(TABLE, 20, 60), Treatment("part-baked", 10, 120, bag_by=600, freeze=720)),
    pieces=(1, 2, 3),
    fixed=20_000,
    unusual=(0, 5_000, 0),
)
SOURDOUGH = homes.sourdough(
    NIGHT,
    routes=(
        homes.WORKTOP,
        replace(homes.WORKTOP, id="fridge", place="fridge", thaw=(600, 1200), fridge_units=1),
        Route("frozen", "part-baked", FINISHED, "", oven=(200, 50), stand=30, keeps=1440),
    ),
    worth=((10, 1500), (10, 500)),
)
TIN = homes.tin()
OVEN = homes.oven(daily((17, 0), (19, 0)), Booking("roast", at(SUN, 14), at(SUN, 16), 220, 1))
KINDS = frozenset({FRESH, FINISHED, TOAST, BOUGHT})


def meal(id_: str, minute: int, portions: int, *, strict: bool = False, without: frozenset[str] = frozenset()) -> Meal:
    """Return a meal that takes both breads in every way."""
    accepts = (Accept("sourdough", KINDS, 2 * DAY), Accept("tin", KINDS, 2 * DAY))
    return Meal(id_, f"{id_}@home", id_, minute, 4, portions, strict, accepts, without, 10)


def problem() -> Problem:
    """Return the house from Friday to Tuesday."""
    inside, free = daily((6, 30), (22, 30)), daily((7, 30), (21, 0))
    return Problem(
        zero=datetime(2027, 3, 4, 23, 0, tzinfo=UTC),
        zone=ZoneInfo("Europe/Berlin"),
        midnights=tuple(DAY * day for day in range(6)),
        shown_days=3,
        people=(
            homes.person("jo", inside, free, daily((6, 45), (7, 15)), ((0, 1000), (at(SUN, 0), 2000))),
            homes.person("sam", inside, free, price=((0, 1500),), bakes=False),
        ),
        ovens=(OVEN,),
        kitchen=homes.kitchen(freezer_dl=134, freezing_grams_24h=1000),
        breads=(SOURDOUGH, TIN),
        meals=(
            meal("fri-supper", at(FRI, 19), 6),
            meal("sat-breakfast", at(SAT, 9, 15), 20, strict=True),
            meal("sun-lunch", at(SUN, 12, 30), 20, strict=True, without=frozenset({"sesame"})),
            meal("mon-breakfast", at(MON, 7), 6),
        ),
        lots=(
            Lot("lot-old", "A", "tin", "sliced", 2, -90 * DAY, -89 * DAY, -62 * DAY, -6 * DAY),
            Lot("lot-a", "B", "sourdough", "part-baked", 1, -20 * DAY, -19 * DAY, 8 * DAY, 64 * DAY),
            Lot("lot-tin", "C", "tin", "sliced", 20, -15 * DAY, -14 * DAY, 13 * DAY, 69 * DAY),
            Lot("lot-b", "D", "sourdough", "part-baked", 2, -10 * DAY, -9 * DAY, 18 * DAY, 74 * DAY),
        ),
        box=(),
        under_way=(),
        shop=Shop((at(FRI, 18, 30), at(SAT, 18)), 16, 2 * DAY, 25_000, frozenset({"wheat", "?"})),
        weights=Weights(
            heat_up=15_000,
            unmet_portion=1500,
            strict_portion=100_000,
            portion_day_frozen=10,
            wasted_portion=700,
            unit_past_date=2000,
        ),
        wishes=(
            Wish("wish-mix", "fixed", "sourdough", at(SAT, 8), at(SAT, 8), step="mix"),
            Wish("wish-none", "no bake", "sourdough", at(SUN, 0), at(MON, 0)),
            Wish("wish-cold", "no finish", "sourdough", at(SUN, 0), at(MON, 0)),
        ),
    )
