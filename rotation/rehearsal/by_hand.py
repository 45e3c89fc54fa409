"""A bake or a finish put into free hours as a sensible person does it: step after step, each as soon as it can be.

No solver has a part in it, and no price is looked at but that of hands; the checker has the last word on each.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from rotation import facts
from rotation.facts import Job
from rotation.plan import Bake, Finish, Load, Plan, Stay, TakeOut
from rotation.problem import (
    GRID,
    Bread,
    Oven,
    Problem,
    Process,
    Route,
    Stage,
    UnderWay,
    covers,
    free_spans,
    value_at,
)
from rotation.rehearsal.walk import Walk, up
from rotation.rules.checked import broken
from rotation.thaws import thaw_lag

TRIES = 8
"""How many times that fit the hands are shown to the checker before a bake is given up."""

APART = 60
"""Minutes between the first steps that are tried on one day."""


@dataclass
class ByHand:
    """A plan in the making. `plan` keeps every rule whenever a method returns."""

    problem: Problem
    plan: Plan

    def __post_init__(self) -> None:
        self.jobs = list(facts.jobs(self.problem, self.plan))
        self.moments = {person.id: free_spans(person, 1) for person in self.problem.people}

    def _keep(self, plan: Plan) -> bool:
        """Take a plan if it holds; bakes under way that it does not go on with yet come later."""
        going_on = {bake.under_way for bake in plan.bakes}
        under_way = tuple(begun for begun in self.problem.under_way if begun.id in going_on)
        if broken(replace(self.problem, under_way=under_way), plan):
            return False
        self.plan = plan
        self.jobs = list(facts.jobs(self.problem, plan))
        return True

    def who(self, start: int, minutes: int, bakes: bool, busy: Iterable[Job] = ()) -> str | None:
        """Return who can do a job, the one whose minutes are cheapest; "" where it takes no time; None: nobody."""
        if minutes == 0:
            return self._somebody(bakes)
        if start < 0:
            return None
        end, best = start + minutes, None
        for person in self.problem.people:
            if not facts.allowed(person, bakes) or not covers(
                person.free if minutes > 2 else self.moments[person.id], start, end
            ):
                continue
            if _taken(self.jobs, person.id, start, end) or _taken(busy, person.id, start, end):
                continue
            price = value_at(person.price, start)
            if best is None or price < best[0]:
                best = price, person.id
        return None if best is None else best[1]

    def _somebody(self, bakes: bool) -> str | None:
        return next((person.id for person in self.problem.people if facts.allowed(person, bakes)), None)

    # bakes --------------------------------------------------------------------------------------------------------

    def bake(self, id_: str, bread: Bread, process: Process, pieces: tuple[tuple[str, int], ...], day: int,
             ready_by: int | None = None) -> Bake | None:  # fmt: skip
        """Add a bake mixed on a day, ready (and put away) by a minute if one is given; None where it fits nowhere."""
        first, last = self.problem.midnights[day], self.problem.midnights[day + 1]
        stage = process.stages[0]
        reach = sum(self._wait(process, a.name, b.name, day)[1] for a, b in _neighbours(process) if b.name == "mix")
        tries = 0
        for start in range(up(max(0, first - reach)), last, APART):
            for later in range(start, min(start + APART, last), GRID):
                if self.who(later, stage.hands, True) is not None:
                    break
            else:
                continue
            walk = Walk(self, id_, bread, process, pieces, day, None)
            found = walk.from_start(later)
            if found is None or (ready_by is not None and found.ready > ready_by):
                continue
            if self._keep(replace(self.plan, bakes=(*self.plan.bakes, found))):
                return found
            tries += 1
            if tries == TRIES:
                return None
        return None

    def go_on(self, begun: UnderWay, pieces: tuple[tuple[str, int], ...]) -> bool:
        """Add what is left of a bake under way; False where nobody can go on with it."""
        bread = self.problem.bread(begun.bread)
        process = bread.process(begun.process)
        day = self.problem.day_of(next((s for n, s, _ in begun.done if n == "mix"), 0))
        for late in (False, True):
            walk = Walk(self, begun.id, bread, process, pieces, day, begun, late=late)
            found = walk.from_done()
            if found is not None and self._keep(replace(self.plan, bakes=(*self.plan.bakes, found))):
                return True
        return False

    def _wait(self, process: Process, first: str, second: str, day: int) -> tuple[int, int]:
        return next(
            (w.on(day) for w in process.waits if not w.whole and (w.first, w.second) == (first, second)), (0, 0)
        )

    # bread from the freezer ---------------------------------------------------------------------------------------

    def finish(self, id_: str, bread: Bread, route: Route, units: int, by: int) -> Finish | None:
        """Add the thaw and the finish of some units, ready by a minute, as late as can be; None where none fits."""
        if route.oven is None:
            return None
        (degc, minutes), tries = route.oven, 0
        low, high = thaw_lag(route)
        last = (by - route.stand - minutes) // GRID * GRID
        for start in range(last, max(-1, last - min(route.keeps, 1080)), -GRID):
            if route.until is not None and start > route.until:
                continue
            for oven in self.problem.ovens:
                who_in = self.who(start, route.handling, False)
                who_out = self.who(start + minutes, route.handling, False)
                heat = self.cold(oven, start, start + minutes, False, False)
                if who_in is None or who_out is None or heat is None:
                    continue
                on, who_on = heat
                busy = [
                    Job("", "", who, at, at + length, False, "")
                    for who, at, length in (
                        (who_in, start, route.handling), (who_out, start + minutes, route.handling), (who_on, on, 1),
                    )
                ]  # fmt: skip
                out_at = next(
                    (
                        at
                        for at in range((start - low) // GRID * GRID, max(-1, start - high - 1), -GRID)
                        if self.who(at, route.handling_out, False, busy) is not None
                    ),
                    None,
                )
                lots = None if out_at is None else self._lots(bread, route.form, units, out_at)
                if out_at is None or lots is None:
                    continue
                loads = tuple(
                    Load(min(route.load_units, units - n), start, start, start + minutes)
                    for n in range(0, units, route.load_units)
                )
                stay = Stay(f"{id_} oven", oven.id, degc, False, "cold", on, start, start + minutes, loads, who_on,
                            (), route.turns)  # fmt: skip
                out = TakeOut(id_, bread.id, route.form, route.id, units, lots, out_at,
                              self.who(out_at, route.handling_out, False, busy), f"trip:{id_}", start)  # fmt: skip
                made = Finish(f"{id_} finish", id_, stay, who_in, who_out, start + minutes + route.stand)
                added = replace(self.plan, take_outs=(*self.plan.take_outs, out), finishes=(*self.plan.finishes, made))
                if self._keep(added):
                    return made
                tries += 1
                if tries == TRIES:
                    return None
        return None

    def _lots(self, bread: Bread, form: str, units: int, at: int) -> tuple[tuple[str, int], ...] | None:
        """Return the lots that give so many units, the oldest first; None where there are too few."""
        used: dict[str, int] = {}
        for out in self.plan.take_outs:
            for id_, number in out.lots:
                used[id_] = used.get(id_, 0) + number
        dealt = []
        for lot in self.problem.lots:
            if (lot.bread, lot.form) == (bread.id, form) and units and lot.through <= at:
                part = min(units, lot.units - used.get(lot.id, 0))
                units -= part
                dealt += [(lot.id, part)] if part else []
        return None if units else tuple(dealt)

    # ovens --------------------------------------------------------------------------------------------------------

    def cold(
        self, oven: Oven, start: int, end: int, vessel: bool, bakes: bool, busy: Iterable[Job] = ()
    ) -> tuple[int, str] | None:
        """Return from when an oven is heated for a stay and by whom; None where it is taken, or nobody is in."""
        on = start - (oven.heat_up_vessel if vessel else oven.heat_up)
        watch = end + (oven.watch_after_vessel if vessel else oven.watch_after)
        if on < 0 or not covers(self.problem.watched, on, watch) or facts.inside_any(oven.closed, on, end):
            return None
        if any(b.start < end and on < b.end for b in oven.bookings):
            return None
        stays = (s for s in facts.stays(self.plan) if s.oven == oven.id)
        if any(s.heat_from < end and on < s.end for s in stays):
            return None
        who = self.who(on, 1, bakes, busy)
        return None if who is None else (on, who)


def _taken(jobs: Iterable[Job], person: str, start: int, end: int) -> bool:
    return any(job.person == person and job.start < end and start < job.end for job in jobs)


def _neighbours(process: Process) -> Iterator[tuple[Stage, Stage]]:
    return zip(process.stages, process.stages[1:], strict=False)
