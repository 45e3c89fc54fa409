"""Ways to break the sample's plan, each with the rules that must name it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from rotation.plan import Discard, KeptWish, Plan, Serving, Step
from rotation.problem import TOAST, Accept, Problem
from tests.rules.changes import (
    Case,
    answered,
    bagged_late,
    baked,
    booked,
    by_fridge,
    by_roast,
    everybody,
    fed,
    finished,
    fold_again,
    kept_starter,
    kitchen,
    lot,
    meal,
    out_until,
    oven,
    overdue,
    pot_after_roast,
    process,
    second_finish,
    served,
    sourdough,
    stayed,
    stepped,
    taken,
    treated,
    two_bakes,
    two_heats,
    two_trips,
    waiting,
    wished,
    with_the_first,
    with_under_way,
)
from tests.rules.house import DAY, FRI, MON, NIGHT, SAT, SUN, at, problem
from tests.rules.sample import begun, plan


@dataclass(frozen=True)
class Mutation:
    """One broken case. rule: the one it is made for; also: others that must name it too."""

    rule: str
    label: str
    make: Callable[[], Case]
    also: frozenset[str] = frozenset()


def set_at(after: int) -> tuple[int, int]:
    """Return the minute of hands so long after Saturday's finish goes in."""
    start = plan().finishes[0].stay.start + after
    return start, start + 1


def _of(rule: str, label: str, make: Callable[[], Problem | Plan | Case], *also: str) -> Mutation:
    def case() -> Case:
        made = make()
        if isinstance(made, Problem):
            return made, plan()
        return (problem(), made) if isinstance(made, Plan) else made

    return Mutation(rule, label, case, frozenset(also))


MUTATIONS: tuple[Mutation, ...] = (
    _of("references", "a serving from nowhere", lambda: replace(plan(), servings=(Serving("mon-breakfast", "x", 1),))),
    _of("references", "one serving twice", lambda: replace(plan(), servings=(plan().servings[0],) * 2)),
    _of("references", "a step of a stranger", lambda: stepped("fold", who="kim")),
    _of("references", "a finish of no take-out", lambda: finished(take_out="x")),
    _of("references", "two bakes of one name", lambda: replace(plan(), bakes=plan().bakes * 2)),
    _of("references", "a route from another form", lambda: taken("toast", route="worktop")),
    _of("references", "an oven that is not there", lambda: stayed(oven="other")),
    _of("grid", "a step at a minute off the grid", lambda: stepped("feed", start=at(FRI, 20, 1), end=at(FRI, 20, 6))),
    _of("grid", "a trip at a minute off the grid", lambda: taken("out", at=at(FRI, 20, 31))),
    _of("horizon", "a bake after the end", lambda: replace(problem(), midnights=problem().midnights[:3])),
    _of(
        "horizon",
        "thrown away before the start",
        lambda: replace(plan(), discards=(Discard("lot-old", 2, -5),)),
        "stock",
    ),
    _of("pieces", "a total the process does not allow", lambda: process(pieces=(1, 3))),
    _of("pieces", "treatments out of order", lambda: baked(pieces=plan().bakes[0].pieces[::-1])),
    _of("pieces", "a lot of another name", lambda: baked(lots=(("part-baked", "b1:x"),))),
    _of("pieces", "frozen, but never put in", lambda: baked(put_in=None), "rested"),
    _of("stages", "a fold that takes longer", lambda: stepped("fold", end=at(SAT, 9, 4))),
    _of("stages", "no fold", lambda: baked(steps=tuple(s for s in plan().bakes[0].steps if s.name != "fold"))),
    _of("stages", "another day", lambda: baked(day=SUN)),
    _of("stages", "loaded before the stay", lambda: stepped("oven", start=at(SUN, 8, 25), end=at(SUN, 8, 27))),
    _of("under_way", "other pieces", lambda: with_under_way(pieces=3)),
    _of("under_way", "other treatments than the oven decided", lambda: with_under_way(fixed=(("table", 2),))),
    _of("under_way", "forgotten", lambda: (begun("fold")[0], Plan())),
    _of("under_way", "another time of the fold", lambda: fold_again()),
    _of("waits", "shaped too late", lambda: stepped("shape", start=at(SAT, 14, 30), end=at(SAT, 14, 45))),
    _of("waits", "folded too soon", lambda: stepped("fold", start=at(SAT, 8, 40), end=at(SAT, 8, 43))),
    _of("waits", "a whole span too long", lambda: waiting("mix", "shape", 240, 295)),
    _of("waits", "the last load too late", lambda: waiting("shape", "oven", 480, 1160)),
    _of("waits", "called late without being so", lambda: baked(late=("fold",))),
    _of(
        "waits",
        "folded while it is mixed",
        lambda: stepped("fold", start=at(SAT, 8, 10), end=at(SAT, 8, 13)),
        "hands",
    ),
    _of("waits", "late, and not said", lambda: overdue(-30)),
    _of("waits", "late, though somebody was free", lambda: overdue(30, "shape")),
    _of("one_mix", "mixed twice a day", two_bakes, "hands", "oven", "places", "kitchen"),
    _of("hands", "in hours that are not free", lambda: stepped("feed", start=at(FRI, 21, 5), end=at(FRI, 21, 10))),
    _of(
        "hands",
        "over the end of the free hours",
        lambda: stepped("feed", start=at(FRI, 20, 56), end=at(FRI, 21, 1)),
        "grid",
    ),
    _of("hands", "by somebody who does not bake", lambda: stepped("fold", who="sam")),
    _of("hands", "by nobody", lambda: stepped("fold", who=None)),
    _of("hands", "two things at once", lambda: taken("out", at=at(FRI, 20), who="jo")),
    _of("hands", "the oven switched on by nobody", lambda: stayed(who_on=None)),
    _of("hands", "one trip at two minutes", lambda: two_trips(at(FRI, 20, 40))),
    _of(
        "watch",
        "hot iron in an empty house",
        lambda: everybody(inside=((at(FRI, 6), at(SUN, 10)), (at(SUN, 11), at(MON, 22)))),
    ),
    _of(
        "turns",
        "hands at the oven too late",
        lambda: stayed(events=(*plan().bakes[0].stay.events[:-1], Step("out", 1, 3, "jo"))),
        "hands",
    ),
    _of("turns", "another temperature", lambda: stayed(degc=240)),
    _of("turns", "out too soon", lambda: stayed(end=plan().bakes[0].stay.end - 5), "rested"),
    _of("turns", "both loaves at once", lambda: stayed(loads=(plan().bakes[0].stay.loads[0],) * 2), "places"),
    _of("turns", "the heat turned down on the way", lambda: stayed(turns=((20, 210),))),
    _of("turns", "the heat left as it was", lambda: process(programme=replace(NIGHT.programme, turns=((30, 210),)))),
    _of("finishes", "the heat turned up on the way", lambda: finished({"turns": ((9, 240),)})),
    _of("turns", "no vessel", lambda: oven(vessels=0), "places"),
    _of("finishes", "nobody sets the other heat", two_heats),
    _of("finishes", "the other heat set late", lambda: two_heats(Step("set 240", *set_at(10), "sam"))),
    _of("finishes", "another heat set", lambda: two_heats(Step("set 250", *set_at(9), "sam"))),
    _of("hands", "the other heat set by whoever", lambda: two_heats(Step("set 240", *set_at(9), None))),
    _of("finishes", "another temperature", lambda: finished({"degc": 230})),
    _of(
        "finishes",
        "two loaves on one place",
        lambda: finished({"loads": (replace(plan().finishes[0].stay.loads[0], pieces=2),)}),
    ),
    _of("finishes", "not finished at all", lambda: replace(plan(), finishes=()), "rested"),
    _of("together", "two finishes by one route for one breakfast", lambda: two_trips(route="worktop")),
    _of("together", "by two routes, though one stay holds all that is wanted", lambda: two_trips(house=problem())),
    _of("closed", "heating in closed hours", lambda: oven(closed=((at(SUN, 7), at(SUN, 7, 50)),))),
    _of("oven", "in a booking", lambda: booked(start=at(SUN, 9, 15), end=at(SUN, 10))),
    _of("oven", "heating in a booking", lambda: booked(start=at(SUN, 7), end=at(SUN, 7, 50))),
    _of("oven", "two stays at once", lambda: second_finish(at(SUN, 9, 10), "cold", at(SUN, 8, 55))),
    _of("heat", "not long enough", lambda: stayed(heat_from=at(SUN, 7, 50))),
    _of("heat", "after a stay, still too hot", lambda: second_finish(at(SUN, 9, 20), "after:stay-b1", at(SUN, 9, 20))),
    _of("heat", "after a stay, cold again", lambda: second_finish(at(SUN, 9, 45), "after:stay-b1", at(SUN, 9, 20))),
    _of("heat", "after nothing", lambda: second_finish(at(SUN, 9, 25), "after:x", at(SUN, 9, 20))),
    _of("heat", "with itself", lambda: finished({"heat": "with:stay-finish"})),
    _of(
        "heat",
        "after a booking of unknown heat",
        lambda: (booked(temperature_degc=None), by_roast(at(SUN, 16, 5), "after:roast", at(SUN, 16))),
    ),
    _of(
        "heat",
        "beside a booking at another heat",
        lambda: (booked(temperature_degc=180), by_roast(at(SUN, 14, 30), "beside:roast", at(SUN, 14, 30))),
    ),
    _of("heat", "beside a booking that is over", lambda: by_roast(at(SUN, 15, 50), "beside:roast", at(SUN, 15, 50))),
    _of("heat", "with a stay that began before", lambda: with_the_first(at(SAT, 8, 40)), "places"),
    _of("heat", "a covered stay on bare heat", lambda: pot_after_roast()),
    _of(
        "places",
        "no room beside the roast",
        lambda: (booked(places_left=0), by_roast(at(SUN, 14, 30), "beside:roast", at(SUN, 14, 30))),
    ),
    _of("places", "three loaves on two places", lambda: with_the_first(at(SAT, 8, 35))),
    _of("kitchen", "no bowl", lambda: kitchen(bowls=((0, 1), (at(SAT, 12), 0)))),
    _of("kitchen", "too much dough", lambda: kitchen(dough_grams=((0, 1799),))),
    _of("kitchen", "too few bannetons", lambda: kitchen(bannetons=((0, 3), (at(SUN, 6), 1)))),
    _of("kitchen", "no fridge for guests' food", lambda: kitchen(fridge_spots=((0, 3), (at(SAT, 14), 1)))),
    _of("kitchen", "no fridge to thaw in", lambda: (kitchen(fridge_spots=((0, 1), (at(SAT, 10), 3))), by_fridge())),
    _of(
        "cooled",
        "bagged warm",
        lambda: baked(stepped("bag", start=at(SUN, 11, 15), end=at(SUN, 11, 18)), put_in=at(SUN, 11, 18)),
    ),
    _of("cooled", "bagged dry", lambda: treated("part-baked", bag_by=150)),
    _of("cooled", "called late without being so", lambda: baked(late=("bag",))),
    _of("cooled", "late, and not said", lambda: bagged_late()),
    _of("rested", "eaten too soon", lambda: baked(ready=at(SUN, 10))),
    _of("rested", "a finish not stood", lambda: finished(ready=at(SAT, 8, 53))),
    _of("rested", "put in before it is bagged", lambda: baked(put_in=at(SUN, 12))),
    _of("frozen_through", "soft inside", lambda: lot("lot-b", through=at(FRI, 21))),
    _of("thawed", "thawed too long", lambda: taken("out", at=at(FRI, 17, 30))),
    _of("thawed", "thawed too short", lambda: taken("out", at=at(SAT, 7, 30))),
    _of("thawed", "left out of the freezer", lambda: taken("out", route="frozen"), "finishes", "rested"),
    _of("thawed", "thawed already, and in the oven too late", lambda: out_until(at(SAT, 8, 34))),
    _of("filled", "a filled bread on the worktop", lambda: sourdough(filled=True), "cooled"),
    _of("freezer_room", "a decilitre short", lambda: kitchen(freezer_dl=((0, 133),))),
    _of("freezer_room", "guests' food comes", lambda: kitchen(freezer_dl=((0, 134), (at(SUN, 12), 99)))),
    _of("freezing_rate", "a gram too many", lambda: kitchen(freezing_grams_24h=((0, 399),))),
    _of("freezing_rate", "a rating that falls", lambda: kitchen(freezing_grams_24h=((0, 1000), (at(MON, 12), 399)))),
    _of(
        "stock",
        "more thrown away than there is",
        lambda: replace(plan(), discards=(Discard("lot-old", 3, at(FRI, 18)),)),
    ),
    _of("stock", "less than the take-out says", lambda: taken("toast", lots=(("lot-tin", 5),))),
    _of("stock", "of another bread", lambda: taken("toast", lots=(("lot-tin", 5), ("lot-b", 1)))),
    _of("stock", "nothing thrown away", lambda: replace(plan(), discards=(*plan().discards, Discard("lot-b", 0, 0)))),
    _of(
        "stock",
        "before it is put in",
        lambda: taken("out", lots=(("lot-a", 1), ("b1:part-baked", 1))),
        "fifo",
        "frozen_through",
    ),
    _of("fifo", "the younger bag first", lambda: taken("out", lots=(("lot-b", 2),))),
    _of("fifo", "an old bag left in", lambda: replace(plan(), discards=())),
    _of("fifo", "listed youngest first", lambda: taken("out", lots=plan().take_outs[0].lots[::-1])),
    _of("dates", "past its strict date", lambda: lot("lot-b", strict=at(FRI, 20))),
    _of("toast", "somebody's trip", lambda: taken("toast", who="jo")),
    _of("toast", "before the meal", lambda: taken("toast", at=at(MON, 6, 50), ready=at(MON, 6, 50)), "keeping"),
    _of("toast", "for nobody", lambda: replace(plan(), servings=plan().servings[:3])),
    _of("portions", "more than a meal wants", lambda: served("sat-breakfast", 21)),
    _of("portions", "more than there is", lambda: served("sun-lunch", 15)),
    _of("portions", "nothing", lambda: served("sun-lunch", 0)),
    _of("keeping", "after its time", lambda: sourdough(keeps=129)),
    _of("keeping", "before it is ready", lambda: meal("sun-lunch", at=at(SUN, 10, 15))),
    _of("accepted", "a bought loaf for guests", lambda: meal("fri-supper", strict=True)),
    _of("accepted", "a bought loaf where none will do", lambda: meal("fri-supper", bought=False)),
    _of(
        "accepted",
        "a way that will not do",
        lambda: meal("sun-lunch", accepts=(Accept("sourdough", frozenset({TOAST}), 2880),)),
    ),
    _of("accepted", "too old", lambda: meal("sun-lunch", accepts=(Accept("sourdough", frozenset({"fresh"}), 129),))),
    _of("allergens", "wheat at a table without", lambda: meal("sun-lunch", without=frozenset({"wheat"}))),
    _of("allergens", "a bought loaf of unknown make", lambda: meal("fri-supper", without=frozenset({"sesame"}))),
    _of("allergens", "an unknown ingredient", lambda: sourdough(allergens=frozenset({"?"}))),
    _of(
        "buying",
        "after the shop shut",
        lambda: replace(plan(), bought=(replace(plan().bought[0], buy_by=at(FRI, 18, 40)),)),
    ),
    _of("buying", "no loaf", lambda: replace(plan(), bought=(replace(plan().bought[0], loaves=0),)), "portions"),
    _of("wishes", "forgotten", lambda: replace(plan(), wishes=plan().wishes[1:])),
    _of("wishes", "dropped without a word", lambda: answered(KeptWish("wish-none", False))),
    _of("wishes", "said to be kept: a step", lambda: wished(at=at(SAT, 8, 30))),
    _of("wishes", "said to be kept: no bake", lambda: wished(kind="no bake", until=at(SAT, 9))),
    _of("wishes", "said to be kept: no finish", lambda: wished(kind="no finish", until=at(SAT, 10))),
    _of("wishes", "said to be kept: a thaw", lambda: wished(kind="fixed thaw", at=at(SAT, 8, 30))),
    _of("wishes", "said to be kept: a finish", lambda: wished(kind="fixed finish", at=at(SAT, 8, 30))),
    _of("starter", "unfed before the bake that feeds it", lambda: kept_starter(-7 * DAY)),
    _of("starter", "unfed after it", lambda: kept_starter(-600, every=DAY + 720)),
    _of("starter", "fed later than it could be", lambda: kept_starter(-7 * DAY, at(FRI, 8))),
    _of("starter", "fed in no time", lambda: kept_starter(-7 * DAY, at(FRI, 7, 30), minutes=2)),
    _of("starter", "nobody keeps one", lambda: fed(at(FRI, 8))),
    _of("hands", "the starter fed at night", lambda: kept_starter(-6 * DAY, at(FRI, 6))),
    _of("hands", "the starter fed beside another job", lambda: kept_starter(-6 * DAY, at(FRI, 20), who="jo")),
    _of("grid", "the starter fed off the grid", lambda: kept_starter(-6 * DAY, at(FRI, 8, 2))),
    _of("horizon", "the starter fed before the plan begins", lambda: kept_starter(-6 * DAY, -60), "hands"),
    _of("references", "the starter fed by a stranger", lambda: kept_starter(-6 * DAY, at(FRI, 8), who="nobody")),
)
