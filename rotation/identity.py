"""What stays the same thing from one plan to the next: bakes, thaws, finishes and their stays in an oven.

A thing gets a random id when it is first published and keeps it. A new plan's things are matched with those published
by bread, by process or form and meal, and by least shift; bags are in no id. The UID of an entry is the id of its thing
and the step it stands for.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import uuid4

from rotation.carried import Carried
from rotation.plan import Plan, Stay
from rotation.problem import STARTER, is_thawing, kept_as

FAR = timedelta(hours=84)
"""Half a week: further than that from a published bake, one of the same process is another bake."""

NEAR = timedelta(hours=12)
"""Further than that, one of another process, or a thaw for other meals, is another."""


@dataclass(frozen=True)
class Thing:
    """A bake, thaw, finish or feed of a plan. way: process or form; meals: ids of those it is for; at: its start."""

    id: str
    kind: str
    bread: str
    way: str
    meals: frozenset[str]
    at: datetime


def uid(thing: str, step: str) -> str:
    """Return the UID of the entry of a thing's step."""
    return f"{thing}-{step.replace(' ', '-')}"


def things(carried: Carried) -> Iterator[Thing]:
    """Yield the bakes not yet begun, the thaws that take a trip, the finishes, and the feeds of a plan."""
    plan, meals = carried.plan, _meals(carried.plan)
    for bake in plan.bakes:
        if bake.under_way is None:
            first = min(step.start for step in bake.steps)
            yield Thing(bake.id, "bake", bake.bread, bake.process, meals(bake.id), carried.instant(first))
    for out in plan.take_outs:
        if out.who is not None and not is_thawing(out.form):
            yield Thing(out.id, "thaw", out.bread, out.form, meals(out.id), carried.instant(out.at))
    for feed in plan.feedings:
        yield Thing(feed.id, "feed", STARTER, "", frozenset(), carried.instant(feed.start))
    outs = {out.id: out for out in plan.take_outs}
    for finish in plan.finishes:
        out = outs[finish.take_out]
        at = carried.instant(finish.stay.start)
        yield Thing(finish.id, "finish", out.bread, kept_as(out.form), meals(out.id), at)


def _meals(plan: Plan) -> Callable[[str], frozenset[str]]:
    return lambda source: frozenset(serving.meal for serving in plan.servings if serving.source == source)


def owners(plan: Plan) -> dict[str, str]:
    """Return whose each stay is: the id of its bake or finish, by the stay's."""
    bakes = {bake.stay.id: bake.id for bake in plan.bakes}
    return bakes | {finish.stay.id: finish.id for finish in plan.finishes}


def kinds(carried: Carried) -> dict[str, str]:
    """Return the kind of each thing of a plan, by its id: "bake", "thaw", "finish", "feed" or "stay"."""
    found = {thing.id: thing.kind for thing in things(carried)} | dict.fromkeys(_begun(carried.plan), "bake")
    return found | dict.fromkeys(owners(carried.plan), "stay")


def _begun(plan: Plan) -> list[str]:
    """Return the ids of the bakes under way: they have them from where they were begun."""
    return [bake.id for bake in plan.bakes if bake.under_way is not None]


def given_up(before: Carried, new: Carried, now: datetime) -> frozenset[str]:
    """Return the ids of what a plan had still to come, and the one after it has no more."""
    ahead = {thing.id for thing in things(before) if thing.at >= now}
    ahead |= {stay for stay, owner in owners(before.plan).items() if owner in ahead}
    return frozenset(ahead - kinds(new).keys())


def matched(new: Carried, before: Carried, alive: Collection[str]) -> dict[str, str]:
    """Return for things of a new plan the ids of those of the one before that they are; only of those alive."""
    found: dict[str, str] = {}
    olds = [thing for thing in things(before) if thing.id in alive]
    pairs = sorted(
        (nearness, one.at, other.at, one.id, other.id)
        for one in things(new)
        for other in olds
        if (nearness := _nearness(one, other)) is not None
    )
    for _, _, _, one_id, other_id in pairs:
        if one_id not in found and other_id not in found.values():
            found[one_id] = other_id
    stays = {owner: stay for stay, owner in owners(before.plan).items() if stay in alive}
    found |= {stay: stays[found[owner]] for stay, owner in owners(new.plan).items() if found.get(owner) in stays}
    return found


def _nearness(one: Thing, other: Thing) -> tuple[int, timedelta] | None:
    """Return how well two things match, the least best; None if they are not the same."""
    shift = abs(one.at - other.at)
    if (one.kind, one.bread) != (other.kind, other.bread):
        return None
    if one.kind == "feed":
        return (0, shift) if shift <= FAR else None
    if one.kind == "bake":
        same = one.way == other.way
        return (0 if same else 1, shift) if shift <= (FAR if same else NEAR) else None
    if one.way != other.way:
        return None
    if one.meals & other.meals:
        return 0, shift
    return (1, shift) if shift <= NEAR else None


def renamed(carried: Carried, names: Mapping[str, str]) -> Carried:
    """Return the plan with other ids of its things, wherever they are spoken of."""
    plan = carried.plan

    def name(id_: str) -> str:
        return names.get(id_, id_)

    def lot(id_: str) -> str:
        owner, colon, form = id_.rpartition(":")
        return f"{name(owner)}:{form}" if colon and owner in names else id_

    def stay(of: Stay) -> Stay:
        how, colon, other = of.heat.partition(":")
        return replace(of, id=name(of.id), heat=f"{how}{colon}{name(other)}")

    def trip(id_: str) -> str:
        how, colon, of = id_.partition(":")
        return f"{how}{colon}{name(of)}"

    def dealt(lots: Iterable[tuple[str, int]]) -> tuple[tuple[str, int], ...]:
        return tuple((lot(id_), units) for id_, units in lots)

    return carried.with_plan(
        replace(
            plan,
            bakes=tuple(
                replace(b, id=name(b.id), stay=stay(b.stay), lots=tuple((form, lot(id_)) for form, id_ in b.lots))
                for b in plan.bakes
            ),
            take_outs=tuple(replace(o, id=name(o.id), lots=dealt(o.lots), trip=trip(o.trip)) for o in plan.take_outs),
            finishes=tuple(
                replace(f, id=name(f.id), take_out=name(f.take_out), stay=stay(f.stay)) for f in plan.finishes
            ),
            discards=tuple(replace(d, lot=lot(d.lot)) for d in plan.discards),
            feedings=tuple(replace(feed, id=name(feed.id)) for feed in plan.feedings),
            servings=tuple(replace(s, source=name(s.source)) for s in plan.servings),
        )
    )


def christened(carried: Carried, known: Collection[str]) -> Carried:
    """Return the plan in which all things have an id that lasts: those not known yet a new random one."""
    begun = {*_begun(carried.plan)}
    begun |= {stay for stay, owner in owners(carried.plan).items() if owner in begun}
    return renamed(carried, {id_: uuid4().hex for id_ in kinds(carried) if id_ not in known and id_ not in begun})
