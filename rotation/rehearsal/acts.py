"""What a household does with its hands in a rehearsal, one act at a time: each moves bread and is recorded."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace

from rotation.plan import Bake, Bought, Discard, Finish, Load, Plan, Step, TakeOut
from rotation.problem import FRESH, TABLE, Booking, Meal, Process, is_thawing
from rotation.rehearsal.chance import Luck
from rotation.rehearsal.larder import Larder
from rotation.rehearsal.record import Record
from rotation.rehearsal.slow import as_on, looked_at, slower
from rotation.rehearsal.table import serve
from rotation.rehearsal.things import Begun, Ready, Thawing
from rotation.rehearsal.world import World


@dataclass
class House:
    """A household in a world. An act returns False where it turns out that it cannot be done yet.

    variants: by bread, the processes of dough that was late; followed: the plan in force, in minutes of the rehearsal.
    """

    world: World
    luck: Luck
    record: Record = field(default_factory=Record)
    variants: dict[str, list[Process]] = field(default_factory=lambda: defaultdict(list))
    followed: Plan = field(default_factory=Plan)

    def __post_init__(self) -> None:
        self.larder = Larder.of(self.world.problem)
        self.alias: dict[str, str] = {}
        self.happened: list[str] = []

    def step(self, bake: Bake, step: Step) -> bool:
        """Do a step of a bake; False where its dough is not there yet."""
        begun = self.larder.bakes.get(bake.id)
        if begun is None:
            if step.name != bake.steps[0].name:
                return True  # what was given up
            usual = self.world.problem.bread(bake.bread).process(bake.process)
            process = as_on(usual, bake.day, bake.id)
            if process.id != usual.id:
                self.variants[bake.bread].append(process)
            begun = self.larder.bakes[bake.id] = Begun(replace(bake, process=process.id), process)
        if not begun.asked and step.name == looked_at(begun.process):
            begun.asked = True
            minutes = self.luck.late(bake.bread, bake.day)
            if minutes:
                begun.process = slower(begun.process, begun.done, step.name, step.start, minutes, bake.id)
                begun.bake = replace(begun.bake, process=begun.process.id)
                self.variants[bake.bread].append(begun.process)
                self.happened.append(f"the dough of {bake.bread} is {minutes} min late")
                self.note(begun)
                return False
        begun.done[step.name] = (step.start, step.end)
        if step.name == "oven":
            self.larder.made[bake.id] += bake.total * self.world.problem.bread(bake.bread).portions
        if step.name == "bag":
            self.larder.put_in(begun, step.end)
            if begun.table or not bake.count(TABLE):
                del self.larder.bakes[bake.id]
            else:
                self.on_the_table(bake)
                self.larder.bakes.pop(bake.id, None)
        self.note(begun)
        return True

    def note(self, begun: Begun) -> None:
        """Record a bake as far as it is known."""
        self.record.bakes[begun.bake.id] = replace(begun.bake, under_way=None)

    def on_the_table(self, bake: Bake) -> bool:
        """Put the loaves for the table into the box."""
        begun = self.larder.bakes.get(bake.id)
        if begun is None or begun.table or "oven" not in begun.done:
            return True
        bread, begun.table = self.larder.problem.bread(bake.bread), True
        parts = [(bake.id, bake.count(TABLE) * bread.portions)]
        id_, until = f"loaves of {bake.id}", bake.ready + bread.keeps
        self.larder.box[id_] = Ready(id_, bread.id, FRESH, bake.ready, until, parts, bake.id)
        if not begun.frozen:
            del self.larder.bakes[bake.id]
        return True

    def out(self, out: TakeOut) -> bool:
        """Take bread out of the freezer, as much of it as there is."""
        if is_thawing(out.form):
            self.alias[out.id] = out.lots[0][0]
            return True
        route = self.world.problem.bread(out.bread).route(out.route)
        lots = self.larder.take_out(out.bread, out.form, out.units, out.at)
        if not lots:
            self.happened.append("a bag was not there")
            return True
        taken = replace(out, units=sum(units for _, units in lots), lots=tuple(lots))
        parts = self.larder.parts(out.bread, out.form, lots)
        self.record.outs.append(taken)
        if route.oven is None:
            self.larder.box[out.id] = Ready(out.id, out.bread, route.gives, out.ready, out.ready + route.keeps, parts)
        else:
            self.larder.thawing[out.id] = Thawing(taken, route, parts)
        return True

    def finish(self, finish: Finish) -> bool:
        """Brown what was taken out."""
        thing = self.alias.get(finish.take_out, finish.take_out)
        thaw = self.larder.thawing.pop(thing, None)
        if thaw is None:
            return True
        stay, units = finish.stay, thaw.out.units
        loads = [min(thaw.route.load_units, units - done) for done in range(0, units, thaw.route.load_units)]
        stay = replace(stay, loads=tuple(Load(n, stay.start, stay.start, stay.end) for n in loads))
        self.record.finishes.append(replace(finish, take_out=thing, stay=stay))
        self.record.outs = [replace(o, ready=stay.start) if o.id == thing else o for o in self.record.outs]
        self.larder.oven.append((stay.oven, Booking(stay.id, stay.start, stay.end, stay.last_degc, 0)))
        until = finish.ready + thaw.route.keeps
        self.larder.box[thing] = Ready(thing, thaw.out.bread, thaw.route.gives, finish.ready, until, thaw.parts)
        return True

    def buy(self, bought: Bought) -> bool:
        """Buy loaves for the meals they are meant for."""
        self.record.bought.append(bought)
        for serving in self.followed.servings:
            if serving.source == bought.id:
                of = self.larder.bought.setdefault(serving.meal, {})
                of[bought.id] = of.get(bought.id, 0) + serving.portions
        return True

    def discard(self, discard: Discard) -> bool:
        """Throw out of the freezer what is there of it."""
        lot = self.larder.lots.get(discard.lot)
        if lot is not None:
            units = self.larder.discard(discard.lot, discard.units)
            self.record.discards.append(replace(discard, units=units))
            self.record.wasted.append((discard.at, units * self.larder.form(lot).portions_per_unit))
        return True

    def eat(self, meal: Meal) -> bool:
        """Eat a meal, with the appetite there is."""
        wanted = self.luck.appetite(meal, self.world.problem.day_of(meal.at))
        promised = {one.source: one.portions for one in self.followed.servings if one.meal == meal.id}
        promised = {self.alias.get(source, source): portions for source, portions in promised.items()}
        guests = {each.id for each in self.world.true.meals if each.strict and each.at > meal.at}
        kept: Counter[str] = Counter()
        for one in self.followed.servings:
            if one.meal in guests:
                kept[self.alias.get(one.source, one.source)] += one.portions
        self.record.meals.append(serve(self.larder, self.record, meal, wanted, promised, kept))
        return True


def gone_on(begun: Begun, new: Bake, at: int) -> Bake:
    """Return a bake as it is gone on with by a new plan: what is done stays as it was."""
    old = begun.bake
    steps = tuple(
        next((was for was in old.steps if was.name == step.name), step) if step.name in begun.done else step
        for step in new.steps
    )
    late = tuple(dict.fromkeys((*old.late, *new.late)))
    if "oven" not in begun.done:
        return replace(new, steps=steps, late=late, under_way=old.id, day=old.day)
    events = (*(e for e in old.stay.events if e.start < at), *(e for e in new.stay.events if e.start >= at))
    stay = old.stay if begun.table else replace(old.stay, events=events)
    return replace(old, steps=steps, stay=stay, put_in=new.put_in, late=late, under_way=old.id)
