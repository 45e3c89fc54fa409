"""Rules of thumb a household bakes by, each with two figures that can be tuned, and a sensible person's hands.

All of them take slices out of the freezer as they are wanted, finish a part-baked loaf when a meal would be without,
and finish or bake for guests once they know of them. They differ in when they bake, and how much.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import floor

from rotation.errors import NothingPlanned
from rotation.intake.worth import weekly
from rotation.plan import Bake, Plan
from rotation.problem import (
    FINISHED,
    FRESH,
    TABLE,
    TOAST,
    Bread,
    Meal,
    Process,
    is_thawing,
    lowest,
)
from rotation.rehearsal.by_hand import ByHand
from rotation.rehearsal.helpings import Helpings
from rotation.rehearsal.policy import Seen
from rotation.rules.checked import broken

FIXED, UP_TO, SHORT, FORTNIGHT = "fixed days", "up to S", "tomorrow short", "fortnight"
"""When a household bakes: N on every fixed day; up to S when it falls below s; when tomorrow is short; in a pattern."""

DAY = 1440


@dataclass(frozen=True)
class Figures:
    """What a rule is tuned by. low: days of bread below which it bakes; high: days of bread it bakes up to.

    For fixed days and a fortnight `low` is the days from one bake of a bread to the next. sliced: whether what is
    frozen is sliced where it can be; spare: part-baked loaves kept for guests.
    """

    low: float
    high: float
    sliced: bool = True
    spare: int = 0


@dataclass
class Habit:
    """One rule of thumb."""

    kind: str
    figures: Figures

    @property
    def name(self) -> str:
        """What it is called in a table."""
        return self.kind

    def plan(self, seen: Seen) -> Plan | None:
        """Return what a sensible person decides this morning."""
        return _Morning(self, seen).plan()


class _Morning(Helpings):
    """One decision."""

    def __init__(self, habit: Habit, seen: Seen) -> None:
        super().__init__(seen)
        self.habit, self.figures = habit, habit.figures
        days = self.problem.midnights[-1] / DAY
        self.daily = {bread: each / 7 for bread, each in weekly(self.problem.meals, max(1, round(days))).items()}

    def plan(self) -> Plan:
        """Return the plan: what is begun, what was meant, guests, then the rule, then tomorrow's table."""
        before = self.seen.before
        meant: dict[str, Bake] = {}
        if before is not None:
            date = self.problem.zero.astimezone(self.problem.zone).date()
            days = (date - before.zero.astimezone(self.problem.zone).date()).days
            old = before.since(self.problem.zero, days)
            meant = {bake.id: bake for bake in old.bakes}
            ready = {finish.take_out: finish.ready for finish in old.finishes}
        else:
            ready = {}
        for begun in self.problem.under_way:
            pieces = begun.fixed or meant[begun.id].pieces
            if not self.hands.go_on(begun, pieces):
                raise NothingPlanned(f"nobody's hands can go on with {begun.id}")
        for lot in self.problem.lots:
            if is_thawing(lot.form):
                bread = self.problem.bread(lot.bread)
                route = next(route for route in bread.routes if route.form == lot.form)
                assert route.until is not None
                latest = route.until + (route.oven[1] if route.oven else 0) + route.stand
                for by in (ready.get(lot.id, latest), latest):
                    if self.hands.finish(self.new_id(), bread, route, lot.units, by) is not None:
                        break
        self._meant([b for b in meant.values() if b.id not in {u.id for u in self.problem.under_way}])
        self.guests()
        for bread in self.problem.breads:
            self._bake(bread)
        self.table()
        return self.hands.plan

    def _meant(self, bakes: list[Bake]) -> None:
        """Go on meaning what was meant to be baked, where it still fits."""
        for bake in bakes:
            if bake.under_way is not None or min(step.start for step in bake.steps) < 0:
                continue
            renamed = replace(bake, lots=tuple((form, f"{bake.id}:{form}") for form, _ in bake.lots))
            plan = replace(self.hands.plan, bakes=(*self.hands.plan.bakes, renamed))
            if not broken(self.problem, plan):
                self.hands = ByHand(self.problem, plan)
            elif 0 <= bake.day < self.problem.days:
                bread = self.problem.bread(bake.bread)
                process = next((p for p in bread.processes if p.id == bake.process), None)
                if process is not None:
                    self.hands.bake(self.new_id(), bread, process, bake.pieces, bake.day)

    # bakes --------------------------------------------------------------------------------------------------------

    def _bake(self, bread: Bread) -> None:
        """Bake if the rule says so, on the soonest day that has the hands."""
        daily = self.daily.get(bread.id, 0.0)
        if daily <= 0 or not bread.processes or self.coming(bread):
            return
        wanted = self._wanted(bread, daily)
        if wanted <= 0:
            return
        days = (1,) if self.habit.kind in (FIXED, FORTNIGHT) else (0, 1, 2)
        for number in range(max(1, round(wanted / bread.portions)), 0, -1):
            for day in days:
                for process in bread.processes:
                    pieces = self._pieces(bread, process, number)
                    if pieces and self.hands.bake(self.new_id(), bread, process, pieces, day) is not None:
                        return

    def _stock(self, bread: Bread) -> int:
        """Return the portions in the freezer, in the box until tomorrow, and under way."""
        frozen = sum(
            lot.units * bread.form(lot.form).portions_per_unit for lot in self.problem.lots if lot.bread == bread.id
        )
        box = sum(item.portions for item in self.problem.box if item.bread == bread.id and item.until > DAY)
        coming = sum(bake.total for bake in self.hands.plan.bakes if bake.bread == bread.id) * bread.portions
        return frozen + box + coming

    def _wanted(self, bread: Bread, daily: float) -> float:
        """Return the portions to bake now, by the rule."""
        low, high = self.figures.low, self.figures.high
        stock, number = self._stock(bread), sorted(self.daily).index(bread.id)
        tomorrow = self.seen.day + 1
        if self.habit.kind == FIXED:  # every `low` days, as many as `high` days eat, whatever there is
            due = floor((tomorrow + number) / low) != floor((tomorrow + number - 1) / low)
            return high * daily if due else 0
        if self.habit.kind == FORTNIGHT:  # on two of fourteen days, up to what is there
            due = (tomorrow + 2 * number) % 14 in (0, round(low) % 14)
            return max(0.0, high * daily - stock) if due else 0
        if self.habit.kind == SHORT:
            need = sum(
                m.portions for m in self.problem.meals if m.at <= self.problem.midnights[2] and self._eats(m, bread)
            )
            return high * daily if stock < need + low * daily else 0
        return high * daily - stock if stock < low * daily else 0

    def _eats(self, meal: Meal, bread: Bread) -> bool:
        return bool(meal.accepts) and meal.accepts[0].bread == bread.id

    def _pieces(self, bread: Bread, process: Process, number: int) -> tuple[tuple[str, int], ...]:
        """Return a number of loaves by treatment: as many fresh as are eaten in time, the rest for the freezer."""
        allowed = [n for n in process.pieces if n <= number] or list(process.pieces[:1])
        if not allowed:
            return ()
        total, counts = allowed[-1], dict[str, int]()
        ids = [treatment.id for treatment in process.treatments]
        forms = [id_ for id_ in ids if id_ != TABLE]
        fresh = self._fresh(bread) if TABLE in ids else 0
        left = total
        if TABLE in ids:
            counts[TABLE] = min(left, fresh) if forms else left
            left -= counts[TABLE]
        part_baked = [f for f in forms if any(r.form == f and r.gives == FINISHED for r in bread.routes)]
        toasted = [f for f in forms if any(r.form == f and r.gives == TOAST for r in bread.routes)]
        first = toasted if self.figures.sliced and toasted and self._toast(bread) else part_baked or toasted or forms
        if left and part_baked and first == toasted:
            there = sum(lot.units for lot in self.problem.lots if lot.bread == bread.id and lot.form in part_baked)
            spare = min(left, max(0, self.figures.spare - there))
            counts[part_baked[0]] = spare
            left -= spare
        if left and first:
            left = min(left, self._room(bread, first[0]))
            counts[first[0]] = counts.get(first[0], 0) + left
        total = sum(counts.values())
        if total not in process.pieces:
            return ()
        return tuple((id_, counts[id_]) for id_ in ids if counts.get(id_))

    def _fresh(self, bread: Bread) -> int:
        """Return the loaves that are eaten fresh before they are stale."""
        meals = [m for m in self.problem.meals if any(a.bread == bread.id and FRESH in a.kinds for a in m.accepts)]
        eaten = sum(m.portions for m in meals) * DAY / max(self.problem.end, DAY) if meals else 0.0
        share = self.daily[bread.id] / eaten if eaten else 0.0
        return max(0, round(min(1.0, share) * eaten * bread.keeps / DAY / bread.portions)) if meals else 0

    def _toast(self, bread: Bread) -> bool:
        return any(a.bread == bread.id and TOAST in a.kinds for m in self.problem.meals for a in m.accepts)

    def _room(self, bread: Bread, form_id: str) -> int:
        """Return the loaves that the freezer still has room for, as it will be in two days."""
        form, kitchen = bread.form(form_id), self.problem.kitchen
        held = sum(lot.units * self.problem.bread(lot.bread).form(lot.form).unit_dl for lot in self.problem.lots)
        for bake in self.hands.plan.bakes:
            of = self.problem.bread(bake.bread)
            held += sum(of.form(f).unit_dl * of.form(f).units_per_piece * n for f, n in bake.pieces if f != TABLE)
        room = lowest(kitchen.freezer_dl, 0, 3 * DAY) - held
        rate = lowest(kitchen.freezing_grams_24h, 0, 3 * DAY)
        each = form.unit_dl * form.units_per_piece
        grams = form.load_grams * form.units_per_piece
        return max(0, min(room // each if each else 99, rate // grams if grams else 99))


KINDS = (FIXED, UP_TO, SHORT, FORTNIGHT)
