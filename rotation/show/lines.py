"""What happens in a plan, as lines in family words: each a time, a person, and what to do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

from calendars.text import clean
from rotation.keeping import FILLED, HOT_IRON, overdue
from rotation.naming import FINISH, OUT, THAW, Key
from rotation.plan import Bake, Finish, Plan, Stay, Step, TakeOut
from rotation.problem import FEED, TABLE, Problem, is_thawing
from rotation.show.eating import Eating
from rotation.show.line import Line
from rotation.telling import bags, first_in, follower, latest, meals_from, sources, stays_of, trips
from rotation.words import (
    bag,
    clock,
    count,
    event_words,
    feed_words,
    listed,
    meal_words,
    name_of,
    oven_at,
    pieces_of,
    pots,
    sliced,
    time_words,
    units,
)

WORTH_SAYING = 10
"""Minutes of slack from which the latest time of a step is printed."""

MANY_EVENTS = 3
"""From this many moments at the oven on, they share one line."""


LATE_DOUGH = "LATE? Cover the dough, into the fridge; go on when you can, and plan again."
"""What rescues nearly every dough whose hands are not there in time."""


def lines_of(
    problem: Problem, plan: Plan, recipes: Mapping[tuple[str, str], str], named: Mapping[Key, str] | None = None
) -> Iterator[Line]:
    """Yield the lines of a plan, in no order.

    recipes: bake id and step name to the grams that go in; named: what steps are called (rotation/naming.py).
    """
    writer = _Writer(problem, plan, named or {})
    for bake in plan.bakes:
        yield from writer.bake(bake, recipes)
    for finish in plan.finishes:
        yield from writer.finish(finish)
    for trip in trips(plan):
        yield from writer.trip(trip)
    for bought in plan.bought:
        loaves, by = count(bought.loaves, "loaf", "loaves"), bought.buy_by
        morning = max(problem.midnights[problem.day_of(by)], 0)
        yield Line(morning, "", "", f"BUY {loaves} by {writer.clock(by)}.{writer.for_(bought.id, by)}")
    for discard in plan.discards:
        yield writer.discard(discard.lot, discard.units, discard.at)
    for feeding in plan.feedings:
        said = feed_words(problem, feeding, recipes.get((feeding.id, FEED), ""))
        yield writer.line(feeding.start, feeding.who, said, (feeding.id, FEED))
    yield from Eating(problem, plan).lines()


class _Writer:
    def __init__(self, problem: Problem, plan: Plan, named: Mapping[Key, str]) -> None:
        self.problem, self.plan, self.named = problem, plan, named
        self.sources = {source.id: source for source in sources(problem, plan)}
        self.outs = {out.id: out for out in plan.take_outs}

    def clock(self, minute: int) -> str:
        return clock(self.problem.instant(minute))

    def line(self, minute: int, who: str | None, what: str, key: Key = ("", ""), caution: str = "") -> Line:
        """Return a line that has a name of its own where its step has one."""
        name = name_of(self.problem, who)
        return Line(minute, self.clock(minute), name, what, self.named.get(key, ""), key, caution=caution)

    def part(self, minute: int, who: str | None, what: str, key: Key) -> Line:
        """Return a line without a name: it is done when the step is of which it is a part."""
        return replace(self.line(minute, who, what, key), name="")

    def hot(self, stay: Stay, degc: int | None = None) -> str:
        """Return "220 (fan 200)", what the oven of a stay is set to: at its start, or to another heat."""
        return oven_at(degc or stay.degc, self.problem.oven(stay.oven))

    def for_(self, source: str, near: int) -> str:
        """Return " For Breakfast (Sat 8:35)." or nothing."""
        eaten = [meal_words(self.problem, meal, near) for meal, _ in meals_from(self.problem, self.plan, source)]
        shown = eaten[:3] + ([f"{len(eaten) - 3} more"] if len(eaten) > 3 else [])
        return f" For {listed(shown)}." if eaten else ""

    def loaves(self, bake: Bake, pieces: int) -> str:
        return pieces_of(self.problem.bread(bake.bread), pieces)

    def by(self, bake: Bake, step: Step) -> str:
        """Return " (by 16:30)" where the dough leaves that much slack."""
        last = latest(self.problem, bake, step.name)
        if last is None or last - step.start < WORTH_SAYING:
            return ""
        return f" (by {time_words(self.problem, last, step.start)})"

    def bake(self, bake: Bake, recipes: Mapping[tuple[str, str], str]) -> Iterator[Line]:
        steps = [step for step in bake.steps if step.who is not None and step.name not in ("oven", "bag")]
        for _, group in groupby(steps, key=lambda step: ("fold", step.who) if _fold(step) else (step.name, step.who)):
            same = list(group)
            if _fold(same[0]):
                times = ", ".join(self.clock(step.start) for step in same)
                with_it = [f"{self.clock(step.start)} {grams}" for step in same
                           if (grams := recipes.get((bake.id, step.name)))]  # fmt: skip
                key = (bake.id, same[-1].name)
                who = name_of(self.problem, same[0].who)
                yield Line(same[0].start, times, who, "; ".join(["fold", *with_it]), key=key)
            else:
                grams = recipes.get((bake.id, same[0].name), "")
                what = self.step(bake, same[0], grams)
                mind = self.overdue(bake, same[0].name)
                yield self.line(same[0].start, same[0].who, what, (bake.id, same[0].name), mind)
            if same[0].name == "mix":
                yield Line(self.problem.midnights[bake.day + 1] - 2, "", "", LATE_DOUGH, kind="note")
        yield from self.baking(bake)
        bagging = bake.step("bag")
        if bagging is not None and bagging.who is not None:
            what = self.late(bake, "bag") + self.bagging(bake, bagging)
            yield self.line(bagging.start, bagging.who, what, (bake.id, "bag"), self.overdue(bake, "bag"))

    def late(self, bake: Bake, name: str) -> str:
        """Return how the line of a step begins that is overdue."""
        return "LATE, as soon as you can: " if name in bake.late else ""

    def overdue(self, bake: Bake, name: str) -> str:
        """Return what to mind at a step that is overdue, or nothing."""
        return overdue(name, self.problem.bread(bake.bread).filled) if name in bake.late else ""

    def step(self, bake: Bake, step: Step, grams: str) -> str:
        """Return what to do at a step before the oven."""
        process = self.problem.bread(bake.bread).process(bake.process)
        title = "FEED STARTER for" if step.name == FEED else clean(step.name, 40).upper()
        what = f"{self.late(bake, step.name)}{title} {self.loaves(bake, bake.total)}{self.by(bake, step)}"
        what += f": {grams}." if grams else "."
        after = next((other for other in bake.steps if other.start > step.start), None)
        if step.name == FEED and after is not None:
            what += f" {after.name.capitalize()} {time_words(self.problem, after.start, step.start)}."
        if any(use.what == "fridge" and use.since == step.name for use in process.uses):
            what += f" Then FRIDGE, cold proof. Bake {time_words(self.problem, bake.stay.start, step.start)}."
        return what

    def heat(self, stay: Stay, what: str, key: Key) -> Iterator[Line]:
        """Yield the line that gets the oven hot. key: of what goes into it."""
        how, _, _ = stay.heat.partition(":")
        pot = f", {pots(stay)} inside" if stay.vessel else ""
        if how == "cold":
            yield self.part(stay.heat_from, stay.who_on, f"OVEN ON {self.hot(stay)}{pot}.", key)
        elif how == "after":
            into = self.clock(stay.start)
            said = f"LEAVE THE OVEN ON, {self.hot(stay)}: {what} in at {into}."
            first = min(stay.heat_from, stay.start - 1)  # it stands before what goes in at once
            yield replace(self.part(stay.heat_from, None, said, key), minute=first)

    def off(self, stay: Stay) -> str:
        """Return " Oven off." if nothing keeps it on after this stay."""
        kept = stay.heat.startswith("beside:") or follower(self.plan, stay) is not None
        lead = stay.heat.partition(":")[2] if stay.heat.startswith("with:") else stay.id
        group = [s for _, s in stays_of(self.plan) if s.id == lead or s.heat == f"with:{lead}"]
        last = max(group, key=lambda s: (s.end, s.id), default=stay)
        kept = kept or last.id != stay.id or any(follower(self.plan, s) for s in group)
        return "" if kept else " Oven off."

    def baking(self, bake: Bake) -> Iterator[Line]:
        """Yield the lines at the oven."""
        stay, into = bake.stay, bake.step("oven")
        if into is None or into.who is None:
            yield from self.out_of_oven(bake, stay.events)
            return
        yield from self.heat(stay, self.loaves(bake, bake.total), (bake.id, "oven"))
        turns = len({load.start for load in stay.loads})
        to = f", {turns} turns to {self.clock(stay.end)}" if turns > 1 else ""
        place = f" into the {pots(stay)}" if stay.vessel else ""
        heat = f" beside what is in, {self.hot(stay)}" if stay.heat.startswith("beside:") else ""
        late, loaves = self.late(bake, "oven"), self.loaves(bake, first_in(stay))
        what = f"{late}IN: {loaves}{place}{heat}{self.by(bake, into)}{to}."
        *between, _ = stay.events or (into,)
        if len(between) >= MANY_EVENTS:
            what += f" Then {', '.join(self.event(stay, event, into.who) for event in between)}."
            between = []
        mind = " ".join(filter(None, (self.overdue(bake, "oven"), HOT_IRON if stay.vessel else "")))
        yield self.line(stay.start, into.who, what, (bake.id, "oven"), mind)
        for event in between:
            yield self.part(event.start, event.who, f"{self.at_oven(stay, event).upper()}.", (bake.id, OUT))
        yield from self.out_of_oven(bake, stay.events[-1:] or (Step("out", stay.end, stay.end, into.who),))

    def out_of_oven(self, bake: Bake, events: Sequence[Step]) -> Iterator[Line]:
        """Yield what is still to come of some moments at the oven, the last of which has all loaves out."""
        for event in (event for event in events if event.start >= 0):
            if event.start < bake.stay.end:
                yield self.line(event.start, event.who, f"{self.at_oven(bake.stay, event).upper()}.")
            else:
                what = f"{event.name.upper()}.{self.off(bake.stay)}{self.cooling(bake)}"
                yield self.line(event.start, event.who, what, (bake.id, OUT))

    def at_oven(self, stay: Stay, event: Step) -> str:
        return event_words(event.name, self.problem.oven(stay.oven))

    def event(self, stay: Stay, event: Step, usual: str) -> str:
        other = f" ({name_of(self.problem, event.who)})" if event.who != usual else ""
        return f"{self.clock(event.start)} {self.at_oven(stay, event)}{other}"

    def cooling(self, bake: Bake) -> str:
        """Return what happens to the loaves that are out."""
        said = ""
        near = bake.stay.end
        if bake.count(TABLE):
            ready = time_words(self.problem, bake.ready, near)
            said += f" {self.loaves(bake, bake.count(TABLE))} to the table: cut from {ready}.{self.for_(bake.id, near)}"
        bagging = bake.step("bag")
        if bagging is not None:
            frozen = bake.total - bake.count(TABLE)
            said += f" Cool {frozen} on a rack; bag {time_words(self.problem, bagging.start, near)}."
        return said

    def bagging(self, bake: Bake, step: Step) -> str:
        bread, process = self.problem.bread(bake.bread), self.problem.bread(bake.bread).process(bake.process)
        forms = [(bread.form(id_), number, process.treatment(id_)) for id_, number in bake.pieces if id_ != TABLE]
        bags = listed(f"{pieces_of(bread, number)}, {form.id}" for form, number, _ in forms)
        knife = "SLICE and " if any(sliced(form) for form, _, _ in forms) else ""
        through = time_words(self.problem, step.end + max(t.freeze for _, _, t in forms), step.start)
        by = bake.stay.end + min(treatment.bag_by for _, _, treatment in forms)
        slack = f" (by {time_words(self.problem, by, step.start)})" if by - step.start >= WORTH_SAYING else ""
        return f"{knife}BAG {bags}, into the freezer{slack}. Hard by {through}."

    def trip(self, trip: tuple[TakeOut, ...]) -> Iterator[Line]:
        for number, out in enumerate(out for out in trip if not is_thawing(out.form)):
            bread = self.problem.bread(out.bread)
            route = bread.route(out.route)
            bags = listed(bag(self.problem, self.plan, lot) for lot, _ in out.lots)
            to = f"freezer to {route.place}, bagged" if route.place else "straight into the oven"
            same = " (same trip)" if number else ""
            what = units(bread, bread.form(out.form), out.units)
            said = f"BREAD OUT{same}: {what}, {bags}, {to}.{self.for_(out.id, out.at)}"
            caution = FILLED if bread.filled else ""
            yield self.line(out.at, out.who, said, (out.id, THAW), caution)

    def finish(self, finish: Finish) -> Iterator[Line]:
        out, stay = self.outs[finish.take_out], finish.stay
        bread = self.problem.bread(out.bread)
        what = units(bread, bread.form(out.form), out.units)
        yield from self.heat(stay, what, (finish.id, FINISH))
        beside = f" beside what is in, {self.hot(stay)}" if stay.heat.startswith("beside:") else ""
        into = f"IN: {what}, bare rack{beside}, {stay.end - stay.start} min."
        yield self.line(stay.start, finish.who_in, into, (finish.id, FINISH))
        for event in stay.events:
            said = self.at_oven(stay, event).removeprefix("set ")
            yield self.part(event.start, event.who, f"SET THE OVEN TO {said} for the {what}.", (finish.id, FINISH))
        stand = f"stand, EAT {self.clock(finish.ready)}." if finish.ready > stay.end else "EAT."
        yield self.part(stay.end, finish.who_out, f"OUT: {what}, {stand}{self.off(stay)}", (finish.id, FINISH))

    def discard(self, lot: str, number: int, at: int) -> Line:
        """Return what goes to make crumbs, or is thrown away; at the end of a day it is any time that day."""
        held = next(held for held in bags(self.problem, self.plan) if held.id == lot)
        old = min(held.toast_after, held.toast_after if held.strict is None else held.strict) <= at
        why = "past its date" if old else "to make room"
        what = f"OUT WITH {number} of {bag(self.problem, self.plan, lot)}, {why}: crumbs, or the bin."
        return Line(at, "", "", what) if at + 1 in self.problem.midnights else self.line(at, None, what)


def _fold(step: Step) -> bool:
    return step.name.startswith("fold")
