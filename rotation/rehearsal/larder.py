"""What a household has on one day of a rehearsal: bags, bread in the box, bakes and thaws under way; and its account.

Bread is counted in portions by where it came from (`origin`: a bake, or what was there at the start), so that no slice
is lost or made on the way: baked = eaten + gone + wasted + discarded + there, for every origin, at any minute.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from rotation.intake.course import thawing, with_ways
from rotation.intake.kitchen import holding
from rotation.intake.notes import Notes
from rotation.oven_turns import bake_turns
from rotation.problem import THAWING, Booking, BoxItem, Form, Lot, Problem, UnderWay
from rotation.rehearsal.things import Begun, Ready, Thawing
from rotation.rehearsal.window import since, without

EATEN, GONE, WASTED, DISCARDED = "eaten", "gone", "wasted", "discarded"
"""What becomes of bread: at a meal; at night, by somebody; stale; thrown out of the freezer."""


class Unbalanced(AssertionError):
    """Bread was lost or made out of nothing: a fault of the simulator."""


@dataclass
class Larder:
    """All of it."""

    problem: Problem
    lots: dict[str, Lot] = field(default_factory=dict)
    origin: dict[str, str] = field(default_factory=dict)
    """By lot, where its bread came from."""
    box: dict[str, Ready] = field(default_factory=dict)
    bakes: dict[str, Begun] = field(default_factory=dict)
    thawing: dict[str, Thawing] = field(default_factory=dict)
    bought: dict[str, dict[str, int]] = field(default_factory=dict)
    """Portions bought for a meal to come, by what they are of."""
    oven: list[tuple[str, Booking]] = field(default_factory=list)
    """Finishes in the oven, by oven."""
    made: Counter[str] = field(default_factory=Counter)
    spent: Counter[tuple[str, str]] = field(default_factory=Counter)
    """Portions by origin and what became of them."""

    @classmethod
    def of(cls, problem: Problem) -> Larder:
        """Return what is there at the start."""
        larder = cls(problem)
        for lot in problem.lots:
            larder.lots[lot.id], larder.origin[lot.id] = lot, lot.id
            larder.made[lot.id] += larder.portions(lot)
        for item in problem.box:
            parts = [(item.id, item.portions)]
            larder.box[item.id] = Ready(item.id, item.bread, item.kind, item.ready, item.until, parts)
            larder.made[item.id] += item.portions
        return larder

    def form(self, lot: Lot) -> Form:
        """Return the form of a lot."""
        return self.problem.bread(lot.bread).form(lot.form)

    def portions(self, lot: Lot) -> int:
        """Return the portions in a lot."""
        return lot.units * self.form(lot).portions_per_unit

    def alike(self, bread: str, form: str) -> list[Lot]:
        """Return the lots of a bread and form, the oldest first."""
        lots = (lot for lot in self.lots.values() if (lot.bread, lot.form) == (bread, form))
        return sorted(lots, key=lambda lot: (lot.bagged, lot.id))

    def put_in(self, begun: Begun, at: int) -> None:
        """Put the frozen pieces of a bake into the freezer."""
        bread = self.problem.bread(begun.bake.bread)
        for id_, count in begun.frozen:
            form = bread.form(id_)
            lot_id = dict(begun.bake.lots)[id_]
            strict = None if form.strict is None else self.problem.date_end(at, form.strict)
            self.lots[lot_id] = Lot(
                lot_id, "", bread.id, id_, count * form.units_per_piece, at, at + begun.process.treatment(id_).freeze,
                self.problem.date_end(at, form.eat_first), self.problem.date_end(at, form.toast_after), strict,
            )  # fmt: skip
            self.origin[lot_id] = begun.bake.id
            lost = count * bread.portions - self.portions(self.lots[lot_id])
            self.spent[begun.bake.id, WASTED] += lost  # the ends of a sliced loaf, where they are not counted

    def take_out(self, bread: str, form: str, units: int, at: int) -> list[tuple[str, int]]:
        """Take units that are frozen through, oldest first, as many as there are; return them by lot."""
        taken = []
        for lot in self.alike(bread, form):
            part = min(units, lot.units)
            if not part or lot.through > at or (lot.strict is not None and at >= lot.strict):
                break
            units -= part
            taken.append((lot.id, part))
            self._less(lot, part)
        return taken

    def discard(self, lot_id: str, units: int, as_: str = DISCARDED) -> int:
        """Take units out of a lot for nothing; return how many there were."""
        lot = self.lots.get(lot_id)
        if lot is None:
            return 0
        units = min(units, lot.units)
        self.spent[self.origin[lot_id], as_] += units * self.form(lot).portions_per_unit
        self._less(lot, units)
        return units

    def _less(self, lot: Lot, units: int) -> None:
        if lot.units == units:
            del self.lots[lot.id]
        else:
            self.lots[lot.id] = replace(lot, units=lot.units - units)

    def parts(self, bread: str, form: str, lots: list[tuple[str, int]]) -> list[tuple[str, int]]:
        """Return the portions of units by origin."""
        each = self.problem.bread(bread).form(form).portions_per_unit
        return [(self.origin[lot], units * each) for lot, units in lots]

    def spend(self, parts: list[tuple[str, int]], as_: str) -> None:
        """Say what became of some portions."""
        for origin, portions in parts:
            self.spent[origin, as_] += portions

    def stale(self, at: int) -> tuple[int, list[str]]:
        """Throw away what is past its keeping time; return the portions, and what was never finished."""
        past = [item for item in self.box.values() if item.until < at or not item.portions]
        for item in past:
            self.spend(item.parts, WASTED)
            del self.box[item.id]
        late = [key for key, thaw in self.thawing.items() if thaw.out.at + thaw.route.thaw[1] < at]
        wasted = sum(item.portions for item in past)
        for key in late:
            wasted += sum(portions for _, portions in self.thawing[key].parts)
            self.spend(self.thawing.pop(key).parts, WASTED)
        return wasted, late

    # what a policy is shown ---------------------------------------------------------------------------------------

    def shown(self, problem: Problem, at: int) -> Problem:
        """Return a window that begins at a minute, with all that is in the house then.

        Where less was eaten than was meant the freezer may hold more than its room: then it has room for that.
        """
        lots, ways = [since(lot, at) for lot in self.lots.values()], []
        for number, (thing, thaw) in enumerate(sorted(self.thawing.items()), 1):
            bread, name = problem.bread(thaw.out.bread), f"{thaw.route.form}{THAWING}, {thaw.route.id} {number}"
            lot, form, route = thawing(problem, bread, thaw.route, name, thaw.out.units, thaw.out.at - at)
            lots.append(replace(lot, id=thing))
            ways.append((bread.id, form, route))
        box = [
            BoxItem(item.id, item.bread, item.kind, item.portions, item.ready - at, item.until - at)
            for item in self.box.values()
            if item.portions and item.until >= at
        ]
        breads = []
        for bread in problem.breads:
            begun = (one for one in self.bakes.values() if one.bake.bread == bread.id)
            known = {process.id for process in bread.processes}
            added = {one.process.id: one.process for one in begun if one.process.id not in known}
            processes = (*bread.processes, *(replace(one, pieces=()) for one in added.values()))
            mine = [way for way in ways if way[0] == bread.id]
            breads.append(with_ways(replace(bread, processes=processes), mine))
        meals = (
            replace(meal, portions=meal.portions - sum(self.bought.get(meal.id, {}).values())) for meal in problem.meals
        )
        return self._busy(
            replace(
                problem,
                breads=tuple(breads),
                lots=tuple(sorted(lots, key=lambda lot: (lot.bagged, lot.id))),
                box=tuple(box),
                under_way=tuple(self._under_way(at)),
                kitchen=holding(problem.kitchen, lots, breads, Notes()),
                meals=tuple(meal for meal in meals if meal.portions > 0),
            ),
            at,
        )

    def _under_way(self, at: int) -> Iterator[UnderWay]:
        for begun in self.bakes.values():
            bake, in_oven = begun.bake, "oven" in begun.done
            pieces = begun.frozen if begun.table else bake.pieces
            done = tuple(
                (name, begun.done[name][0] - at, begun.done[name][1] - at)
                for name in (stage.name for stage in begun.process.stages)
                if name in begun.done
            )
            if begun.table:  # what is left of it came out when all of it did
                oven = next(oven for oven in self.problem.ovens if oven.id == bake.stay.oven)
                start = bake.stay.end - max(turn.out for turn in bake_turns(begun.process, pieces, oven)) - at
                done = tuple((name, start, start) if name == "oven" else (name, a, b) for name, a, b in done)
            total = sum(count for _, count in pieces)
            yield UnderWay(bake.id, bake.bread, begun.process.id, total, done, pieces if in_oven else ())

    def _busy(self, problem: Problem, at: int) -> Problem:
        """Take off the hands that are in the middle of something, and the oven that a finish is in."""
        jobs = [
            (step.who, done[1] - at)
            for begun in self.bakes.values()
            for step in begun.bake.steps
            if (done := begun.done.get(step.name)) is not None and done[1] > at
        ]
        people = problem.people
        for who, end in jobs:
            people = tuple(
                replace(one, free=without(one.free, 0, end), quick=without(one.quick, 0, end)) if one.id == who else one
                for one in people
            )
        ovens = tuple(
            replace(
                oven,
                bookings=(
                    *oven.bookings,
                    *(
                        replace(booking, start=booking.start - at, end=booking.end - at)
                        for of, booking in self.oven
                        if of == oven.id and booking.end > at
                    ),
                ),
            )
            for oven in problem.ovens
        )
        return replace(problem, people=people, ovens=ovens)

    # the account --------------------------------------------------------------------------------------------------

    def there(self) -> Counter[str]:
        """Return the portions in the house by origin."""
        found: Counter[str] = Counter()
        for lot in self.lots.values():
            found[self.origin[lot.id]] += self.portions(lot)
        for item in self.box.values():
            for origin, portions in item.parts:
                found[origin] += portions
        for thaw in self.thawing.values():
            for origin, portions in thaw.parts:
                found[origin] += portions
        for id_, begun in self.bakes.items():
            if id_ in self.made:  # out of the oven, or in it, and not yet put away
                pieces = begun.frozen if begun.table else begun.bake.pieces
                found[id_] += sum(count for _, count in pieces) * self.problem.bread(begun.bake.bread).portions
        return found

    def balance(self) -> None:
        """Raise Unbalanced where bread was lost or made on the way."""
        there, spent = self.there(), Counter[str]()
        for (origin, _), portions in self.spent.items():
            spent[origin] += portions
        for origin in self.made | there | spent:
            if self.made[origin] != there[origin] + spent[origin] or min(there[origin], spent[origin]) < 0:
                raise Unbalanced(
                    f"{origin}: {self.made[origin]} portions made, {there[origin]} there, {spent[origin]} spent"
                )
