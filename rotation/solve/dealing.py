"""From days and minutes to a plan: lots dealt out oldest first, servings to their sources, steps to their people."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from rotation.choices import Choices, good_from
from rotation.moments import Node
from rotation.oven_turns import events
from rotation.plan import Bake, Bought, Discard, Finish, KeptWish, Load, Plan, Serving, Stay, Step, TakeOut
from rotation.problem import DIAL, TABLE, Problem
from rotation.rules.cooled import longest_to_bag
from rotation.solve.timing import Timed
from rotation.tasks import Asked, BakeTask, Task, WayTask


def deal(choices: Choices, asked: Asked, timed: Timed) -> Plan:
    """Return the plan of a choice of days and its minutes; cost and status are not filled in."""
    return Dealer(choices, asked, timed).plan()


@dataclass
class _Source:
    """Ready bread of one node while it is dealt out."""

    id: str
    ready: int
    left: int


class Dealer:
    """One plan in the making."""

    def __init__(self, choices: Choices, asked: Asked, timed: Timed) -> None:
        self.choices, self.asked, self.timed = choices, asked, timed
        self.problem: Problem = choices.problem
        self.meals = {meal.id: meal for meal in self.problem.meals}
        self.sources: dict[Node, list[_Source]] = defaultdict(list)

    def plan(self) -> Plan:
        """Return the plan."""
        bakes = tuple(self._bake(task) for task in self.asked.bakes)
        finishes = tuple(self._finish(task) for task in self.asked.ways if task.way.oven is not None)
        take_outs, discards = self._freezer(bakes)
        bought = tuple(
            Bought(f"bought-{index}", loaves, self.problem.shop.closes[index])
            for index, variable in enumerate(self.choices.loaves)
            if (loaves := self.asked.values[variable])
        )
        return Plan(bakes, take_outs, finishes, bought, discards, tuple(self._servings()), tuple(self._wishes()))

    def _at(self, task: Task, name: str) -> int:
        return self.timed.starts[task.id, name]

    def _who(self, task: Task, name: str) -> str:
        return self.timed.who[task.id, name]

    def _bake(self, task: BakeTask) -> Bake:
        """Return a bake with its minutes; its table pieces become a source."""
        process, run = task.process, task.run
        begun = next((b for b in self.problem.under_way if b.id == run.under_way), None)
        done = {name: (start, end) for name, start, end in begun.done} if begun else {}
        steps = []
        for stage in process.stages:
            if stage.name in done:
                steps.append(Step(stage.name, *done[stage.name], None))
            elif stage.name != "bag" or task.frozen:
                start = self._at(task, stage.name)
                steps.append(Step(stage.name, start, start + task.hands(stage.name), self._who(task, stage.name)))
        stay = self._stay(task, run.oven, process.programme.degc, process.programme.covered > 0, "oven")
        put_in = steps[-1].end if task.frozen else None
        rest = process.treatment(TABLE).cool if any(id_ == TABLE for id_, _ in task.pieces) else 0
        if run.ready is not None:
            table = next(count for id_, count in task.pieces if id_ == TABLE)
            source = _Source(task.id, stay.end + rest, table * task.bread.portions)
            self.sources[run.bread, "", run.ready].append(source)
        lots = tuple((id_, f"{task.id}:{id_}") for id_, _ in task.pieces if id_ != TABLE)
        late = tuple(self._late(task, done))
        return Bake(
            task.id, run.bread, run.process, run.day, task.pieces, tuple(steps), stay, stay.end + rest, put_in, lots,
            run.under_way, late,
        )  # fmt: skip

    def _late(self, task: BakeTask, done: dict[str, tuple[int, int]]) -> list[str]:
        """Return the steps of a bake under way that come after their longest wait."""
        late = []
        for wait in task.process.waits:
            if wait.second not in done:
                since = (
                    done[wait.first][0 if wait.whole else 1]
                    if wait.first in done
                    else self._at(task, wait.first) + (0 if wait.whole else task.hands(wait.first))
                )
                last = task.turns[-1].start if wait.second == "oven" else 0
                if self._at(task, wait.second) + last - since > wait.on(task.run.day)[1] and wait.second not in late:
                    late.append(wait.second)
        if "oven" in done and "bag" not in done and task.frozen:
            most = longest_to_bag(task.bread, task.process, task.pieces)
            if self._at(task, "bag") - done["oven"][0] - task.length > most:
                late.append("bag")
        return late

    def _stay(self, task: Task, oven_id: str, degc: int, vessel: bool, first: str) -> Stay:
        """Return a stay in the oven, with how it gets hot."""
        oven = self.problem.oven(oven_id)
        start = self._at(task, first)
        heat, on, who_on = (
            self.timed.heats.get(task.id, "cold"),
            start,
            None,
        )  # what is in the oven already was heated for
        if heat == "cold":
            on, who_on = start - (oven.heat_up_vessel if vessel else oven.heat_up), self.timed.who.get((task.id, "on"))
        elif heat == "with":
            heat = f"with:{self._leader(task, oven_id, start)}"
        elif heat.startswith("after:"):
            named = heat.removeprefix("after:")
            booking = next((b for b in oven.bookings if b.id == named), None)
            on = booking.end if booking else self._end(named)
            heat = heat if booking else f"after:{named}:oven"
        loads = tuple(Load(t.pieces, start + t.start, start + t.uncover, start + t.out) for t in task.turns)
        hands: tuple[Step, ...] = ()
        if isinstance(task, BakeTask):
            minutes = task.process.programme.handling
            hands = tuple(
                Step(
                    e.name,
                    start + e.offset,
                    start + e.offset + minutes,
                    self.timed.who.get((task.id, f"event {e.offset}")),
                )
                for e in events(task.turns, task.process.programme)
            )
        else:
            hands = tuple(
                Step(f"set {to}", start + after, start + after + DIAL, self.timed.who.get((task.id, f"event {after}")))
                for after, to in task.route.turns
            )
        end, set_on = start + task.length, task.temperatures
        return Stay(f"{task.id}:oven", oven_id, degc, vessel, heat, on, start, end, loads, who_on, hands, set_on)

    def _tasks(self) -> list[Task]:
        return [*self.asked.bakes, *self.asked.ways]

    def _end(self, id_: str) -> int:
        """Return when the stay of a task ends."""
        task = next(task for task in self._tasks() if task.id == id_)
        return self._at(task, "oven" if isinstance(task, BakeTask) else "in") + task.length

    def _leader(self, task: Task, oven: str, start: int) -> str:
        """Return the stay that a stay shares, whose own heat is not shared."""
        for other in self._tasks():
            named = "oven" if isinstance(other, BakeTask) else "in"
            of = other.run.oven if isinstance(other, BakeTask) else other.way.oven
            together = of == oven and self.timed.starts.get((other.id, named)) == start
            if together and other.id != task.id and self.timed.heats.get(other.id) != "with":
                return f"{other.id}:oven"
        raise AssertionError(f"{task.id} shares no stay")

    def _finish(self, task: WayTask) -> Finish:
        """Return a finish with its stay."""
        assert task.route.oven is not None
        assert task.way.oven is not None
        stay = self._stay(task, task.way.oven, task.route.oven[0], False, "in")
        ready = stay.end + task.route.stand
        return Finish(f"{task.id}:finish", task.id, stay, self._who(task, "in"), self._who(task, "done"), ready)

    def _freezer(self, bakes: tuple[Bake, ...]) -> tuple[tuple[TakeOut, ...], tuple[Discard, ...]]:
        """Deal lots to everything that leaves the freezer, oldest first."""
        problem, values = self.problem, self.asked.values
        shelf: dict[tuple[str, str], list[tuple[int, int, str]]] = defaultdict(list)
        left: dict[str, int] = {}
        for lot in problem.lots:
            shelf[lot.bread, lot.form].append((problem.day_of(lot.bagged), lot.bagged, lot.id))
            left[lot.id] = lot.units
        for bake in bakes:
            for form, lot_id in bake.lots:
                assert bake.put_in is not None
                shelf[bake.bread, form].append((problem.day_of(bake.put_in), bake.put_in, lot_id))
                units = bake.count(form) * problem.bread(bake.bread).form(form).units_per_piece
                left[lot_id] = units
        for lots in shelf.values():
            lots.sort()
        wanted: list[tuple[int, int, str, str, int, WayTask | tuple[str, str, int] | None]] = []
        for task in self.asked.ways:
            wanted.append((self._at(task, "out"), 0, task.way.bread, task.way.form, task.units, task))
        for (bread, route, meal), variable in self.choices.toast.items():
            form, units = problem.bread(bread).route(route).form, values[self.choices.toasted[bread, route, meal]]
            if values[variable]:
                wanted.append((self.meals[meal].at, 1, bread, form, units, (route, meal, values[variable])))
        for (bread, form, day), variable in self.choices.discards.items():
            if values[variable]:
                wanted.append((problem.midnights[day + 1] - 1, 2, bread, form, values[variable], None))
        take_outs, discards = [], []
        for at, _, bread, form, units, what in sorted(wanted, key=lambda item: item[:5]):
            dealt = []
            for _, bagged, lot_id in shelf[bread, form]:
                taken = min(units, left[lot_id]) if bagged <= at else 0
                if taken:
                    left[lot_id] -= taken
                    units -= taken
                    dealt.append((lot_id, taken))
            if isinstance(what, WayTask):
                take_outs.append(self._take_out(what, at, tuple(dealt)))
            elif isinstance(what, tuple):
                route, meal, portions = what
                id_ = f"{bread}-{route}-{meal}".replace(" ", "-")
                total = sum(taken for _, taken in dealt)
                take_outs.append(TakeOut(id_, bread, form, route, total, tuple(dealt), at, None, "", at))
                self.sources[bread, f"{route} {meal}", -1].append(_Source(id_, at, portions))
            else:
                discards += [Discard(lot_id, taken, at) for lot_id, taken in dealt]
        return tuple(take_outs), tuple(discards)

    def _take_out(self, task: WayTask, at: int, lots: tuple[tuple[str, int], ...]) -> TakeOut:
        """Return a take-out for a way; what it gives becomes a source."""
        trip = self.timed.trips.get(task.id, task.id)
        ready = self._at(task, "in") if task.way.oven else at + task.route.thaw[0]
        eaten = ready + task.length + task.route.stand if task.way.oven else ready
        portions = task.units * task.bread.form(task.way.form).portions_per_unit
        self.sources[task.way.bread, task.way.route, task.way.ready].append(_Source(task.id, eaten, portions))
        who = self.timed.who[trip, "out"]
        return TakeOut(
            task.id, task.way.bread, task.way.form, task.way.route, task.units, lots, at, who, f"trip:{trip}", ready
        )

    def _servings(self) -> list[Serving]:
        """Return who eats what: the portions of each node from its sources, the earliest ready first.

        Whom the earliest is good for eats first, so that it is left to nobody for whom it is not.
        """
        values, out = self.asked.values, []
        good = {(node, id_): good_from(self.problem, node, self.meals[id_]) for node, id_ in self.choices.eaten}
        for eaten in sorted(good, key=lambda eaten: (good[eaten], self.meals[eaten[1]].at)):
            (node, meal), portions = eaten, values[self.choices.eaten[eaten]]
            for source in sorted(self.sources[node], key=lambda s: (s.ready < good[eaten], s.ready, s.id)):
                taken = min(portions, source.left)
                if taken:
                    source.left -= taken
                    portions -= taken
                    out.append(Serving(meal, source.id, taken))
        for (bread, route, meal), variable in self.choices.toast.items():
            if values[variable]:
                out.append(Serving(meal, self.sources[bread, f"{route} {meal}", -1][0].id, values[variable]))
        for (item, meal), variable in self.choices.boxed.items():
            if values[variable]:
                out.append(Serving(meal, item, values[variable]))
        for (index, meal), variable in self.choices.bought.items():
            if values[variable]:
                out.append(Serving(meal, f"bought-{index}", values[variable]))
        return sorted(out, key=lambda serving: (self.meals[serving.meal].at, serving.meal, serving.source))

    def _wishes(self) -> list[KeptWish]:
        """Return what became of each wish."""
        out = []
        for wish in self.problem.wishes:
            dropped = self.choices.dropped.get(wish.id)
            kept = dropped is None or not self.asked.values[dropped]
            because = "no free hands, oven or room at that time, or another wish stands against it"
            if wish.kind != "fixed":
                because = f"no meal would eat of it, {because}"
            out.append(KeptWish(wish.id, kept, None, "" if kept else because))
        return out
