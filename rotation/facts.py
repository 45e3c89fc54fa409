"""What follows from a finished plan: jobs of hands, lots and their movements, bread ready to eat.

Plain derivations for the rules' checks and the scores of the costs, written from the meaning of `Plan` alone. The
solver uses none of them, so that a plan is judged by other code than that which made it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from rotation.plan import Bake, Finish, Plan, Stay, TakeOut
from rotation.problem import (
    BOUGHT,
    FRESH,
    GRID,
    TABLE,
    TOAST,
    Person,
    Problem,
    Route,
    Spans,
    covers,
    free_spans,
)


@dataclass(frozen=True)
class Job:
    """Minutes of one person's hands. where: id of the bake, finish or trip; bakes: whether it takes who may bake."""

    where: str
    step: str
    person: str | None
    start: int
    end: int
    bakes: bool
    bread: str

    @property
    def minutes(self) -> int:
        """How long it takes."""
        return self.end - self.start


def done_steps(problem: Problem, bake: Bake) -> dict[str, tuple[int, int]]:
    """Return the real minutes of the steps that were done before the plan begins."""
    begun = next((begun for begun in problem.under_way if begun.id == bake.under_way), None)
    return {name: (start, end) for name, start, end in begun.done} if begun else {}


def in_oven(problem: Problem, bake: Bake) -> bool:
    """Say whether the first load went in before the plan begins, so that its stay is a fact and no plan."""
    return "oven" in done_steps(problem, bake)


def allowed(person: Person, bakes: bool) -> bool:
    """Say whether a person may do a job: whoever bakes may do every job."""
    return person.bakes or (person.finishes and not bakes)


def jobs(problem: Problem, plan: Plan) -> Iterator[Job]:
    """Yield every job of hands still to come that takes time."""
    yield from (job for job in _all_jobs(problem, plan) if job.end > job.start)


def _all_jobs(problem: Problem, plan: Plan) -> Iterator[Job]:
    for bake in plan.bakes:
        done, stay = done_steps(problem, bake), bake.stay
        for step in bake.steps:
            if step.name not in done:
                yield Job(bake.id, step.name, step.who, step.start, step.end, True, bake.bread)
        for event in stay.events:
            if event.start >= 0 or "oven" not in done:
                yield Job(bake.id, event.name, event.who, event.start, event.end, True, bake.bread)
        if stay.heat == "cold" and "oven" not in done:
            yield Job(bake.id, "oven on", stay.who_on, stay.heat_from, stay.heat_from + 1, True, bake.bread)
    for trip, outs in trips(problem, plan).items():
        minutes = max(route_of(problem, out).handling_out for out in outs)
        yield Job(trip, "take out", outs[0].who, outs[0].at, outs[0].at + minutes, False, "")
    for finish in plan.finishes:
        out, stay = taken_for(plan, finish), finish.stay
        minutes = route_of(problem, out).handling
        yield Job(finish.id, "in", finish.who_in, stay.start, stay.start + minutes, False, out.bread)
        for event in stay.events:
            yield Job(finish.id, event.name, event.who, event.start, event.end, False, out.bread)
        yield Job(finish.id, "out", finish.who_out, stay.end, stay.end + minutes, False, out.bread)
        if stay.heat == "cold":
            yield Job(finish.id, "oven on", stay.who_on, stay.heat_from, stay.heat_from + 1, False, out.bread)


def nobody_free(problem: Problem, bakes: bool, minutes: int, first: int, last: int) -> bool:
    """Say whether no allowed person could begin a job at any planned start within `[first, last]`."""
    spans = [free_spans(person, minutes) for person in problem.people if allowed(person, bakes)]
    starts = range(-(-max(first, 0) // GRID) * GRID, last + 1, GRID)
    return not any(covers(free, start, start + minutes) for free in spans for start in starts)


def trips(problem: Problem, plan: Plan) -> dict[str, tuple[TakeOut, ...]]:
    """Return the take-outs of each trip to the freezer, by trip id; one without a trip id is a trip of its own."""
    found: dict[str, tuple[TakeOut, ...]] = {}
    for out in plan.take_outs:
        if route_of(problem, out).gives != TOAST:
            trip = out.trip or out.id
            found[trip] = (*found.get(trip, ()), out)
    return found


def route_of(problem: Problem, out: TakeOut) -> Route:
    """Return the route of a take-out."""
    return problem.bread(out.bread).route(out.route)


def taken_for(plan: Plan, finish: Finish) -> TakeOut:
    """Return the take-out that a finish browns."""
    return next(out for out in plan.take_outs if out.id == finish.take_out)


def finish_of(plan: Plan, out: TakeOut) -> Finish | None:
    """Return the finish of a take-out, or None."""
    return next((finish for finish in plan.finishes if finish.take_out == out.id), None)


def stays(plan: Plan) -> tuple[Stay, ...]:
    """Return all stays in the ovens, those of bakes first."""
    return (*(bake.stay for bake in plan.bakes), *(finish.stay for finish in plan.finishes))


def planned_stays(problem: Problem, plan: Plan) -> Iterator[Stay]:
    """Yield the stays that are not already in the oven when the plan begins."""
    yield from (bake.stay for bake in plan.bakes if not in_oven(problem, bake))
    yield from (finish.stay for finish in plan.finishes)


@dataclass(frozen=True)
class Batch:
    """One lot of the opening stock or of a bake. Minutes as in `Lot`; `put_in`: 0 for opening lots."""

    id: str
    bread: str
    form: str
    units: int
    bagged: int
    put_in: int
    through: int
    past_toast: int
    strict: int | None

    @property
    def order(self) -> tuple[int, str]:
        """Where it stands among the lots of its bread and form: by bagging (so by date too), then id."""
        return (self.bagged, self.id)


def batches(problem: Problem, plan: Plan) -> dict[str, Batch]:
    """Return all lots by id, the oldest first."""
    found = [
        Batch(lot.id, lot.bread, lot.form, lot.units, lot.bagged, 0, lot.through, lot.toast_after, lot.strict)
        for lot in problem.lots
    ]
    for bake in plan.bakes:
        bread, at = problem.bread(bake.bread), bake.put_in
        for form_id, lot_id in bake.lots if at is not None else ():
            assert at is not None
            form, freeze = bread.form(form_id), bread.process(bake.process).treatment(form_id).freeze
            strict = None if form.strict is None else problem.date_end(at, form.strict)
            past, units = problem.date_end(at, form.toast_after), bake.count(form_id) * form.units_per_piece
            found.append(Batch(lot_id, bread.id, form_id, units, at, at, at + freeze, past, strict))
    return {batch.id: batch for batch in sorted(found, key=lambda batch: batch.order)}


@dataclass(frozen=True)
class Move:
    """Units of a lot put in (above zero) or gone (below), at a minute."""

    at: int
    lot: str
    units: int


def moves(problem: Problem, plan: Plan) -> tuple[Move, ...]:
    """Return all that goes into and out of the freezer, the opening stock at minute 0, in time order."""
    found = [Move(batch.put_in, batch.id, batch.units) for batch in batches(problem, plan).values()]
    found += [Move(out.at, lot, -units) for out in plan.take_outs for lot, units in out.lots]
    found += [Move(discard.at, discard.lot, -discard.units) for discard in plan.discards]
    return tuple(sorted(found, key=lambda move: move.at))


def held(moved: Iterable[Move], minute: int) -> dict[str, int]:
    """Return the units of each lot in the freezer at a minute, all movements of that minute made."""
    units: dict[str, int] = {}
    for move in moved:
        if move.at <= minute:
            units[move.lot] = units.get(move.lot, 0) + move.units
    return units


def portions_of(problem: Problem, batch: Batch, units: int) -> int:
    """Return the portions in units of a lot."""
    return units * problem.bread(batch.bread).form(batch.form).portions_per_unit


def portions_frozen(problem: Problem, plan: Plan, minute: int) -> dict[str, int]:
    """Return the portions of each bread in the freezer at a minute."""
    lots, total = batches(problem, plan), {bread.id: 0 for bread in problem.breads}
    for lot, units in held(moves(problem, plan), minute).items():
        total[lots[lot].bread] += portions_of(problem, lots[lot], units)
    return total


@dataclass(frozen=True)
class Source:
    """Bread ready to eat: from where, in which way, how many portions, from when until when. bread: "" for bought."""

    id: str
    bread: str
    kind: str
    portions: int
    ready: int
    until: int


def sources(problem: Problem, plan: Plan) -> dict[str, Source]:
    """Return all bread a meal can be served from, by the id a serving names."""
    found = [Source(item.id, item.bread, item.kind, item.portions, item.ready, item.until) for item in problem.box]
    for bake in plan.bakes:
        bread = problem.bread(bake.bread)
        portions = bake.count(TABLE) * bread.portions
        found.append(Source(bake.id, bread.id, FRESH, portions, bake.ready, bake.ready + bread.keeps))
    for out in plan.take_outs:
        route, finish = route_of(problem, out), finish_of(plan, out)
        ready = finish.ready if finish else out.ready
        portions = out.units * problem.bread(out.bread).form(out.form).portions_per_unit
        found.append(Source(out.id, out.bread, route.gives, portions, ready, ready + route.keeps))
    for bought in plan.bought:
        until, portions = bought.buy_by + problem.shop.keeps, bought.loaves * problem.shop.portions
        found.append(Source(bought.id, "", BOUGHT, portions, bought.buy_by, until))
    return {source.id: source for source in found}


Hold = tuple[int, int, int]
"""From when until when something is held, and how much of it."""


def holds(problem: Problem, plan: Plan) -> Iterator[tuple[str, Hold]]:
    """Yield what bakes and thaws hold of the kitchen: "bowl", "dough" (grams), "banneton", "fridge" (spots)."""
    for bake in plan.bakes:
        bread = problem.bread(bake.bread)
        last_load = max((load.start for load in bake.stay.loads), default=bake.stay.start)
        for use in bread.process(bake.process).uses:
            since, until = bake.step(use.since), bake.step(use.until)
            start = since.start if since else bake.stay.start
            end = last_load if use.until == "oven" else until.start if until else bake.stay.end
            yield use.what, (start, end, 1 if use.what == "bowl" else bake.total)
            if use.what == "bowl":
                yield "dough", (start, end, bake.total * bread.dough_grams)
    for out in plan.take_outs:
        route, finish = route_of(problem, out), finish_of(plan, out)
        if route.place == "fridge" and route.fridge_units > 0:
            yield "fridge", (out.at, finish.stay.start if finish else out.ready, -(-out.units // route.fridge_units))


def fullest(holds: Iterable[Hold], minute: int) -> int:
    """Return the sum of the amounts held at a minute, of holds given as `(start, end, amount)`."""
    return sum(amount for start, end, amount in holds if start <= minute < end)


def inside_any(spans: Spans, start: int, end: int) -> tuple[int, int] | None:
    """Return the first span that shares a minute with `[start, end)`, or None."""
    return next((span for span in spans if span[0] < end and start < span[1]), None)


def when(problem: Problem, minute: int) -> str:
    """Return "Sat 6 Mar 09:00" for a message."""
    at = problem.instant(minute)
    return f"{at:%a} {at.day} {at:%b %H:%M}"


def rank(problem: Problem, plan: Plan) -> tuple[int, int, int]:
    """Return what makes a plan better, the least first: wishes dropped, strict portions short, cost."""
    wanted = {meal.id: meal.portions for meal in problem.meals if meal.strict}
    served = sum(serving.portions for serving in plan.servings if serving.meal in wanted)
    return sum(not wish.kept for wish in plan.wishes), sum(wanted.values()) - served, plan.total
