"""Tiny random homes in which minutes matter: short free spans, an oven hot, closed or in use, a thaw before a finish.

Few enough starts fit that all of them can be listed (tests/outside/listed.py).
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from rotation.problem import (
    FINISHED,
    FRESH,
    TABLE,
    TOAST,
    Accept,
    Booking,
    Bread,
    Form,
    Lot,
    Meal,
    Oven,
    Person,
    Problem,
    Process,
    Programme,
    Route,
    Shop,
    Spans,
    Stage,
    Treatment,
    Wait,
    Weights,
    union,
)
from tests import homes
from tests.homes import DAY

MUCH = 10**6


def tiny_home(seed: int) -> Problem:
    """Return a home of one or two days, one bread with one or two processes, one place in the oven, no shop."""
    rng = random.Random(seed)
    days = rng.choice((1, 2, 2))
    people = tuple(_person(rng, number, days) for number in range(rng.choice((1, 2, 2))))
    bread = _bread(rng)
    oven = _oven(rng, days)
    kitchen = homes.kitchen(MUCH, MUCH, bowls=MUCH, dough_grams=MUCH, bannetons=MUCH, fridge_spots=MUCH)
    lots = tuple(
        Lot(
            f"lot {number}",
            "AB"[number],
            "loaf",
            bread.forms[0].id,
            rng.randint(1, 3),
            -DAY * (3 - number),
            0,
            MUCH,
            MUCH,
        )
        for number in range(rng.randint(0, 2))
    )
    weights = (rng.choice((0, 2000, 8000)), rng.choice((4000, 9000)), MUCH, rng.choice((0, 30)), rng.choice((200, 700)))
    return Problem(
        datetime(2027, 3, 1, tzinfo=UTC), ZoneInfo("UTC"), tuple(DAY * day for day in range(days + 1)), days, people,
        (oven,), kitchen, (bread,), tuple(_meals(rng, days)), lots, (), (), Shop((), 1, DAY, MUCH, frozenset()),
        Weights(*weights, 0),
    )  # fmt: skip


def with_guests(problem: Problem) -> Problem:
    """Return a home whose second meal is strict, and wants more."""
    first, second, *others = problem.meals
    return replace(problem, meals=[first, replace(second, strict=True, portions=second.portions + 3), *others])


def ready_at_once(seed: int) -> Problem:
    """Return a day on which two bakes, by two processes, get ready at one moment, one of them too early for some meals.

    Who eats of which decides whether both are worth their hands.
    """
    rng = random.Random(seed)
    later = 820 + 5 * rng.randint(-2, 2)
    processes = (
        _slice_process("short", (60, 150), 60, rng.choice(((1,), (1, 2)))),
        _slice_process("long", (190, 300), 60, rng.choice(((1,), (1, 2)))),
    )
    meals = []
    for number, at in enumerate((1000, 1100, 1200)[: rng.randint(2, 3)]):
        age = rng.choice((at - 890, at - 800, at - 740, 900))
        meals.append(_meal(at, rng.randint(1, 5), number == rng.choice((1, 9)), age, rng.choice((0, 100))))
    made = _by_one(processes, ((100, 200),), meals, rng.choice((500, 1000)), _hands(660, 60), _hands(later, 60))
    return replace(made, weights=Weights(2000, rng.choice((4000, 9000, 20000)), MUCH, 0, 200, 0))


def heated_by_a_mixed_bake() -> Problem:
    """Return a day on which a bake is hot only after a mixed one, which is in longer than all of one kind would be."""
    processes = (_slice_process("short", (60, 180), 30, (2,)), _slice_process("long", (155, 160), 30, (1,)))
    hands = ((640, 645), (660, 665), (720, 725), (750, 755), (765, 770), (800, 805), (825, 830))
    made = _by_one(processes, ((4, 9000), (100, 200)), [_meal(1000, 8, False, 900, 0)], 1000, hands)
    return replace(made, weights=Weights(8000, 20000, MUCH, 0, 200, 0))


def _hands(start: int, minutes: int) -> Spans:
    """Return when somebody is free to switch an oven on, to fill it and to empty it."""
    return tuple((at, at + 5) for at in (start - 20, start, start + minutes))


def _slice_process(id_: str, wait: tuple[int, int], frozen: int, pieces: tuple[int, ...]) -> Process:
    return Process(
        id_, id_, (Stage("mix", 10), Stage("oven", 2), Stage("bag", 3, 1)), (Wait("mix", "oven", (wait,)),), (),
        Programme(230, 0, 2, 2), (Treatment(TABLE, 60, 20), Treatment("sliced", frozen, 30, bag_by=240, freeze=30)),
        pieces, 0,
    )  # fmt: skip


def _meal(at: int, portions: int, strict: bool, age: int, milli: int) -> Meal:
    ways = (Accept("loaf", frozenset({FRESH, FINISHED, TOAST}), age),)
    return Meal(f"meal {at}", f"meal {at}", "meal", at, 2, portions, strict, ways, frozenset(), milli)


def _by_one(
    processes: tuple[Process, ...], worth: tuple[tuple[int, int], ...], meals: list[Meal], price: int, *hands: Spans
) -> Problem:
    """Return a day of one baker, who may mix at 9:00 and at 10:00, and an oven that nobody else wants."""
    form, routes = Form("sliced", 4, 1, 1, 1, 100, MUCH, MUCH), (Route("slices", "sliced", TOAST),)
    bread = Bread("loaf", "loaf", 4, 500, 900, False, frozenset(), processes, (form,), routes, worth)
    free = union(((540, 550), (600, 610), *(span for spans in hands for span in spans)))
    person = Person("p0", "P 0", True, True, True, ((0, 2 * DAY),), free, (), ((0, price),))
    oven = Oven("oven", "oven", 1, 0, 20, 20, 10, 5, 30, 20, 20, (), ())
    return replace(
        tiny_home(0), midnights=(0, DAY), shown_days=1, people=(person,), ovens=(oven,), breads=(bread,),
        meals=tuple(meals), lots=(),
    )  # fmt: skip


def _person(rng: random.Random, number: int, days: int) -> Person:
    free: list[tuple[int, int]] = []
    for day in range(days):
        for hour in rng.sample(range(6, 22), rng.randint(7, 11)):
            start = DAY * day + 60 * hour + rng.choice((0, 30))
            free.append((start, start + rng.choice((10, 15, 20))))
    away: Spans = tuple((DAY * day + 600, DAY * day + 720) for day in range(days) if rng.random() < 0.3)
    price = tuple((360 * step, rng.choice((500, 1000, 1700))) for step in range(4 * days))
    bakes = number == 0 or rng.random() < 0.6
    name = f"P {number}"
    return homes.person(
        f"p{number}", _outside(away, days), union(free), price=price, name=name, adult=number == 0, bakes=bakes
    )


def _outside(away: Spans, days: int) -> Spans:
    edges = [0, *(edge for span in away for edge in span), DAY * (days + 2)]
    return tuple(zip(edges[::2], edges[1::2], strict=True))


def _bread(rng: random.Random) -> Bread:
    sliced = rng.random() < 0.4
    form = Form("sliced", 4, 1, 1, 1, 100, MUCH, MUCH) if sliced else Form("part", 1, 4, 1, 1, 100, MUCH, MUCH)
    finish = Route("finish", "part", FINISHED, "worktop", (60, rng.choice((120, 240))), 2, (220, 10), 8, 2, 10, 600)
    routes = (Route("slices", "sliced", TOAST),) if sliced else (finish,)
    freeze = rng.choice((30, 120))
    processes = tuple(_process(rng, form, f"way {number}", freeze) for number in range(rng.choice((1, 1, 2))))
    worth = rng.choice((((100, 200),), ((4, 900), (100, 200))))  # so that nothing is taken out only to be rid of it
    return Bread("loaf", "loaf", 4, 500, 900, False, frozenset(), processes, (form,), routes, worth)


def _process(rng: random.Random, form: Form, id_: str, freeze: int) -> Process:
    low = rng.choice((60, 120))
    treatments = (
        Treatment(TABLE, 60, 20),
        Treatment(form.id, rng.choice((60, 30)), 30, bag_by=240, freeze=freeze),
    )
    return Process(
        id_, id_, (Stage("mix", 10), Stage("oven", 2), Stage("bag", 3, 1)),
        (Wait("mix", "oven", ((low, low + rng.choice((90, 180))),)),), (), Programme(230, 0, 2, 2), treatments,
        rng.choice(((1, 2), (1,), (2,))), rng.choice((0, 2000)),
    )  # fmt: skip


def _oven(rng: random.Random, days: int) -> Oven:
    bookings, closed = [], []
    for day in range(days):
        start = DAY * day + 60 * rng.randint(9, 18)
        if rng.random() < 0.6:
            bookings.append(
                Booking(f"roast {day}", start, start + 60, rng.choice((None, 200, 230)), rng.choice((0, 1)))
            )
        if rng.random() < 0.4:
            closed.append((DAY * day + 19 * 60, DAY * day + 20 * 60))
    return homes.oven(
        tuple(closed), *bookings, places=1, vessels=0, heat_up=20, heat_up_vessel=20, hot_gap=30, watch_after_vessel=20
    )


def _meals(rng: random.Random, days: int) -> list[Meal]:
    ways = (Accept("loaf", frozenset({FRESH, FINISHED, TOAST}), rng.choice((360, 900))),)
    meals = []
    for day in range(days):
        for hour in sorted(rng.sample(range(7, 22), 3)):
            at, portions = DAY * day + 60 * hour + rng.choice((0, 7)), rng.randint(1, 5)
            id_ = f"meal {at}"
            meals.append(Meal(id_, id_, "meal", at, 2, portions, False, ways, frozenset(), rng.choice((0, 100, 250))))
    return meals
