"""A plan made by hand that keeps every rule: the ground the mutations are made on.

One bake of sourdough, mixed on Saturday and baked on Sunday in one covered vessel; two part-baked loaves of two bags,
thawed overnight and finished on Saturday; toast on Monday, an old bag thrown away, a loaf bought on Friday, and the
guests of Sunday six portions short.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from rotation.oven_turns import bake_turns, events, temperatures
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
    TABLE,
    Problem,
    Spans,
    UnderWay,
)
from tests.rules.house import DAY, FRI, MON, SAT, SUN, at, problem


def stay_of(bake: Bake, house: Problem, start: int, heat_from: int, who: str = "jo", heat: str = "cold") -> Stay:
    """Return the stay of a bake in the sample's oven, loaded at `start`."""
    process = house.bread(bake.bread).process(bake.process)
    turns = bake_turns(process, bake.pieces, house.ovens[0])
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
        events=tuple(
            Step(e.name, start + e.offset, start + e.offset + minutes, who) for e in events(turns, process.programme)
        ),
        turns=temperatures(turns, process.programme),
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
