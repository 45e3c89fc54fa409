"""Lot-sizing problems said in bread: a period is a day, a set-up a bake, a unit a piece, stock the freezer.

A day: the mix in the morning, at the day's price of hands; the oven in the afternoon and the bag until the evening, at
no price; supper at 18:00. A piece made for the same day's supper goes to the table; any other is frozen, and eaten at a
later supper straight from the freezer. Bagged after supper, the freezer holds what is left at night, no more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from rotation.plan import Plan
from rotation.problem import (
    FRESH,
    TABLE,
    TOAST,
    Accept,
    Bread,
    Form,
    Meal,
    Person,
    Problem,
    Process,
    Programme,
    Route,
    Shop,
    Stage,
    Treatment,
    Wait,
    Weights,
)
from tests import homes
from tests.homes import DAY

SUPPER = 18 * 60
MUCH = 10**6
NO_SHOP = Shop((), 1, DAY, MUCH, frozenset())


@dataclass(frozen=True)
class Item:
    """One item. batches: lots it may be made in; fixed: milli of a set-up by period; minutes: of hands, a set-up and a
    piece.

    life: periods after its own in which a lot may still be used (None: any).
    """

    demand: Sequence[int]
    batches: tuple[int, ...]
    fixed: Sequence[int] = ()
    minutes: tuple[int, int] = (0, 0)
    life: int | None = None


@dataclass(frozen=True)
class Prices:
    """In milli. hands: a minute, by period; holding: a unit over a night; short: one not given; waste: one unused."""

    hands: Sequence[int]
    holding: int
    short: int = MUCH
    waste: int = 10**5


def as_bread(
    items: Sequence[Item],
    prices: Prices,
    *,
    shared: Sequence[int] = (),
    strict: frozenset[int] = frozenset(),
    room: int = MUCH,
    rate: int = MUCH,
    shop: Shop = NO_SHOP,
) -> Problem:
    """Return the problem. shared: further demand that any item meets; strict: periods that come before all cost.

    room: units the freezer holds over a night, of all items; rate: units it takes in a period.
    """
    days = len(items[0].demand)
    cooks = tuple(_cook(number, prices.hands, days) for number in range(2))
    oven = homes.oven(
        (), places=4, vessels=0, heat_up=5, heat_up_vessel=5, degc_per_minute_down=10, hot_gap=30, watch_after=0,
        watch_after_vessel=0,
    )  # fmt: skip
    kitchen = homes.kitchen(room, rate, bowls=9, dough_grams=MUCH, bannetons=MUCH, fridge_spots=MUCH)
    breads = tuple(_bread(number, item) for number, item in enumerate(items))
    meals = [
        _meal(f"{bread.id} {day}", day, item.demand[day], (bread.id,), day in strict)
        for bread, item in zip(breads, items, strict=True)
        for day in range(days)
    ]
    everything = tuple(bread.id for bread in breads)
    meals += [_meal(f"any {day}", day, units, everything, False) for day, units in enumerate(shared)]
    return Problem(
        datetime(2027, 3, 1, tzinfo=UTC), ZoneInfo("UTC"), tuple(DAY * day for day in range(days + 1)), days, cooks,
        (oven,), kitchen, breads, tuple(meal for meal in meals if meal.portions), (), (), (), shop,
        Weights(0, prices.short, MUCH, prices.holding, prices.waste, 0),
    )  # fmt: skip


def made(problem: Problem, plan: Plan, bread: str = "item 0") -> list[int]:
    """Return the pieces of a bread made in each period."""
    pieces = [0] * problem.days
    for bake in plan.bakes:
        if bake.bread == bread:
            pieces[bake.day] += bake.total
    return pieces


def _cook(number: int, hands: Sequence[int], days: int) -> Person:
    free = tuple(span for day in range(days) for span in _spans(day, (360, 480), (900, 1260)))
    price = tuple(step for day in range(days) for step in ((DAY * day, hands[day]), (DAY * day + 720, 0)))
    return homes.person(f"cook {number}", ((0, DAY * days),), free, price=price)


def _spans(day: int, *spans: tuple[int, int]) -> list[tuple[int, int]]:
    return [(DAY * day + start, DAY * day + end) for start, end in spans]


def _bread(number: int, item: Item) -> Bread:
    """Return an item as a bread: mixed until 8:00 it goes in from 15:00; later, it would be too early in the night."""
    hands, each = item.minutes
    life = item.life if item.life is not None else len(item.demand)
    process = Process(
        "day", "by day", (Stage("mix", hands, each), Stage("oven", 1), Stage("bag", 1)),
        (Wait("mix", "oven", ((420, 530),)),), (), Programme(200, 0, MUCH, 1),
        (Treatment(TABLE, 30, 0), Treatment("frozen", 30, 0, bag_by=400, freeze=0)),
        item.batches, 0, tuple(item.fixed),
    )  # fmt: skip
    form = Form("frozen", 1, 1, 1, 1, 100, DAY * life, DAY * 999, DAY * life)
    route = Route("slices", "frozen", TOAST)
    return Bread(
        f"item {number}", f"item {number}", 1, 1, 600, False, frozenset(), (process,), (form,), (route,)
    )  # fmt: skip


def _meal(id_: str, day: int, units: int, breads: tuple[str, ...], strict: bool) -> Meal:
    accepts = tuple(Accept(bread, frozenset({FRESH, TOAST}), DAY) for bread in breads)
    return Meal(id_, id_, "supper", DAY * day + SUPPER, 1, units, strict, accepts, frozenset(), 0)
