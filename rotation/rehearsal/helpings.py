"""How a sensible person sees that there is bread on the table: for guests first, then for the next day and a half."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

from rotation.plan import Plan, Serving
from rotation.problem import FRESH, TABLE, TOAST, Bread, Meal, is_thawing
from rotation.rehearsal.by_hand import ByHand
from rotation.rehearsal.policy import Seen
from rotation.rules.checked import broken

DAY = 1440


class Helpings:
    """One morning's plan, as far as bread is got ready in it."""

    def __init__(self, seen: Seen) -> None:
        self.seen, self.problem = seen, seen.problem
        self.hands = ByHand(self.problem, Plan())
        self.numbers = 0

    def new_id(self) -> str:
        """Return a name for the next thing of this morning."""
        self.numbers += 1
        return f"by hand {self.seen.day} {self.numbers}"

    def coming(self, bread: Bread) -> bool:
        """Say whether a bake of a bread is planned already."""
        return any(bake.bread == bread.id and bake.under_way is None for bake in self.hands.plan.bakes)

    def guests(self) -> None:
        """See that guests of the next three days have bread: what is there, a finish, a bake."""
        for meal in self.problem.meals:
            if meal.strict and meal.at <= 3 * DAY:
                short = self._reserve(meal)
                if short > 0:
                    self._finish_for(meal, short)
                    short = meal.portions - self._served(meal)
                if short > 0:
                    self._bake_for(meal, short)

    def _served(self, meal: Meal) -> int:
        return sum(s.portions for s in self.hands.plan.servings if s.meal == meal.id)

    def _reserve(self, meal: Meal) -> int:
        """Keep bread that is there for a meal; return the portions it is short of."""
        short = meal.portions - self._served(meal)
        given = {s.source: s.portions for s in self.hands.plan.servings}
        sources = [(item.id, item.bread, item.kind, item.portions, item.ready, item.until) for item in self.problem.box]
        for bake in self.hands.plan.bakes:
            bread = self.problem.bread(bake.bread)
            portions = bake.count(TABLE) * bread.portions
            sources.append((bake.id, bread.id, FRESH, portions, bake.ready, bake.ready + bread.keeps))
        for id_, bread_id, kind, portions, ready, until in sources:
            fits = any(a.bread == bread_id and kind in a.kinds and meal.at - ready <= a.max_age for a in meal.accepts)
            part = min(short, portions - given.get(id_, 0))
            if fits and part > 0 and ready <= meal.at <= until:
                self._serve(meal, id_, part)
                short = meal.portions - self._served(meal)
        return short

    def _serve(self, meal: Meal, source: str, portions: int) -> None:
        servings = (*self.hands.plan.servings, Serving(meal.id, source, portions))
        plan = replace(self.hands.plan, servings=servings)
        if not broken(self.problem, plan):
            self.hands = ByHand(self.problem, plan)

    def _finish_for(self, meal: Meal, short: int) -> None:
        """Get ready what is frozen for a meal, by the way that has most of it first."""
        for accept in meal.accepts:
            bread = self.problem.bread(accept.bread)
            if meal.without and ("?" in bread.allergens or meal.without & bread.allergens):
                continue
            for route in bread.routes:
                if short <= 0 or route.gives not in accept.kinds or route.gives == TOAST or is_thawing(route.form):
                    continue
                each = bread.form(route.form).portions_per_unit
                units = min(ceil(short / each), self._units(bread, route.form))
                while units > 0:
                    made = self.hands.finish(self.new_id(), bread, route, units, meal.at)
                    if made is not None:
                        self._serve(meal, made.take_out, min(short, units * each))
                        short -= units * each
                        break
                    units -= 1

    def _units(self, bread: Bread, form: str) -> int:
        lots = [lot for lot in self.problem.lots if (lot.bread, lot.form) == (bread.id, form)]
        used = sum(out.units for out in self.hands.plan.take_outs if (out.bread, out.form) == (bread.id, form))
        return sum(lot.units for lot in lots) - used

    def _bake_for(self, meal: Meal, short: int) -> None:
        last = self.problem.day_of(meal.at)
        for accept in meal.accepts:
            bread = self.problem.bread(accept.bread)
            harmful = meal.without and ("?" in bread.allergens or meal.without & bread.allergens)
            if FRESH not in accept.kinds or self.coming(bread) or harmful:
                continue
            for process in (one for one in bread.processes if one.pieces):
                total = next((n for n in process.pieces if n * bread.portions >= short), process.pieces[-1])
                if not any(treatment.id == TABLE for treatment in process.treatments):
                    continue
                for day in (last, last - 1):
                    if day < 0 or day >= self.problem.days:
                        continue
                    bake = self.hands.bake(self.new_id(), bread, process, ((TABLE, total),), day, meal.at)
                    if bake is not None:
                        self._serve(meal, bake.id, min(short, total * bread.portions))
                        return

    def table(self) -> None:
        """Finish what is part-baked for the next meal that would be short, once for each bread."""
        given: dict[str, int] = {}
        for serving in self.hands.plan.servings:
            given[serving.source] = given.get(serving.source, 0) + serving.portions
        box = {item.id: item.portions - given.get(item.id, 0) for item in self.problem.box}
        baked = {
            bake.id: bake.count(TABLE) * self.problem.bread(bake.bread).portions - given.get(bake.id, 0)
            for bake in self.hands.plan.bakes
        }
        slices = {
            bread.id: sum(
                lot.units * bread.form(lot.form).portions_per_unit
                for lot in self.problem.lots
                if lot.bread == bread.id and any(r.form == lot.form and r.gives == TOAST for r in bread.routes)
            )
            for bread in self.problem.breads
        }
        started: set[str] = set()
        for meal in self.problem.meals:
            if meal.strict or meal.at > DAY + 720:
                continue
            short = meal.portions
            for item in self.problem.box:
                if self._fits(meal, item.bread, item.kind) and item.ready <= meal.at <= item.until:
                    part = min(short, max(0, box[item.id]))
                    box[item.id], short = box[item.id] - part, short - part
            for bake in self.hands.plan.bakes:
                if bake.ready <= meal.at and self._fits(meal, bake.bread, FRESH):
                    part = min(short, max(0, baked[bake.id]))
                    baked[bake.id], short = baked[bake.id] - part, short - part
            for accept in meal.accepts:
                if TOAST in accept.kinds:
                    part = min(short, slices[accept.bread])
                    slices[accept.bread], short = slices[accept.bread] - part, short - part
            breads = {accept.bread for accept in meal.accepts}
            if short > 0 and not breads & started:
                before = len(self.hands.plan.take_outs)
                self._finish_for(replace(meal, id=meal.id), short)
                if len(self.hands.plan.take_outs) > before:
                    started |= breads

    def _fits(self, meal: Meal, bread: str, kind: str) -> bool:
        return any(accept.bread == bread and kind in accept.kinds for accept in meal.accepts)
