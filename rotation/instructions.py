"""What a tired person needs in an entry: what, how many, from which bag, how hot, for which meal, what can go wrong."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from calendars.text import clean
from rotation.allergens import beside
from rotation.keeping import FILLED, HOT_OVEN, HOT_POT, LATE_DOUGH, RAW, overdue
from rotation.naming import FINISH, OUT, THAW, Key
from rotation.plan import Bake, Feeding, Finish, Plan, Stay, Step, TakeOut
from rotation.problem import FEED, TABLE, Bread, Problem
from rotation.telling import first_in, follower, hands, host, last_hands, latest, meals_from, stays_of
from rotation.words import (
    bag,
    clock,
    contents,
    count,
    date_words,
    event_words,
    feed_words,
    listed,
    meal_words,
    name_of,
    oven_at,
    pieces_of,
    pots,
    time_words,
    units,
)

UNKNOWN = "Serve it to nobody with an allergy."


class Instructions:
    """The descriptions of one plan's entries, each a list of lines; an empty line is none.

    recipes: bake id and step name to the grams that go in.
    """

    def __init__(self, problem: Problem, plan: Plan, recipes: Mapping[tuple[str, str], str]) -> None:
        self._problem, self._plan, self._recipes = problem, plan, recipes

    def each(self) -> Iterator[tuple[Key, list[str]]]:
        """Yield what to do at each moment a person may speak of (rotation/naming.py), none of it empty."""
        for bake in self._plan.bakes:
            for name in [*(step.name for step in hands(bake) if bake.step(step.name) is not None), OUT]:
                yield (bake.id, name), [line for line in self._at(bake, name) if line]
        for feeding in self._plan.feedings:
            yield (feeding.id, FEED), self.feed(feeding)
        finishes = {finish.take_out: finish for finish in self._plan.finishes}
        for out in self._plan.take_outs:
            finish = finishes.get(out.id)
            if out.who is not None:
                yield (out.id, THAW), [line for line in self.thaw(out, finish) if line]
            if finish is not None:
                yield (finish.id, FINISH), [line for line in self.finish(out, finish) if line]

    def feed(self, feeding: Feeding) -> list[str]:
        """Return what to do at a feed of the starter beside any bake."""
        return [feed_words(self._problem, feeding, self._recipes.get((feeding.id, FEED), ""))]

    def _at(self, bake: Bake, name: str) -> Iterable[str]:
        """Yield what to do at one step of a bake."""
        step, near = bake.step(name), bake.stay.end
        if name == "oven":
            yield from self._at_oven(bake, bake.stay.start)
            yield self._caution(bake.stay)
        elif name == OUT:
            yield from self._after(bake, near)
        elif name == "bag":
            yield from self._becomes(bake, near)
            yield self._contains(self._problem.bread(bake.bread))
        elif step is not None:
            yield from self._steps(bake, [step])
            yield RAW if name == "mix" else ""
            yield LATE_DOUGH

    def loaves(self, bake: Bake) -> str:
        """Return "3 sourdough"."""
        return pieces_of(self._problem.bread(bake.bread), bake.total)

    def taken(self, out: TakeOut) -> str:
        """Return "9 rolls"."""
        bread = self._problem.bread(out.bread)
        return units(bread, bread.form(out.form), out.units)

    def who(self, steps: Iterable[Step]) -> str:
        """Return the names of those who do some steps."""
        return listed(dict.fromkeys(name_of(self._problem, step.who) for step in steps))

    def early(self, bake: Bake, step: Step) -> list[str]:
        """Return what to do at a step on a day before the mix, the feed of the starter."""
        lines = list(self._steps(bake, [step]))
        after = next((other for other in bake.steps if other.start > step.start), None)
        if after is not None:
            last = latest(self._problem, bake, after.name)
            slow = f" Slow? It may wait until {self._time(last, step.start)}." if last is not None else ""
            lines.append(f"{clean(after.name, 40).capitalize()} {self._time(after.start, step.start)}.{slow}")
        return lines

    def bake(self, bake: Bake, steps: list[Step]) -> list[str]:
        """Return what to do at the steps from the mix up to the oven, and what becomes of the loaves."""
        start = steps[0].start
        minutes = sum(step.end - step.start for step in hands(bake) if step.start >= start)
        return [
            f"{self.loaves(bake)}. {self.who(steps)}, hands {minutes} min in all, oven and bags included.",
            *self._steps(bake, steps),
            f"Oven on {self._time(bake.stay.heat_from, start)}, bake {self._time(bake.stay.start, start)}.",
            *self._becomes(bake, start),
            self._contains(self._problem.bread(bake.bread)),
            RAW,
            LATE_DOUGH,
        ]

    def baking(self, bake: Bake) -> list[str]:
        """Return what to do at the oven."""
        return [*self._at_oven(bake, bake.stay.start), *self._after(bake, bake.stay.end)]

    def whole(self, bake: Bake, early: list[Step], rest: list[Step]) -> list[str]:
        """Return what to do from the first step to the bag: on days before the mix, up to the oven, and at it."""
        start = (early or rest)[0].start
        up_to_oven = [step for step in rest if step.name not in ("oven", "bag")]
        minutes = sum(step.end - step.start for step in hands(bake))
        return [
            f"{self.loaves(bake)}. {self.who([*early, *rest])}, hands {minutes} min in all.",
            *self._steps(bake, [*early, *up_to_oven], start),
            *self._at_oven(bake, start),
            *self._after(bake, start),
            *([RAW, LATE_DOUGH] if up_to_oven else []),
        ]

    def _late(self, bake: Bake, step: str) -> str:
        if step not in bake.late:
            return ""
        return f" It is overdue: as soon as you can. {overdue(step, self._problem.bread(bake.bread).filled)}".rstrip()

    def _at_oven(self, bake: Bake, near: int) -> Iterable[str]:
        """Yield what to do at the oven; times name their day where it is another than that of the minute `near`."""
        stay, oven = bake.stay, self._problem.oven(bake.stay.oven)
        pot = f", into the {pots(stay)}" if stay.vessel else ""
        first = "first " if first_in(stay) < bake.total else ""
        yield self._heat(stay, near)
        into = f"{self._time(stay.start, near)} {first}{count(first_in(stay), 'piece')} in{pot}."
        yield into + self._late(bake, "oven")
        yield from (f"{self._clock(event.start)} {event_words(event.name, oven)}." for event in stay.events)
        yield self._off(stay)

    def _after(self, bake: Bake, near: int) -> Iterable[str]:
        """Yield where the loaves go, and what to mind."""
        bread = self._problem.bread(bake.bread)
        yield "Pale? Give the loaves for the table five minutes more." if bake.count(TABLE) else ""
        yield from self._becomes(bake, near)
        yield self._caution(bake.stay)
        yield self._contains(bread)
        yield self._shared(bread, bake.stay)
        yield FILLED if bread.filled else ""

    def thaw(self, out: TakeOut, finish: Finish | None) -> list[str]:
        """Return what to do at the freezer, and what follows."""
        route = self._problem.bread(out.bread).route(out.route)
        bags = listed(f"{number} from {self._label(lot)}" for lot, number in out.lots)
        to = f"Freezer to {route.place}, in the bag" if route.place else "Straight from the freezer into the oven"
        first = f"{self.taken(out)}: {bags}. {to} ({name_of(self._problem, out.who)})."
        return [first, *self._then(out, finish), *self._eaten(out)]

    def finish(self, out: TakeOut, finish: Finish) -> list[str]:
        """Return what to do at the oven when bread is finished."""
        stay = finish.stay
        ready = f"Eat {self._clock(finish.ready)}."
        return [
            self._heat(stay),
            f"{self._clock(stay.start)} {self.taken(out)} in, bare rack ({name_of(self._problem, finish.who_in)}).",
            *(
                f"{self._clock(event.start)} {event_words(event.name, self._problem.oven(stay.oven))} "
                f"({name_of(self._problem, event.who)})."
                for event in stay.events
            ),
            f"{self._clock(stay.end)} out ({name_of(self._problem, finish.who_out)}). {ready}",
            self._off(stay),
            "Pale? Two minutes more. Soft crust? Leave the door ajar for the last two.",
            self._caution(stay),
            *self._eaten(out),
            self._shared(self._problem.bread(out.bread), stay),
        ]

    def _clock(self, minute: int) -> str:
        return clock(self._problem.instant(minute))

    def _time(self, minute: int, near: int) -> str:
        return time_words(self._problem, minute, near)

    def _steps(self, bake: Bake, steps: list[Step], near: int | None = None) -> Iterable[str]:
        """Yield what to do at each step, folds in one line, each with the last time the dough allows.

        near: times name their day where it is another than that of this minute.
        """
        folds = [step for step in steps if step.name.startswith("fold")]
        process = self._problem.bread(bake.bread).process(bake.process)
        for step in steps:
            if step in folds:
                if step is folds[0]:
                    yield f"Folds {', '.join(self._clock(fold.start) for fold in folds)}."
                if grams := self._recipes.get((bake.id, step.name)):
                    yield f"{clean(step.name, 40).capitalize()}: {grams}."
                continue
            last, grams = latest(self._problem, bake, step.name), self._recipes.get((bake.id, step.name), "")
            by = f", by {self._time(last, step.start)} at the latest" if last is not None and last > step.start else ""
            cold = any(use.what == "fridge" and use.since == step.name for use in process.uses)
            late = self._late(bake, step.name)
            at = self._time(step.start, step.start if near is None else near)
            what = f"{clean(step.name, 40).capitalize()} {at}{by}"
            yield f"{what}{': ' + grams if grams else ''}.{' Then the fridge, cold proof.' if cold else ''}{late}"

    def _becomes(self, bake: Bake, near: int) -> Iterable[str]:
        """Yield where the loaves go."""
        process, bagging = self._problem.bread(bake.bread).process(bake.process), bake.step("bag")
        if bake.count(TABLE):
            meals = [
                meal_words(self._problem, meal, near) for meal, _ in meals_from(self._problem, self._plan, bake.id)
            ]
            eaten = f": {listed(meals[:4])}" if meals else ""
            yield f"{bake.count(TABLE)} for the table from {self._time(bake.ready, near)}{eaten}."
        if bagging is not None:
            forms = listed(f"{number} {form}" for form, number in bake.pieces if form != TABLE)
            knife = "slice and " if "sliced" in forms else ""
            by = min(process.treatment(form).bag_by for form, _ in bake.pieces if form != TABLE)
            until = self._time(bake.stay.end + by, near)
            yield f"{forms} for the freezer: cool on a rack, {knife}bag {self._time(bagging.start, near)} (by {until})."

    def _contains(self, bread: Bread) -> str:
        warning = f" {UNKNOWN}" if "?" in bread.allergens else ""
        return f"Contains {contents(bread.allergens)}.{warning}" if bread.allergens else ""

    def _shared(self, bread: Bread, stay: Stay) -> str:
        """Return "In the oven with Seeded rolls: sesame." where another bread there holds what this one does not."""
        outs = {out.id: out.bread for out in self._plan.take_outs}
        owners = {bake.id: bake.bread for bake in self._plan.bakes}
        owners |= {finish.id: outs[finish.take_out] for finish in self._plan.finishes}
        together = (owner for owner, other in stays_of(self._plan) if host(other) == host(stay) and other != stay)
        breads = [self._problem.bread(owners[owner]) for owner in together]
        others = {clean(other.name, 40): other.allergens for other in breads}
        return " ".join(
            f"In the oven with {name}: {contents(extra)}." for name, extra in beside(bread.allergens, others)
        )

    def _heat(self, stay: Stay, near: int | None = None) -> str:
        at = self._time(stay.heat_from, stay.heat_from if near is None else near)
        pot = f", {pots(stay)} inside" if stay.vessel else ""
        how = stay.heat.partition(":")[0]
        if how == "cold":
            return f"{at} oven on, {self._hot(stay)}{pot} ({name_of(self._problem, stay.who_on)})."
        if how == "after":
            return f"{at} leave the oven on and set {self._hot(stay)}{pot}."
        return f"The oven is on already, {self._hot(stay)}."

    def _hot(self, stay: Stay, degc: int | None = None) -> str:
        """Return "220 (fan 200)", what the oven of a stay is set to: at its start, or to another heat."""
        return oven_at(degc or stay.degc, self._problem.oven(stay.oven))

    def _off(self, stay: Stay) -> str:
        kept = stay.heat.startswith("beside:") or follower(self._plan, stay) is not None
        return "" if kept else "Then oven off, unless something else is in it."

    def _caution(self, stay: Stay) -> str:
        oven = self._problem.oven(stay.oven)
        after = oven.watch_after_vessel if stay.vessel else oven.watch_after
        return (HOT_POT if stay.vessel else HOT_OVEN).format(until=self._clock(stay.end + after))

    def _label(self, lot: str) -> str:
        """Return "bag B (28 Feb)" or the bag of a bake still to come."""
        opening = next((opening for opening in self._problem.lots if opening.id == lot), None)
        dated = f" ({date_words(self._problem.instant(opening.bagged))})" if opening is not None else ""
        return f"{bag(self._problem, self._plan, lot)}{dated}"

    def _then(self, out: TakeOut, finish: Finish | None) -> Iterable[str]:
        """Yield what follows the take-out, and how late it may be."""
        route = self._problem.bread(out.bread).route(out.route)
        if finish is None:
            yield f"Thawed and ready {self._time(out.ready, out.at)}."
            return
        stay = finish.stay
        into, ready = self._time(stay.start, out.at), self._time(finish.ready, out.at)
        heat = f"Oven {self._hot(stay)} hot by then; in" if stay.heat != "cold" else self._on(stay, out.at)
        yield f"{heat} {into} for {stay.end - stay.start} min; eat {ready}."
        last = last_hands(self._problem, route.handling_out, stay.start - route.thaw[0]) if route.place else None
        if last is not None and last > out.at:
            yield f"Forgotten? It may come out until {self._time(last, out.at)}."

    def _on(self, stay: Stay, near: int) -> str:
        return f"Oven {self._hot(stay)} on {self._time(stay.heat_from, near)}; in"

    def _eaten(self, out: TakeOut) -> Iterable[str]:
        bread = self._problem.bread(out.bread)
        meals = [meal_words(self._problem, meal, out.at) for meal, _ in meals_from(self._problem, self._plan, out.id)]
        yield f"For {listed(meals[:4])}." if meals else ""
        yield self._contains(bread)
        yield FILLED if bread.filled else ""
