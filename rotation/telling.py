"""What a family wants to know of a plan, before it is put into any form: what is shown, which meal, by when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from rotation import facts
from rotation.facts import Source
from rotation.plan import Bake, Plan, Stay, Step, TakeOut
from rotation.problem import GRID, Lot, Meal, Problem, free_spans


def shown_end(problem: Problem) -> int:
    """Return the minute at which the shown days end; what comes after is the tail, which is only there for the cost."""
    return problem.midnights[problem.shown_days]


def shown(problem: Problem, plan: Plan) -> Plan:
    """Return the plan without the tail: whatever begins in the shown days, the stays those depend on, whom it feeds.

    Its servings are those of the shown meals, and those of later ones that eat what is made in the shown days.
    """
    end = shown_end(problem)
    stays = dict(stays_of(plan))
    wanted = {bake.id for bake in plan.bakes if begins(bake) < end}
    take_outs = tuple(take_out for take_out in plan.take_outs if take_out.at < end)
    finish_of = {finish.take_out: finish for finish in plan.finishes}
    wanted |= {finish_of[take_out.id].id for take_out in take_outs if take_out.id in finish_of}
    owners = {stay.id: owner for owner, stay in stays.items()}
    waiting = list(wanted)
    while waiting:
        leads = owners.get(stays[waiting.pop()].heat.partition(":")[2])
        if leads is not None and leads not in wanted:
            wanted.add(leads)
            waiting.append(leads)
    kept_finishes = tuple(finish for finish in plan.finishes if finish.id in wanted)
    needed = {finish.take_out for finish in kept_finishes}
    bought = tuple(bought for bought in plan.bought if bought.buy_by < end)
    meals = {meal.id for meal in problem.meals if meal.at < end}
    made = wanted | {out.id for out in take_outs} | {one.id for one in bought}
    return replace(
        plan,
        bakes=tuple(bake for bake in plan.bakes if bake.id in wanted),
        take_outs=tuple(out for out in plan.take_outs if out.at < end or out.id in needed),
        finishes=kept_finishes,
        bought=bought,
        discards=tuple(discard for discard in plan.discards if discard.at < end),
        feedings=tuple(feed for feed in plan.feedings if feed.start < end),
        servings=tuple(serving for serving in plan.servings if serving.meal in meals or serving.source in made),
    )


def begins(bake: Bake) -> int:
    """Return the minute of the first thing still to be done for a bake."""
    return min([step.start for step in bake.steps if step.who is not None] + [bake.stay.heat_from, bake.stay.start])


def stays_of(plan: Plan) -> Iterator[tuple[str, Stay]]:
    """Yield each stay in an oven with the id of the bake or finish it belongs to, in time order."""
    both = [(bake.id, bake.stay) for bake in plan.bakes] + [(finish.id, finish.stay) for finish in plan.finishes]
    yield from sorted(both, key=lambda pair: (pair[1].heat_from, pair[1].start, pair[1].id))


def follower(plan: Plan, stay: Stay) -> Stay | None:
    """Return the stay that keeps the oven hot after this one, or None."""
    return next((other for _, other in stays_of(plan) if other.heat == f"after:{stay.id}"), None)


def host(stay: Stay) -> str:
    """Return the id of the stay that this one shares the oven with, its own if with none."""
    return stay.heat.removeprefix("with:") if stay.heat.startswith("with:") else stay.id


def first_in(stay: Stay) -> int:
    """Return the pieces that go into the oven together when a stay begins."""
    return sum(load.pieces for load in stay.loads if load.start == stay.start)


def meals_from(problem: Problem, plan: Plan, source: str) -> tuple[tuple[Meal, int], ...]:
    """Return the meals that eat from a source, in time order, each with its portions."""
    portions = {serving.meal: serving.portions for serving in plan.servings if serving.source == source}
    return tuple((meal, portions[meal.id]) for meal in problem.meals if meal.id in portions)


def short(problem: Problem, plan: Plan, meal: Meal) -> int:
    """Return the portions a meal wants and does not get."""
    return meal.portions - sum(serving.portions for serving in plan.servings if serving.meal == meal.id)


def latest(problem: Problem, bake: Bake, step: str) -> int | None:
    """Return the last minute at which a step may start as the dough allows, given the steps before it; None: no limit.

    Before the oven the longest wait binds the last load, so the first must go in that much sooner.
    """
    process = problem.bread(bake.bread).process(bake.process)
    lag = bake.stay.loads[-1].start - bake.stay.start if step == "oven" else 0
    limits = []
    for wait in process.waits:
        first = bake.step(wait.first)
        if wait.second == step and first is not None:
            limits.append((first.start if wait.whole else first.end) + wait.on(bake.day)[1] - lag)
    return min(limits, default=None)


def sources(problem: Problem, plan: Plan) -> tuple[Source, ...]:
    """Return all bread that becomes ready to eat, by the time it is ready."""
    some = (source for source in facts.sources(problem, plan).values() if source.portions)
    return tuple(sorted(some, key=lambda source: (source.ready, source.id)))


@dataclass(frozen=True)
class Bag(Lot):
    """A lot that is, or will be, in the freezer. `bake`: id of the bake that fills it, or "" if it is there already."""

    bake: str = ""


def bags(problem: Problem, plan: Plan) -> tuple[Bag, ...]:
    """Return the bags of the start, then those of the plan's bakes, oldest first."""
    found = [
        Bag(o.id, o.letter, o.bread, o.form, o.units, o.bagged, o.through, o.eat_first, o.toast_after, o.strict)
        for o in problem.lots
    ]
    for bake in plan.bakes:
        bread = problem.bread(bake.bread)
        for form_id, lot in bake.lots:
            if bake.put_in is None:
                continue
            form, treatment = bread.form(form_id), bread.process(bake.process).treatment(form_id)
            first, toast = (problem.date_end(bake.put_in, date) for date in (form.eat_first, form.toast_after))
            strict = None if form.strict is None else problem.date_end(bake.put_in, form.strict)
            number, at = bake.count(form_id) * form.units_per_piece, bake.put_in
            found.append(
                Bag(lot, "", bread.id, form_id, number, at, at + treatment.freeze, first, toast, strict, bake.id)
            )
    return tuple(sorted(found, key=lambda found: (found.bagged, found.id)))


def last_hands(problem: Problem, minutes: int, by: int) -> int | None:
    """Return the last planned start, by `by`, of a job at the freezer for somebody free then; None: nobody."""
    ends = [
        min(end - minutes, by)
        for person in problem.people
        if person.bakes or person.finishes
        for start, end in free_spans(person, minutes)
        if start <= by and start + minutes <= end
    ]
    return max(ends) // GRID * GRID if ends else None


def trips(plan: Plan) -> Iterator[tuple[TakeOut, ...]]:
    """Yield the take-outs made in one trip to the freezer, in time order; those at a meal are not trips."""
    by_trip: dict[str, list[TakeOut]] = {}
    for out in sorted(plan.take_outs, key=lambda out: (out.at, out.id)):
        if out.who is not None:
            by_trip.setdefault(out.trip or out.id, []).append(out)
    yield from (tuple(outs) for outs in by_trip.values())


def hands(bake: Bake) -> tuple[Step, ...]:
    """Return every moment of hands still to come for a bake, those at the oven included, in time order."""
    ahead = [step for step in (*bake.steps, *bake.stay.events) if step.who is not None]
    return tuple(sorted(ahead, key=lambda step: (step.start, step.end)))
