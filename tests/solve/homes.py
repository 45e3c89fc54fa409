"""Invented homes as plain problems, from a few numbers: for tests of the solver and for benchmarks."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from rotation.problem import (
    FINISHED,
    FRESH,
    TABLE,
    THAWED,
    TOAST,
    Accept,
    Booking,
    BoxItem,
    Bread,
    Lot,
    Meal,
    Person,
    Problem,
    Process,
    Programme,
    Published,
    Route,
    Shop,
    Stage,
    Treatment,
    Use,
    Wait,
    Weights,
)
from tests import homes
from tests.homes import DAY, PART_BAKED, WORKTOP


def wheat_loaf() -> Bread:
    """A naturally leavened loaf: by day, or overnight in the fridge; part-baked for the freezer."""
    stages = (
        Stage("feed", 5), Stage("mix", 15), Stage("fold 1", 3), Stage("fold 2", 3), Stage("shape", 10, 2),
        Stage("oven", 3), Stage("bag", 4),
    )  # fmt: skip
    treatments = (
        Treatment(TABLE, uncovered=20, cool=60),
        Treatment("part-baked", uncovered=5, cool=120, bag_by=840, freeze=720),
    )
    programme = Programme(degc=240, covered=20, pieces_per_load=1, handling=3)

    def process(id_: str, name: str, waits: tuple[Wait, ...], held: str) -> Process:
        uses = (
            Use("bowl", "mix", "shape"),
            Use("banneton", "shape", "oven"),
            *((Use("fridge", "shape", "oven"),) if held else ()),
        )
        return Process(id_, name, stages, waits, uses, programme, treatments, (1, 2, 3, 4), 5000)

    def waits(feed: tuple[int, int], proof: tuple[int, int]) -> tuple[Wait, ...]:
        return (
            Wait("feed", "mix", (feed,)),
            Wait("mix", "fold 1", ((25, 60),)),
            Wait("fold 1", "fold 2", ((25, 60),)),
            Wait("fold 2", "shape", ((60, 240),)),
            Wait("mix", "shape", ((240, 320),), whole=True),
            Wait("shape", "oven", (proof,)),
        )

    return Bread(
        "wheat", "wheat loaf", 14, 900, 3 * DAY, False, frozenset({"wheat"}),
        (
            process("day", "by day", waits((240, 480), (60, 150)), ""),
            process("night", "overnight", waits((480, 720), (480, 1440)), "fridge"),
        ),
        (replace(PART_BAKED, unit_dl=35, unit_grams=780, load_percent=60),),
        (
            replace(WORKTOP, thaw=(300, 720), oven=(230, 18)),
            Route("frozen", "part-baked", FINISHED, "", oven=(200, 50), stand=30, keeps=24 * 60),
        ),
        ((14, 3500), (28, 1500)),
    )  # fmt: skip


def milk_tin() -> Bread:
    """An enriched tin loaf, baked fully, sliced and frozen."""
    stages = (Stage("mix", 15), Stage("shape", 8, 2), Stage("oven", 2), Stage("bag", 2, 3))
    waits = (Wait("mix", "shape", ((80, 130),)), Wait("shape", "oven", ((50, 90),)))
    process = Process(
        "day", "by day", stages, waits, (Use("bowl", "mix", "shape"),), Programme(190, 0, 1, 2),
        (Treatment(TABLE, 35, 60), Treatment("sliced", 35, 150, bag_by=840, freeze=480)), (1, 2), 5000,
    )  # fmt: skip
    return Bread(
        "tin", "milk tin", 16, 850, 3 * DAY, False, frozenset({"wheat", "milk"}), (process,),
        (replace(homes.SLICED, unit_grams=48, load_percent=60),),
        (replace(homes.TOASTED, id="slices"),),
        ((16, 3000), (32, 1200)),
    )  # fmt: skip


def rolls() -> Bread:
    """Small rolls, part-baked."""
    stages = (Stage("mix", 12), Stage("shape", 10, 1), Stage("oven", 2), Stage("bag", 3))
    waits = (Wait("mix", "shape", ((60, 120),)), Wait("shape", "oven", ((30, 75),)))
    process = Process(
        "day", "by day", stages, waits, (Use("bowl", "mix", "shape"),), Programme(220, 0, 8, 2),
        (Treatment(TABLE, 18, 20), Treatment("part-baked", 15, 40, bag_by=600, freeze=360)), (8, 16), 5000,
    )  # fmt: skip
    return Bread(
        "rolls", "rolls", 2, 70, DAY, False, frozenset({"wheat"}), (process,),
        (replace(PART_BAKED, portions_per_unit=2, unit_dl=4, unit_grams=65, load_percent=60),),
        (replace(WORKTOP, id="rolls", thaw=(90, 600), oven=(220, 8), load_units=8, stand=5, keeps=DAY),
         Route("rolls frozen", "part-baked", FINISHED, "", oven=(200, 15), load_units=8, stand=5, keeps=DAY)),
        ((8, 2500), (16, 1000)),
    )  # fmt: skip


def home(
    days: int = 14,
    breads: int = 3,
    adults: int = 2,
    seed: int = 1,
    *,
    tail: int = 4,
    lots: int = 3,
    vessels: int = 1,
    loaves_a_week: float = 5,
    guests: bool = True,
) -> Problem:
    """Return a home with that many adults and breads for that many shown days, a Monday first."""
    rng = random.Random(seed)
    total = days + tail
    midnights = tuple(DAY * day for day in range(total + 1))
    people = tuple(_person(f"p{number}", number, total, rng) for number in range(adults))
    catalogue = (wheat_loaf(), milk_tin(), rolls(), *(_like(wheat_loaf(), number) for number in range(5)))[:breads]
    oven = homes.oven(
        tuple(_daily(total, (17 * 60, 19 * 60), (22 * 60, 30 * 60))),
        *(Booking(f"roast {day}", DAY * day + 660, DAY * day + 750, 200, 0) for day in range(6, total, 7)),
        vessels=vessels, hot_gap=30, watch_after=30,
    )  # fmt: skip
    kitchen = homes.kitchen(180, 3000, bowls=2, dough_grams=5000, bannetons=4, fridge_spots=2)
    return Problem(
        datetime(2027, 3, 1, tzinfo=UTC), ZoneInfo("UTC"), midnights, days, people, (oven,), kitchen, catalogue,
        tuple(_meals(total, days, [b.id for b in catalogue], loaves_a_week, rng, guests)),
        tuple(_lot(catalogue[number % len(catalogue)], number) for number in range(lots)), (), (),
        Shop(tuple(DAY * day + 1140 for day in range(total) if day % 7 != 6), 16, 2 * DAY, 25000, frozenset({"?"})),
        Weights(3000, 2500, 50000, 15, 1000, 2000),
    )  # fmt: skip


def _lot(bread: Bread, number: int) -> Lot:
    form = bread.forms[0]
    bagged = -DAY * (10 - number)
    units = {"tin": 12, "rolls": 6}.get(bread.id, 1)
    return Lot(
        f"lot {number}",
        chr(65 + number),
        bread.id,
        form.id,
        units,
        bagged,
        bagged + 720,
        bagged + form.eat_first,
        bagged + form.toast_after,
    )


def _like(bread: Bread, number: int) -> Bread:
    return replace(bread, id=f"{bread.id}{number}", name=f"{bread.name} {number}", portions=14)


def _daily(days: int, *spans: tuple[int, int]) -> list[tuple[int, int]]:
    return [(DAY * day + start, DAY * day + end) for day in range(days) for start, end in spans]


def _person(id_: str, number: int, days: int, rng: random.Random) -> Person:
    inside: list[tuple[int, int]] = []
    free: list[tuple[int, int]] = []
    quick: list[tuple[int, int]] = []
    for day in range(days):
        at = DAY * day
        if day % 7 >= 5:
            inside.append((at + 390, at + 1380))
            free.append((at + 450, at + 1260))
        else:
            inside += [(at + 390, at + 460), (at + 1020 + 15 * number, at + 1380)]
            evening = at + 1050 + 30 * number
            gap = rng.randrange(3)
            free += [(evening, at + 1290)] if gap else [(evening, at + 1140), (at + 1230, at + 1290)]
            quick.append((at + 405, at + 435))
    price = tuple(
        (at, rate)
        for day in range(days)
        for at, rate in ((DAY * day, 1500), (DAY * day + 480, 1000), (DAY * day + 1170, 1100 + 100 * number))
    )
    return homes.person(id_, tuple(inside), tuple(free), tuple(quick), price, name=f"Person {number}")


def _meals(days: int, shown: int, breads: list[str], loaves: float, rng: random.Random, guests: bool) -> list[Meal]:
    def accepts(kinds: set[str], age: int, wanted: list[str]) -> tuple[Accept, ...]:
        return tuple(Accept(bread, frozenset(kinds), age) for bread in wanted)

    soft = {FRESH, FINISHED, THAWED, TOAST}
    slices = round(loaves * 14)
    out: list[Meal] = []
    for day in range(days):
        at = DAY * day
        share = slices * (day % 7 + 1) // 7 - slices * (day % 7) // 7
        breakfast = share // 2
        main = [b for b in breads if b != "rolls"]
        out.append(
            Meal(
                f"breakfast {day}",
                "",
                "breakfast",
                at + 420 + 60 * (day % 7 >= 5),
                4,
                breakfast,
                False,
                accepts(soft, 3 * DAY, main),
                frozenset(),
                20,
            )
        )
        out.append(
            Meal(
                f"supper {day}",
                "",
                "supper",
                at + 1110,
                4,
                share - breakfast,
                False,
                accepts(soft, 3 * DAY, main),
                frozenset(),
                40,
            )
        )
        if day % 7 < 5:
            kinds = {TOAST, FRESH}
            lunch = [b for b in breads if b == "tin"] or main
            out.append(
                Meal(f"lunch {day}", "", "lunch", at + 421, 3, 6, False, accepts(kinds, 2 * DAY, lunch), frozenset(), 0)
            )
        elif "rolls" in breads:
            out.append(
                Meal(
                    f"rolls {day}",
                    "",
                    "rolls",
                    at + 540,
                    4,
                    12,
                    False,
                    accepts({FRESH, FINISHED}, DAY, ["rolls"]),
                    frozenset(),
                    60,
                )
            )
        if guests and day < shown and day % 7 == 5:
            out.append(
                Meal(
                    f"guests {day}",
                    "",
                    "guests",
                    at + 1140,
                    6,
                    12,
                    True,
                    accepts({FRESH, FINISHED}, 2 * DAY, main),
                    frozenset(),
                    100,
                )
            )
    return out


def at_home(problem: Problem) -> Problem:
    """Return a home in which everybody is in, and free by day, as on a weekend."""
    days = range(problem.days)
    free = tuple((DAY * day + 450, DAY * day + 1260) for day in days)
    inside = tuple((DAY * day + 390, DAY * day + 1380) for day in days)
    return replace(problem, people=tuple(replace(p, free=free, inside=inside, quick=()) for p in problem.people))


def any_home(seed: int, days: int = 4) -> Problem:
    """Return a small home with what a week may hold: a full freezer, a hot oven, exceptions, a bread half eaten."""
    rng = random.Random(seed)
    made = home(days, rng.choice((1, 2)), rng.choice((1, 2)), seed, tail=1, lots=rng.randint(0, 4))
    end = made.end
    made = at_home(made) if rng.random() < 0.5 else made
    box = (
        (BoxItem("box", "wheat", FRESH, rng.randint(1, 9), -600, rng.randint(600, 3000)),) if rng.random() < 0.5 else ()
    )
    day = rng.randrange(days)
    published = (Published("wheat", "day", day, 3000), Published("wheat", "night", days - 1, 2000))
    kitchen = replace(
        made.kitchen,
        freezer_dl=((0, 180), (DAY * max(day, 1), rng.choice((60, 110, 180)))),
        fridge_spots=((0, rng.choice((0, 1, 2))),),
        freezing_grams_24h=((0, rng.choice((800, 1600, 3000))),),
    )
    return replace(
        made,
        people=tuple(_busier(person, rng, end) for person in made.people),
        ovens=tuple(replace(oven, bookings=tuple(_bookings(rng, days))) for oven in made.ovens),
        kitchen=kitchen,
        meals=tuple(_fussier(meal, rng) for meal in made.meals),
        box=box,
        published=published if rng.random() < 0.5 else None,
        weights=replace(made.weights, changed_by_day=(4000, 2000)),
    )


def _busier(person: Person, rng: random.Random, end: int) -> Person:
    """Return a person who has an appointment now and then."""
    at = rng.randrange(0, end, 15)
    free = tuple(
        piece
        for start, until in person.free
        for piece in ((start, min(until, at)), (max(start, at + 180), until))
        if piece[0] < piece[1]
    )
    return replace(person, free=free)


def _bookings(rng: random.Random, days: int) -> list[Booking]:
    """Return roasts and pizzas, some of an unknown temperature, some with room beside them."""
    out = []
    for day in range(days):
        if rng.random() < 0.5:
            start = DAY * day + rng.choice((660, 990, 1170))
            degc = rng.choice((None, 180, 240, 240))
            out.append(Booking(f"dish {day}", start, start + rng.choice((45, 75)), degc, rng.choice((0, 0, 1))))
    return out


def _fussier(meal: Meal, rng: random.Random) -> Meal:
    """Return a meal at which somebody may have to avoid milk, or which must not fail."""
    without = frozenset({"milk"}) if rng.random() < 0.15 else frozenset()
    return replace(meal, without=without, strict=meal.strict or rng.random() < 0.05)
