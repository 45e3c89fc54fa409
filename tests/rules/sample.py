"""A small house and a plan made by hand that keeps every rule: the ground the mutations are made on.

Day 0 is a Friday, minute 0 its midnight in Berlin. One bake of sourdough, mixed on Saturday and baked on Sunday in one
covered vessel; two part-baked loaves of two bags, thawed overnight and finished on Saturday; toast on Monday, an old
bag thrown away, a loaf bought on Friday, and Sunday's guests six portions short.
"""

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
)
from rotation.problem import (
    BOUGHT,
    FINISHED,
    FRESH,
    TABLE,
    TOAST,
    Accept,
    Booking,
    Bread,
    Form,
    Kitchen,
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
    UnderWay,
    Use,
    Wait,
    Weights,
    Wish,
)

FRI, SAT, SUN, MON, TUE = range(5)
DAY = 1440


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
SOURDOUGH = Bread(
    id="sourdough",
    name="sourdough",
    portions=14,
    dough_grams=900,
    keeps=3 * DAY,
    filled=False,
    allergens=frozenset({"wheat"}),
    processes=(NIGHT,),
    forms=(
        Form(
            "part-baked", 1, 14, unit_dl=30, unit_grams=800, load_percent=50, eat_first=28 * DAY, toast_after=84 * DAY
        ),
    ),
    routes=(
        Route("worktop", "part-baked", FINISHED, "worktop", (300, 900), oven=(220, 18), stand=15, keeps=2160),
        Route(
            "fridge",
            "part-baked",
            FINISHED,
            "fridge",
            (600, 1200),
            oven=(220, 18),
            stand=15,
            keeps=2160,
            fridge_units=1,
        ),
        Route("frozen", "part-baked", FINISHED, "", oven=(200, 50), stand=30, keeps=1440),
    ),
    worth=((10, 1500), (10, 500)),
)
TIN = Bread(
    id="tin",
    name="tin loaf",
    portions=16,
    dough_grams=800,
    keeps=3 * DAY,
    filled=False,
    allergens=frozenset({"wheat", "milk"}),
    processes=(),
    forms=(Form("sliced", 16, 1, unit_dl=2, unit_grams=45, load_percent=50, eat_first=28 * DAY, toast_after=84 * DAY),),
    routes=(Route("toast", "sliced", TOAST),),
)
OVEN = Oven(
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
    closed=daily((17, 0), (19, 0)),
    bookings=(Booking("roast", at(SUN, 14), at(SUN, 16), 220, 1),),
)
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
            Person(
                "jo", "Jo", True, True, True, inside, free, daily((6, 45), (7, 15)), ((0, 1000), (at(SUN, 0), 2000))
            ),
            Person("sam", "Sam", True, False, True, inside, free, (), ((0, 1500),)),
        ),
        ovens=(OVEN,),
        kitchen=Kitchen(
            bowls=((0, 1),),
            dough_grams=((0, 3000),),
            bannetons=((0, 3),),
            fridge_spots=((0, 3),),
            freezer_dl=((0, 134),),
            freezing_grams_24h=((0, 1000),),
        ),
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


def stay_of(bake: Bake, house: Problem, start: int, heat_from: int, who: str = "jo", heat: str = "cold") -> Stay:
    """Return the stay of a bake in the sample's oven, loaded at `start`."""
    process = house.bread(bake.bread).process(bake.process)
    turns = bake_turns(process, bake.pieces, house.ovens[0].vessels, house.ovens[0].places)
    minutes = process.programme.handling
    return Stay(
        id=f"stay-{bake.id}",
        oven="oven",
        degc=process.programme.degc,
        vessel=process.programme.covered > 0,
        heat=heat,
        heat_from=heat_from,
        start=start,
        end=start + max(turn.out for turn in turns),
        loads=tuple(Load(turn.pieces, start + turn.start, start + turn.uncover, start + turn.out) for turn in turns),
        who_on=who if heat == "cold" else None,
        events=tuple(Step(e.name, start + e.offset, start + e.offset + minutes, who) for e in events(turns)),
    )


def finish(
    id_: str, out: TakeOut, start: int, heat: str, heat_from: int, *, degc: int = 220, minutes: int = 18
) -> Finish:
    """Return a finish of all the loaves of a take-out, one on a place, by Sam."""
    loads = tuple(Load(1, start, start, start + minutes) for _ in range(out.units))
    who_on = "sam" if heat == "cold" else None
    stay = Stay(f"stay-{id_}", "oven", degc, False, heat, heat_from, start, start + minutes, loads, who_on)
    return Finish(id_, out.id, stay, "sam", "sam", start + minutes + 15)


def bake(house: Problem) -> Bake:
    """Return the bake: one loaf for the table, one part-baked."""
    empty = Stay("", "oven", 0, False, "cold", 0, 0, 0, ())
    into = at(SUN, 8, 30)
    made = Bake(
        id="b1",
        bread="sourdough",
        process="night",
        day=SAT,
        pieces=((TABLE, 1), ("part-baked", 1)),
        steps=(
            Step("feed", at(FRI, 20), at(FRI, 20, 5), "jo"),
            Step("mix", at(SAT, 8), at(SAT, 8, 15), "jo"),
            Step("fold", at(SAT, 9), at(SAT, 9, 3), "jo"),
            Step("shape", at(SAT, 13), at(SAT, 13, 15), "jo"),
            Step("oven", into, into + 2, "jo"),
            Step("bag", at(SUN, 12), at(SUN, 12, 3), "jo"),
        ),
        stay=empty,
        ready=at(SUN, 10, 20),
        put_in=at(SUN, 12, 3),
        lots=(("part-baked", "b1:part-baked"),),
    )
    return replace(made, stay=stay_of(made, house, into, at(SUN, 7, 45)))


def plan() -> Plan:
    """Return the plan, which breaks no rule."""
    lots = (("lot-a", 1), ("lot-b", 1))
    out = TakeOut("out", "sourdough", "part-baked", "worktop", 2, lots, at(FRI, 20, 30), "sam", "trip", at(SAT, 8, 35))
    toast = TakeOut("toast", "tin", "sliced", "toast", 6, (("lot-tin", 6),), at(MON, 7), None, "", at(MON, 7))
    return Plan(
        bakes=(bake(problem()),),
        take_outs=(out, toast),
        finishes=(finish("finish", out, at(SAT, 8, 35), "cold", at(SAT, 8, 20)),),
        bought=(Bought("loaf", 1, at(FRI, 18, 30)),),
        discards=(Discard("lot-old", 2, at(FRI, 18)),),
        servings=(
            Serving("fri-supper", "loaf", 6),
            Serving("sat-breakfast", "out", 20),
            Serving("sun-lunch", "b1", 14),
            Serving("mon-breakfast", "toast", 6),
        ),
        wishes=(KeptWish("wish-mix", True), KeptWish("wish-none", True), KeptWish("wish-cold", True)),
    )


NOW = {"fold": at(SAT, 12), "shape": at(SAT, 14), "oven": at(SUN, 8, 55)}
"""When the plan of a bake under way begins, by the last step that is done."""


def begun(last: str, now: int | None = None) -> tuple[Problem, Plan]:
    """Return the house with the bake under way and nothing else, and the plan that goes on with it as it was meant."""
    house, of, now = problem(), bake(problem()), NOW[last] if now is None else now
    names = [step.name for step in of.steps]
    done = names[: names.index(last) + 1]
    steps = tuple(
        Step(step.name, step.start - now, step.end - now, None if step.name in done else step.who) for step in of.steps
    )
    ahead = tuple(midnight for midnight in house.midnights if midnight > now)
    midnights = tuple(midnight - now for midnight in (ahead[0] - DAY, *ahead))
    stay = stay_of(of, house, at(SUN, 8, 30) - now, at(SUN, 7, 45) - now)
    going_on = replace(
        of,
        day=SAT - (ahead[0] // DAY - 1),
        steps=steps,
        stay=replace(stay, events=tuple(replace(e, who=None) if e.start < 0 else e for e in stay.events)),
        ready=of.ready - now,
        put_in=steps[-1].end,
        under_way="begun",
    )
    return (
        replace(
            house,
            zero=house.zero + timedelta(minutes=now),
            midnights=midnights,
            shown_days=2,
            people=tuple(
                replace(who, inside=_later(who.inside, now), free=_later(who.free, now), quick=_later(who.quick, now))
                for who in house.people
            ),
            ovens=tuple(replace(oven, closed=_later(oven.closed, now), bookings=()) for oven in house.ovens),
            under_way=(
                UnderWay(
                    "begun", of.bread, of.process, of.total, tuple((s.name, s.start, s.end) for s in steps[: len(done)])
                ),
            ),
            meals=(),
            lots=(),
            wishes=(),
        ),
        Plan(bakes=(going_on,)),
    )


def _later(spans: Spans, now: int) -> Spans:
    """Return spans as they are told from a later minute 0."""
    return tuple((max(start - now, 0), end - now) for start, end in spans if end > now)
