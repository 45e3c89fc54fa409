"""Changes of the sample's house and of its plan, in a few words each."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rotation.plan import Feeding, KeptWish, Plan, Serving, Step, TakeOut
from rotation.problem import Problem, Starter
from tests.rules.house import DAY, FRI, SAT, SUN, at, problem
from tests.rules.sample import begun, finish, plan

Case = tuple[Problem, Plan]


def baked(of: Plan | None = None, **change: Any) -> Plan:
    """Return the plan with its bake changed."""
    of = of or plan()
    return replace(of, bakes=(replace(of.bakes[0], **change), *of.bakes[1:]))


def stayed(**change: Any) -> Plan:
    """Return the plan with its bake's stay changed."""
    return baked(stay=replace(plan().bakes[0].stay, **change))


def stepped(name: str, of: Plan | None = None, **change: Any) -> Plan:
    """Return the plan with one step of its bake changed."""
    of = of or plan()
    return baked(of, steps=tuple(replace(s, **change) if s.name == name else s for s in of.bakes[0].steps))


def taken(id_: str, **change: Any) -> Plan:
    """Return the plan with one take-out changed."""
    return replace(plan(), take_outs=tuple(replace(o, **change) if o.id == id_ else o for o in plan().take_outs))


def finished(stay: dict[str, Any] | None = None, **change: Any) -> Plan:
    """Return the plan with its finish changed."""
    only = plan().finishes[0]
    return replace(plan(), finishes=(replace(only, stay=replace(only.stay, **(stay or {})), **change),))


def served(meal: str, portions: int) -> Plan:
    """Return the plan with other portions at a meal."""
    servings = (replace(s, portions=portions) if s.meal == meal else s for s in plan().servings)
    return replace(plan(), servings=tuple(servings))


def sourdough(**change: Any) -> Problem:
    """Return the house with another sourdough."""
    return replace(
        problem(), breads=tuple(replace(b, **change) if b.id == "sourdough" else b for b in problem().breads)
    )


def out_until(minute: int) -> Problem:
    """Return the house whose loaves from the worktop may go into the oven until a minute."""
    routes = problem().bread("sourdough").routes
    return sourdough(routes=tuple(replace(r, until=minute) if r.id == "worktop" else r for r in routes))


def process(**change: Any) -> Problem:
    """Return the house with another process of the sourdough."""
    return sourdough(processes=(replace(problem().bread("sourdough").processes[0], **change),))


def waiting(first: str, second: str, shortest: int, longest: int, of: Problem | None = None) -> Problem:
    """Return the house with other bounds between two steps."""
    of = of or problem()
    bread = of.bread("sourdough")
    waits = (
        replace(w, bounds=((shortest, longest),)) if (w.first, w.second) == (first, second) else w
        for w in bread.processes[0].waits
    )
    other = replace(bread, processes=(replace(bread.processes[0], waits=tuple(waits)),))
    return replace(of, breads=tuple(other if b.id == bread.id else b for b in of.breads))


def treated(id_: str, of: Problem | None = None, **change: Any) -> Problem:
    """Return the house with another treatment of the sourdough."""
    of = of or problem()
    bread = of.bread("sourdough")
    treatments = tuple(replace(t, **change) if t.id == id_ else t for t in bread.processes[0].treatments)
    other = replace(bread, processes=(replace(bread.processes[0], treatments=treatments),))
    return replace(of, breads=tuple(other if b.id == bread.id else b for b in of.breads))


def oven(**change: Any) -> Problem:
    """Return the house with another oven."""
    return replace(problem(), ovens=(replace(problem().ovens[0], **change),))


def booked(**change: Any) -> Problem:
    """Return the house with another roast."""
    return oven(bookings=(replace(problem().ovens[0].bookings[0], **change),))


def kitchen(**change: Any) -> Problem:
    """Return the house with another kitchen."""
    return replace(problem(), kitchen=replace(problem().kitchen, **change))


def lot(id_: str, **change: Any) -> Problem:
    """Return the house with one lot changed."""
    return replace(problem(), lots=tuple(replace(o, **change) if o.id == id_ else o for o in problem().lots))


def meal(id_: str, **change: Any) -> Problem:
    """Return the house with one meal changed."""
    return replace(problem(), meals=tuple(replace(m, **change) if m.id == id_ else m for m in problem().meals))


def everybody(**change: Any) -> Problem:
    """Return the house with all its people changed."""
    return replace(problem(), people=tuple(replace(person, **change) for person in problem().people))


def second_finish(
    start: int,
    heat: str,
    heat_from: int,
    *,
    out_at: int = at(SAT, 20, 30),
    trip: str = "trip 2",
    route: str = "worktop",
) -> Plan:
    """Return the plan with the last loaf of bag D finished too."""
    out = TakeOut("out 2", "sourdough", "part-baked", route, 1, (("lot-b", 1),), out_at, "sam", trip, start)
    return replace(
        plan(),
        take_outs=(*plan().take_outs, out),
        finishes=(*plan().finishes, finish("finish 2", out, start, heat, heat_from)),
    )


def by_roast(start: int, heat: str, heat_from: int) -> Plan:
    """Return the plan with the last loaf of bag D finished on the heat of Sunday's roast."""
    return second_finish(start, heat, heat_from, out_at=at(SUN, 9))


def two_bakes() -> Plan:
    """Return the plan with the same bake twice."""
    twin = replace(plan().bakes[0], id="b2", lots=(("part-baked", "b2:part-baked"),))
    twin = replace(twin, stay=replace(twin.stay, id="stay-b2"))
    return replace(plan(), bakes=(*plan().bakes, twin))


def answered(*answers: KeptWish) -> Plan:
    """Return the plan with other answers to the wishes."""
    by_id = {answer.wish: answer for answer in (*plan().wishes, *answers)}
    return replace(plan(), wishes=tuple(by_id.values()))


def wished(**change: Any) -> Problem:
    """Return the house with its first wish changed."""
    first, *others = problem().wishes
    return replace(problem(), wishes=(replace(first, **change), *others))


def by_fridge() -> Plan:
    """Return the plan with Saturday's loaves thawed in the fridge."""
    return taken("out", route="fridge")


def overdue(deadline: int, *late: str, free_from: int = 0) -> Case:
    """Return the bake under way, to be shaped by a minute and shaped at minute 60, nobody free before a minute."""
    house, of = begun("fold")
    longest = deadline - of.bakes[0].steps[2].end
    house = waiting("fold", "shape", 60, longest, house)
    people = (replace(p, free=tuple((max(a, free_from), b) for a, b in p.free if b > free_from)) for p in house.people)
    return replace(house, people=tuple(people)), baked(of, late=late)


def with_under_way(**change: Any) -> Case:
    house, of = begun("fold")
    return replace(house, under_way=(replace(house.under_way[0], **change),)), of


def fold_again() -> Case:
    house, of = begun("fold")
    fold = of.bakes[0].steps[2]
    return house, stepped("fold", of, start=fold.start - 1, end=fold.end - 1)


def hungry() -> Problem:
    """Return the house with guests on Saturday who want more than one stay in the oven holds."""
    return meal("sat-breakfast", portions=30)


def two_trips(second: int = at(FRI, 20, 30), route: str = "fridge", house: Problem | None = None) -> Case:
    """Return hungry guests and both loaves of Saturday taken in one trip, the second by a route and at a minute."""
    first, toast = plan().take_outs
    parts = (
        replace(first, units=1, lots=(("lot-a", 1),)),
        replace(first, id="out 2", units=1, lots=(("lot-b", 1),), at=second, route=route),
    )
    whole = plan().finishes[0]
    one = finish("finish", parts[0], whole.stay.start, "cold", whole.stay.heat_from)
    two = finish("finish 2", parts[1], whole.stay.start, "with:stay-finish", whole.stay.start)
    two = replace(two, who_in="jo", who_out="jo")
    servings = (Serving("sat-breakfast", "out", 14), Serving("sat-breakfast", "out 2", 6))
    others = tuple(serving for serving in plan().servings if serving.source != "out")
    of = replace(plan(), take_outs=(*parts, toast), finishes=(one, two), servings=servings + others)
    return house or hungry(), of


def with_the_first(start: int) -> Case:
    """Return hungry guests and the last loaf of bag D in the oven with Saturday's."""
    made = second_finish(start, "with:stay-finish", start, out_at=at(FRI, 20, 30), trip="trip", route="fridge")
    first, second = made.finishes
    return hungry(), replace(made, finishes=(first, replace(second, who_in="jo", who_out="jo")))


def pot_after_roast() -> Case:
    """Return the bake right after a roast of its own temperature, whose heat no pot has shared."""
    house = booked(start=at(SUN, 7, 30), end=at(SUN, 8, 20), temperature_degc=230)
    return house, stayed(heat="after:roast", heat_from=at(SUN, 8, 20), who_on=None)


def bagged_late(*late: str, now: int = at(SUN, 11, 55)) -> Case:
    """Return the bake out of the oven, to be bagged by 11:50, told at a minute and bagged at 12."""
    house, of = begun("oven", now)
    return treated("part-baked", house, bag_by=150), baked(of, late=late)


def fed(start: int, minutes: int = 5, who: str = "sam") -> Plan:
    """Return the plan with a feed of the starter beside its bake."""
    return replace(plan(), feedings=(Feeding("feed", start, start + minutes, who),))


def kept_starter(
    last: int, start: int | None = None, *, every: int = 7 * DAY, minutes: int = 5, who: str = "sam"
) -> Case:
    """Return the house with a starter fed last at a minute, and the plan with a feed of it beside its bake, if any."""
    house = replace(problem(), starter=Starter(last, every, 5))
    return house, plan() if start is None else fed(start, minutes, who)


def two_heats(*events: Step) -> Case:
    """Return the finish of Saturday at two heats, 240 degC after nine minutes, with these hands at the oven."""
    routes = tuple(
        replace(r, turns=((9, 240),)) if r.id == "worktop" else r for r in problem().bread("sourdough").routes
    )
    return sourdough(routes=routes), finished({"turns": ((9, 240),), "events": events})
