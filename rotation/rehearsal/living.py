"""A household lives day by day: it is told what is new, follows a policy's plan, and eats what there really is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from itertools import count

from rotation.carried import Carried
from rotation.errors import CheckFailed, NothingPlanned
from rotation.identity import owners, renamed
from rotation.plan import Discard, Plan
from rotation.problem import TABLE, Process
from rotation.rehearsal.acts import House, gone_on
from rotation.rehearsal.chance import Luck
from rotation.rehearsal.larder import GONE, WASTED
from rotation.rehearsal.policy import Policy, Seen
from rotation.rehearsal.record import Change, Record
from rotation.rehearsal.slow import RESCUES, rescued
from rotation.rehearsal.telling_apart import changes
from rotation.rehearsal.window import window
from rotation.rehearsal.world import World
from rotation.rules.checked import broken

Progress = Callable[[int], None]
"""Told the days that are over."""


class Life(House):
    """One household with one policy in one world."""

    def __init__(self, world: World, luck: Luck, policy: Policy, record: Record | None = None) -> None:
        super().__init__(world, luck, Record() if record is None else record)
        self.policy = policy
        self.before: Carried | None = None
        self.names = count(1)
        self.told = -1

    def live(self, progress: Progress | None = None) -> Record:
        """Live all days. Raises CheckFailed where the policy's plan breaks a rule, Unbalanced where bread is lost."""
        for day in range(self.world.days):
            at, until = self.world.morning(day), self.world.morning(day + 1)
            self._night(day, at)
            while at < until:
                self._ask(at)
                at = self._follow(at, until)
            self.larder.balance()
            if progress is not None:
                progress(day + 1)
        self.record.thrown.update(self.larder.thawing)
        for id_ in self.larder.bakes.keys() - self.larder.made.keys():
            del self.record.bakes[id_]  # what the days after would have come to is not known
        return self.record

    def _night(self, day: int, at: int) -> None:
        """Throw away what is stale; somebody may have eaten a loaf."""
        wasted, unfinished = self.larder.stale(at)
        self.record.thrown.update(unfinished)
        if wasted:
            self.record.wasted.append((at, wasted))
        for _ in range(self.luck.loaves_gone(day) if day else 0):
            self._loaf_gone(at)

    def _loaf_gone(self, at: int) -> None:
        """Take a loaf's portions from the box, and where there are too few, from the fullest bag."""
        items = sorted((x for x in self.larder.box.values() if x.portions), key=lambda x: (x.ready, x.id))
        left = max((self.larder.problem.bread(item.bread).portions for item in items), default=0)
        if not items:
            lots = sorted(self.larder.lots.values(), key=lambda lot: (-self.larder.portions(lot), lot.bagged, lot.id))
            if lots:
                whole = self.larder.problem.bread(lots[0].bread).portions
                each = self.larder.form(lots[0]).portions_per_unit
                units = self.larder.discard(lots[0].id, max(1, whole // each), GONE)
                self.record.discards.append(Discard(lots[0].id, units, at))
                self.happened.append("a loaf was eaten")
            return
        for item in items:
            taken = item.take(left)
            left -= sum(portions for _, portions in taken)
            self.larder.spend(taken, GONE)
        self.happened.append("a loaf was eaten")

    # plans --------------------------------------------------------------------------------------------------------

    def seen(self, at: int) -> Seen:
        """Return what is known at a minute."""
        known, world = self.world.known(at), self.world
        problem = self.larder.shown(window(known, at, world.shown, world.tail), at)
        fresh = (*(one.said for one in world.fresh(self.told, at)), *self.happened)
        return Seen(problem, world.problem.day_of(at), self.before, fresh)

    def _ask(self, at: int) -> None:
        """Ask the policy what to do, and take its plan if it holds."""
        seen, plan = self._asked(at)
        self.told, self.happened = at, []
        if plan is None:
            return
        self.record.plans += 1
        if found := broken(seen.problem, plan):
            raise CheckFailed(f"{self.policy.name} breaks rules on day {seen.day}: {'; '.join(map(str, found[:5]))}")
        self._take(seen, plan, at)

    def _asked(self, at: int) -> tuple[Seen, Plan | None]:
        """Return what the policy was shown and says; dough that it cannot go on with is rescued, or given up."""
        plain = {id_: begun.process for id_, begun in self.larder.bakes.items()}
        ways_out = [partial(self._rescue, at, each, plain) for each in RESCUES]
        for way_out in (None, *ways_out, partial(self._bin, at), partial(self._bin, at)):
            if way_out is not None:
                way_out()
            seen = self.seen(at)
            try:
                return seen, self.policy.plan(seen)
            except NothingPlanned:
                continue
        raise NothingPlanned(f"{self.policy.name} finds no plan on day {seen.day}, though nothing is under way.")

    def _rescue(self, at: int, rescue: str, plain: Mapping[str, Process]) -> None:
        """Go on in another way with every dough that is not in the oven. plain: how each went on before."""
        for id_, begun in self.larder.bakes.items():
            begun.process, steps = plain[id_], [stage.name for stage in plain[id_].stages]
            step = next(name for name in steps if name not in begun.done)
            if "oven" not in begun.done and "mix" in begun.done:
                begun.process = rescued(begun.process, begun.done, step, at, rescue, id_)
                self.variants[begun.bake.bread].append(begun.process)
            begun.bake = replace(begun.bake, process=begun.process.id)
            self.note(begun)

    def _bin(self, at: int) -> None:
        """Throw away the dough that nobody's hands can go on with; what is baked already only at the last."""
        doughs = [id_ for id_ in self.larder.bakes if id_ not in self.larder.made]
        for id_ in doughs or list(self.larder.bakes):
            begun = self.larder.bakes[id_]
            minutes = sum(end - start for start, end in begun.done.values())
            self.record.binned.append((at, begun.bake.bread, minutes))
            del self.larder.bakes[id_]
            if id_ not in self.larder.made:
                self.record.bakes.pop(id_, None)
            if id_ in self.larder.made:
                pieces = begun.frozen if begun.table else begun.bake.pieces
                lost = sum(n for _, n in pieces) * self.larder.problem.bread(begun.bake.bread).portions
                self.larder.spend([(id_, lost)], WASTED)
                self.record.wasted.append((at, lost))

    def _take(self, seen: Seen, plan: Plan, at: int) -> None:
        """Follow a plan from now on: give its things names of their own, in minutes of the rehearsal."""
        names: dict[str, str] = {}
        for bake in plan.bakes:
            names[bake.id] = bake.under_way or f"bake {next(self.names)}"
        names |= {out.id: f"out {next(self.names)}" for out in plan.take_outs}
        names |= {finish.id: f"finish {next(self.names)}" for finish in plan.finishes}
        names |= {stay: f"{names[owner]} oven" for stay, owner in owners(plan).items()}
        new = Carried.of(seen.problem, plan, self.policy.name)
        if self.before is not None:
            day, counted = seen.day, changes(self.before, new)
            self.record.changes.append(Change(day, *counted))
        self.before = renamed(new, names)
        followed = self.before.since(self.world.problem.zero, -seen.day)
        bought = {one.id: f"bought {next(self.names)}" for one in followed.bought}
        self.followed = replace(
            followed,
            bought=tuple(replace(one, id=bought[one.id]) for one in followed.bought),
            servings=tuple(replace(one, source=bought.get(one.source, one.source)) for one in followed.servings),
        )
        for bake in self.followed.bakes:
            if bake.id in self.larder.bakes:
                begun = self.larder.bakes[bake.id]
                begun.bake = gone_on(begun, bake, at)
                self.note(begun)

    # days ---------------------------------------------------------------------------------------------------------

    def _follow(self, at: int, until: int) -> int:
        """Do what the plan says until a minute, and eat; return it, or when dough is found to be late."""
        due: list[tuple[int, int, str, Callable[[], bool]]] = []

        def add(minute: int, order: int, id_: str, act: Callable[[], bool]) -> None:
            if at <= minute < until:
                due.append((minute, order, id_, act))

        for bake in self.followed.bakes:
            begun = self.larder.bakes.get(bake.id)
            if begun is None and bake.under_way is not None:
                continue
            of = bake if begun is None else begun.bake
            for step in of.steps:
                if begun is None or step.name not in begun.done:
                    add(step.start, 3, f"{of.id} {step.name}", partial(self.step, of, step))
            if of.count(TABLE) and not (begun is not None and begun.table):
                add(of.ready, 1, of.id, partial(self.on_the_table, of))
        for out in self.followed.take_outs:
            if out.who is not None:
                add(out.at, 2, out.id, partial(self.out, out))
        for finish in self.followed.finishes:
            add(finish.stay.start, 4, finish.id, partial(self.finish, finish))
        for one in self.followed.bought:
            add(one.buy_by, 2, one.id, partial(self.buy, one))
        for number, discard in enumerate(self.followed.discards):
            add(discard.at, 5, f"{number:04}", partial(self.discard, discard))
        for meal in self.world.true.meals:
            add(meal.at, 6, meal.id, partial(self.eat, meal))
        for minute, _, _, act in sorted(due, key=lambda each: each[:3]):
            if not act():
                return minute
        self.larder.oven = [(oven, stay) for oven, stay in self.larder.oven if stay.end > until]
        return until
