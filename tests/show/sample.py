"""A weekend as a plan, made by hand: rolls finished for guests, sourdough through one pot, toast, a loaf bought."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from rotation.oven_turns import bake_turns, events
from rotation.plan import (
    Bake,
    Bought,
    Discard,
    Finish,
    KeptWish,
    Load,
    Plan,
    Serving,
    Stay,
    Step,
    TakeOut,
    Tier,
)
from rotation.problem import (
    BOUGHT,
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
    Problem,
    Process,
    Programme,
    Route,
    Shop,
    Spans,
    Stage,
    Treatment,
    UnderWay,
    Use,
    Wait,
    Weights,
    Wish,
)
from tests import homes

ZERO = datetime(2027, 3, 5, 16, 0, tzinfo=UTC)
"""Friday, 17:00 in Berlin."""
ZONE = ZoneInfo("Europe/Berlin")
FRI, SAT, SUN, MON, TUE = range(5)


def at(day: int, hour: int, minute: int = 0) -> int:
    """Return the minute of a local time."""
    return 1440 * day + 60 * (hour - 17) + minute


def week(weekday: tuple[tuple[int, int], tuple[int, int]], weekend: tuple[tuple[int, int], tuple[int, int]]) -> Spans:
    """Return one span a day."""
    days = [weekday if day in (FRI, MON, TUE) else weekend for day in range(5)]
    return tuple((max(at(day, *start), 0), at(day, *end)) for day, (start, end) in enumerate(days))


SOURDOUGH = homes.sourdough(
    Process(
        id="overnight",
        name="cold proof",
        stages=(
            Stage("feed", 5),
            Stage("mix", 15),
            *(Stage(f"fold {k}", 2) for k in (1, 2, 3)),
            Stage("shape", 5, 5),
            Stage("oven", 2),
            Stage("bag", 2, 1),
        ),
        waits=(
            Wait("feed", "mix", ((600, 900),)),
            Wait("mix", "fold 1", ((30, 60),)),
            Wait("fold 1", "fold 2", ((25, 45),)),
            Wait("fold 2", "fold 3", ((25, 45),)),
            Wait("fold 3", "shape", ((120, 400),)),
            Wait("mix", "shape", ((240, 450),), whole=True),
            Wait("shape", "oven", ((480, 1440),)),
        ),
        uses=(Use("bowl", "mix", "shape"), Use("banneton", "shape", "oven"), Use("fridge", "shape", "oven")),
        programme=Programme(230, 25, 1, 2),
        treatments=(Treatment(TABLE, 20, 60), Treatment("part-baked", 5, 120, 600, 720)),
        pieces=(1, 2, 3),
        fixed=20_000,
    ),
    forms=(replace(homes.PART_BAKED, unit_grams=850),),
    worth=((42, 1500),),
)

ROLLS = Bread(
    id="rolls",
    name="rolls",
    portions=2,
    dough_grams=80,
    keeps=1440,
    filled=False,
    allergens=frozenset({"wheat", "milk"}),
    processes=(),
    forms=(replace(homes.PART_BAKED, portions_per_unit=2, unit_dl=4, unit_grams=70),),
    routes=(replace(homes.WORKTOP, thaw=(120, 900), oven=(220, 10), load_units=12, keeps=1440),),
)

TIN = homes.tin(routes=(homes.TOASTED, Route("thaw", "sliced", THAWED, "worktop", (60, 60), keeps=720)))


def meal(id_: str, summary: str, minute: int, heads: int, portions: int, strict: bool = False) -> Meal:
    """Return a meal at which every bread will do in every way."""
    kinds = frozenset({FRESH, FINISHED, THAWED, TOAST, BOUGHT})
    accepts = tuple(Accept(bread, kinds, 4320) for bread in ("sourdough", "rolls", "tin"))
    return Meal(id_, f"{id_}@family", summary, minute, heads, portions, strict, accepts, frozenset(), 10, "habits")


def problem() -> Problem:
    """Return the weekend's problem: three days shown, two more as the tail."""
    inside = week(((6, 30), (22, 30)), ((7, 0), (23, 0)))
    free = week(((17, 30), (21, 30)), ((7, 30), (21, 0)))
    quick = tuple((at(day, 6, 45), at(day, 7, 15)) for day in (MON, TUE))
    return Problem(
        zero=ZERO,
        zone=ZONE,
        midnights=tuple(at(day, 0) for day in range(6)),
        shown_days=3,
        people=(
            homes.person("jo", inside, free, quick),
            homes.person("sam", inside, free, quick, bakes=False),
        ),
        ovens=(
            homes.oven(
                tuple((at(day, 17), at(day, 19)) for day in range(5)),
                Booking("roast", at(SUN, 15), at(SUN, 16, 30), 180, 0),
            ),
        ),
        kitchen=homes.kitchen(freezer_dl=400, freezing_grams_24h=2000),
        breads=(SOURDOUGH, ROLLS, TIN),
        meals=(
            meal("fri-supper", "Supper", at(FRI, 19), 4, 6),
            meal("sat-breakfast", "Breakfast with Grandma\x1b[31m", at(SAT, 8, 35), 6, 18, strict=True),
            meal("sat-lunch", "Lunch", at(SAT, 12, 30), 4, 6),
            meal("sun-breakfast", "Breakfast", at(SUN, 9), 4, 4),
            meal("sun-lunch", "Lunch with the neighbours", at(SUN, 12, 30), 8, 20, strict=True),
            meal("mon-lunchbox", "Lunchboxes", at(MON, 7), 3, 6),
        ),
        lots=(
            Lot("lot-tin", "A", "tin", "sliced", 30, at(FRI, 12) - 14400, at(FRI, 12) - 13680, 25920, 106560),
            Lot("lot-rolls", "B", "rolls", "part-baked", 12, at(FRI, 12) - 7200, at(FRI, 12) - 6480, 33120, 113760),
            Lot("lot-old", "C", "sourdough", "part-baked", 1, -150_000, -149_280, -109_020, -28_500),
        ),
        box=(BoxItem("box-heel", "sourdough", FRESH, 2, -2000, at(SAT, 12)),),
        under_way=(),
        shop=Shop((at(FRI, 18, 30), at(SAT, 18)), 16, 2880, 25_000, frozenset({"wheat", "milk"})),
        weights=Weights(15_000, 1562, 100_000, 10, 1500, 2000),
        wishes=(Wish("wish-1", "no bake", "tin", at(SAT, 0), at(SUN, 0), said="no tin loaf on Saturday"),),
    )


def plan() -> Plan:
    """Return the weekend's plan."""
    process = SOURDOUGH.processes[0]
    pieces = ((TABLE, 1), ("part-baked", 2))
    into = at(SUN, 8, 30)
    turns = bake_turns(process, pieces, problem().ovens[0])
    oven_steps = tuple(
        Step(e.name, into + e.offset, into + e.offset + 2, "jo") for e in events(turns, process.programme)
    )
    loads = tuple(Load(t.pieces, into + t.start, into + t.uncover, into + t.out) for t in turns)
    sunday = Stay("stay-1", "oven", 230, True, "cold", at(SUN, 7, 45), into, at(SUN, 9, 50), loads, "jo", oven_steps)
    bake = Bake(
        id="bake-1",
        bread="sourdough",
        process="overnight",
        day=SAT,
        pieces=pieces,
        steps=(
            Step("feed", at(FRI, 20, 30), at(FRI, 20, 35), "jo"),
            Step("mix", at(SAT, 9), at(SAT, 9, 15), "jo"),
            Step("fold 1", at(SAT, 10), at(SAT, 10, 2), "jo"),
            Step("fold 2", at(SAT, 10, 30), at(SAT, 10, 32), "jo"),
            Step("fold 3", at(SAT, 11), at(SAT, 11, 2), "jo"),
            Step("shape", at(SAT, 15), at(SAT, 15, 20), "jo"),
            Step("oven", into, into + 2, "jo"),
            Step("bag", at(SUN, 12), at(SUN, 12, 4), "jo"),
        ),
        stay=sunday,
        ready=at(SUN, 10, 50),
        put_in=at(SUN, 12, 4),
        lots=(("part-baked", "bake-1:part-baked"),),
    )
    rolls_in = at(SAT, 8)
    return Plan(
        bakes=(bake,),
        take_outs=(
            TakeOut(
                "out-rolls",
                "rolls",
                "part-baked",
                "worktop",
                9,
                (("lot-rolls", 9),),
                at(FRI, 20, 35),
                "jo",
                "trip-1",
                rolls_in,
            ),
            TakeOut("toast-1", "tin", "sliced", "toast", 4, (("lot-tin", 4),), at(SUN, 9), None, "", at(SUN, 9)),
            TakeOut("toast-2", "tin", "sliced", "toast", 6, (("lot-tin", 6),), at(MON, 7), None, "", at(MON, 7)),
        ),
        finishes=(
            Finish(
                "finish-1",
                "out-rolls",
                Stay(
                    "stay-2",
                    "oven",
                    220,
                    False,
                    "cold",
                    at(SAT, 7, 45),
                    rolls_in,
                    rolls_in + 10,
                    (Load(9, rolls_in, rolls_in, rolls_in + 10),),
                    "sam",
                ),
                "sam",
                "sam",
                rolls_in + 25,
            ),
        ),
        bought=(Bought("bought-1", 1, at(FRI, 18, 30)),),
        discards=(Discard("lot-old", 1, at(SAT, 12)),),
        servings=(
            Serving("fri-supper", "bought-1", 6),
            Serving("sat-breakfast", "out-rolls", 18),
            Serving("sat-lunch", "bought-1", 6),
            Serving("sun-breakfast", "toast-1", 4),
            Serving("sun-lunch", "bake-1", 14),
            Serving("mon-lunchbox", "toast-2", 6),
        ),
        wishes=(KeptWish("wish-1", True, 0),),
        status="feasible",
        tiers=(Tier("wishes", 0, 0), Tier("strict", 6, 6), Tier("effort", 140_250, 133_000)),
        terms=(
            ("hands", 77_000),
            ("bakes", 20_000),
            ("heat_ups", 30_000),
            ("unmet", 0),
            ("bought", 25_000),
            ("frozen", 4_000),
            ("stock", -15_750),
        ),
    )


def begun() -> tuple[Problem, Plan]:
    """Return the house on Saturday noon with the bake under way, its folds done, and the plan that goes on with it."""
    house, bake, now = problem(), plan().bakes[0], at(SAT, 12)

    def earlier(spans: Spans) -> Spans:
        return tuple((max(start - now, 0), end - now) for start, end in spans if end > now)

    def back(step: Step) -> Step:
        return replace(step, start=step.start - now, end=step.end - now, who=step.who if step.start > now else None)

    steps, stay = tuple(back(step) for step in bake.steps), bake.stay
    loads = tuple(Load(o.pieces, o.start - now, o.uncover - now, o.out - now) for o in stay.loads)
    moved = replace(
        stay,
        heat_from=stay.heat_from - now,
        start=stay.start - now,
        end=stay.end - now,
        loads=loads,
        events=tuple(back(event) for event in stay.events),
    )
    going_on = replace(
        bake,
        day=0,
        steps=steps,
        stay=moved,
        ready=bake.ready - now,
        put_in=at(SUN, 12, 4) - now,
        under_way="begun",
    )
    done = tuple((step.name, step.start, step.end) for step in steps if step.who is None)
    home = replace(
        house,
        zero=house.zero + timedelta(minutes=now),
        midnights=tuple(midnight - now for midnight in house.midnights[1:]),
        shown_days=2,
        people=tuple(
            replace(one, inside=earlier(one.inside), free=earlier(one.free), quick=earlier(one.quick))
            for one in house.people
        ),
        ovens=tuple(replace(oven, closed=earlier(oven.closed), bookings=()) for oven in house.ovens),
        meals=(),
        lots=(),
        box=(),
        wishes=(),
        under_way=(UnderWay("begun", "sourdough", "overnight", 3, done),),
    )
    return home, Plan(bakes=(going_on,))
