"""The first of all equally good plans of a tiny home, by the list of all patterns (tests/outside/listed.py).

The order is that of rotation/solve/canonical.py, read off finished plans here and put as sums over patterns, so that
HiGHS can say of each place in turn how small it can be.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator

from rotation import facts
from rotation.plan import Bake, Plan, TakeOut
from rotation.problem import TABLE, TOAST, Problem
from tests.outside.listed import Listed, Pattern

Sum = dict[int, float]
Place = tuple[str, float, Sum]
"""What is compared: its name, what it comes to in a plan, and how to say it over patterns."""

HEATS = ("cold", "hot", "beside", "after")


class Equals(Listed):
    """The programme over all plans of a home that cost no more than one of them."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem)
        self.cost = self.least()
        self.milp.row(-1e9, dict(enumerate(self.milp.prices)), self.cost - self.constant + 0.5)
        meals = {meal.at + 1 for meal in problem.meals}
        quarters = {start + 360 * k for start in problem.midnights[:-1] for k in range(4)}
        self.edges = sorted({*meals, *quarters, problem.end})

    def first(self, plan: Plan) -> Iterator[tuple[str, float, int]]:
        """Yield each place of a plan: its name, what it comes to, and the least it can come to, all before as it is."""
        for name, value, of in self._places(plan):
            least = self.milp.least(of) if value else 0
            yield name, value, least
            self.milp.row(value, of, value)

    def _places(self, plan: Plan) -> Iterator[Place]:
        bakes = sorted(plan.bakes, key=lambda bake: (bake.day, bake.process))
        outs = sorted(
            (out for out in plan.take_outs if self.route.gives != TOAST), key=lambda out: self._way(plan, out)
        )
        yield from self._days(plan, bakes, outs)
        yield from self._table(plan)
        yield from self._begins(plan, bakes, outs)
        yield from self._jobs(plan, bakes, outs)

    # days -----------------------------------------------------------------------------------------------------------

    def _moment(self, minute: int) -> int:
        return bisect_right(self.edges, minute) - 1

    def _slot(self, pattern: Pattern) -> tuple[int, str] | None:
        return None if pattern.process is None else (self.problem.day_of(pattern.first), pattern.process.id)

    def _when(self, pattern: Pattern) -> tuple[int, int]:
        """Return when a bake is ready, and the day it is put away, -1 for not at all."""
        ready = self._moment(pattern.ready) if pattern.table else -1
        return ready, -1 if pattern.put_in is None else self.problem.day_of(pattern.put_in)

    def _way(self, plan: Plan, out: TakeOut) -> tuple[int, int]:
        """Return the day something is taken out, and when it is ready."""
        finish = facts.finish_of(plan, out)
        assert finish is not None
        return self.problem.day_of(out.at), self._moment(finish.ready)

    def _of(self, key: Callable[[Pattern], object], value: Callable[[Pattern], float], is_: object) -> Sum:
        """Return the sum of something over the patterns of which a key is as given."""
        pairs = zip(self.patterns, self.chosen, strict=True)
        return {variable: value(pattern) for pattern, variable in pairs if key(pattern) == is_ and value(pattern)}

    def _days(self, plan: Plan, bakes: list[Bake], outs: list[TakeOut]) -> Iterator[Place]:
        slots = {(bake.day, bake.process): bake for bake in bakes}
        known = sorted({slot for pattern in self.patterns if (slot := self._slot(pattern))})
        for slot in known:
            yield f"bake {slot}", slot in slots, self._of(self._slot, lambda _: 1, slot)
        there = {slot: self._when_of(bake) for slot, bake in slots.items()}
        for key in sorted({(slot, self._when(p)) for p in self.patterns if (slot := self._slot(p))}):
            slot, when = key
            yield (
                f"when {key}",
                there.get(slot) == when,
                self._of(lambda p: (self._slot(p), self._when(p)), lambda _: 1, key),
            )
        for slot in known:
            table = slots[slot].count(TABLE) if slot in slots else 0
            total = slots[slot].total if slot in slots else 0
            yield f"frozen {slot}", total - table, self._of(self._slot, lambda p: p.frozen, slot)
            yield f"table {slot}", table, self._of(self._slot, lambda p: p.table, slot)
        taken = {self._way(plan, out): out.units for out in outs}
        ways = {
            index: (self.problem.day_of(self.patterns[index].first), self._moment(self.patterns[index].ready))
            for index in self.units
        }
        for way in sorted(set(ways.values())):
            yield f"out {way}", taken.get(way, 0), {self.units[index]: 1 for index, of in ways.items() if of == way}

    def _when_of(self, bake: Bake) -> tuple[int, int]:
        ready = self._moment(bake.ready) if bake.count(TABLE) else -1
        return ready, -1 if bake.put_in is None else self.problem.day_of(bake.put_in)

    def _table(self, plan: Plan) -> Iterator[Place]:
        """Yield what each meal eats: of a bake by when it is ready, of a finish likewise, of slices."""
        sources = {bake.id: ("", self._moment(bake.ready)) for bake in plan.bakes}
        for out in plan.take_outs:
            finish = facts.finish_of(plan, out)
            sources[out.id] = ("slices", -1) if finish is None else ("way", self._moment(finish.ready))
        for number, meal in sorted(enumerate(self.problem.meals), key=lambda one: (one[1].at, one[1].id)):
            given: dict[tuple[str, int], int] = {}
            for serving in plan.servings:
                if serving.meal == meal.id:
                    given[sources[serving.source]] = given.get(sources[serving.source], 0) + serving.portions
            of: dict[tuple[str, int], Sum] = {}
            for (index, which), variable in self.eaten.items():
                if which == number:
                    source = ("slices", -1)
                    if index is not None:
                        pattern = self.patterns[index]
                        source = ("way" if pattern.process is None else "", self._moment(pattern.ready))
                    of.setdefault(source, {})[variable] = 1
            for source in sorted(of, key=lambda one: (one[0] == "slices", one)):
                yield f"{meal.id} eats {source}", given.get(source, 0), of[source]

    # minutes --------------------------------------------------------------------------------------------------------

    def _mine(
        self, plan: Plan, bakes: list[Bake], outs: list[TakeOut]
    ) -> Iterator[tuple[Bake | TakeOut, Callable[[Callable[[Pattern], float]], Sum]]]:
        """Yield each bake and take-out with what makes a sum over its patterns."""
        for bake in bakes:
            slot = (bake.day, bake.process)
            yield bake, lambda value, slot=slot: self._of(self._slot, value, slot)
        for out in outs:
            way = self._way(plan, out)
            yield out, lambda value, way=way: self._of(self._as_way, value, way)

    def _as_way(self, pattern: Pattern) -> tuple[int, int] | None:
        if pattern.process is not None:
            return None
        return self.problem.day_of(pattern.first), self._moment(pattern.ready)

    def _begins(self, plan: Plan, bakes: list[Bake], outs: list[TakeOut]) -> Iterator[Place]:
        for item, over in self._mine(plan, bakes, outs):
            if isinstance(item, Bake):
                yield f"{item.id} mix", item.steps[0].start, over(lambda p: p.first)
                yield f"{item.id} oven", item.stay.start, over(lambda p: p.stay[0])
                if item.put_in is not None:
                    yield f"{item.id} bag", item.put_in, over(lambda p: p.put_in or 0)
            else:
                finish = facts.finish_of(plan, item)
                assert finish is not None
                yield f"{item.id} out", item.at, over(lambda p: p.first)
                yield f"{item.id} in", finish.stay.start, over(lambda p: p.stay[0])

    def _jobs(self, plan: Plan, bakes: list[Bake], outs: list[TakeOut]) -> Iterator[Place]:
        """Yield who does each job: at the bakes, the finishes, on the way to the freezer, at the switch; then heat."""
        finishes = [finish for out in outs if (finish := facts.finish_of(plan, out))]
        for bake in bakes:
            for step in (*bake.steps, *bake.stay.events):
                yield self._who_does(step.who, step.end - step.start, step.start, True)
        for finish in finishes:
            yield self._who_does(finish.who_in, self.route.handling, finish.stay.start, False)
            yield self._who_does(finish.who_out, self.route.handling, finish.stay.end, False)
        for out in outs:
            yield self._who_does(out.who, self.route.handling_out, out.at, False)
        stays = [(bake.stay, True) for bake in bakes] + [(finish.stay, False) for finish in finishes]
        for (stay, of_bake), (_, over) in zip(stays, self._mine(plan, bakes, outs), strict=True):
            if stay.heat == "cold":
                yield self._who_does(stay.who_on, 1, stay.heat_from, of_bake)
            how, _, id_ = stay.heat.partition(":")
            named = "hot" if how == "after" and any(id_ == booking.id for booking in self.oven.bookings) else how
            yield f"{stay.id} heat", HEATS.index(named), over(lambda p: HEATS.index(p.heat[0]))

    def _who_does(self, who: str | None, minutes: int, at: int, bakes: bool) -> Place:
        order = [person.id for person in self.problem.people]
        assert who is not None
        does = self.does[minutes, at, bakes]
        return f"who at {at}", order.index(who), {variable: order.index(id_) for id_, variable in does.items()}
