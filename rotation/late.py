"""How late dough that is under way may be: it goes on with longer waits, as little longer as can be.

Dough that could go on in time alone may be late too, where other dough wants the same oven or the same hands. That is
looked for plainly: dough by dough, in every order, each in the oven as soon as it can be.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import islice, permutations

from rotation.going_on import GoingOn
from rotation.hot import fits
from rotation.oven_turns import bake_turns, events
from rotation.problem import Problem, Process, UnderWay

LATE_HOURS = range(1, 49)
"""How much later a step that could begin in time comes, the least that will do, where what follows it could not."""

ORDERS = 24
"""In so many orders doughs are tried: all of four."""


def later(process: Process, begun: UnderWay) -> Iterator[Process]:
    """Yield a process as it is, then for ever later dough: what follows cannot keep its longest waits either.

    The second is in time with the next step, and the longest waits that follow are up to two days longer.
    """
    yield process
    done = _done(begun)
    waits = [wait for wait in process.waits if wait.first in done or not wait.whole]
    for hours in (0, *LATE_HOURS):
        more = ((wait, 60 * hours if wait.first in done else 2 * 1440) for wait in waits)
        longer = (replace(wait, bounds=tuple((low, high + late) for low, high in wait.bounds)) for wait, late in more)
        yield replace(process, waits=tuple(longer))


def minutes_later(problem: Problem) -> int:
    """Return how much later than alone each dough may be, so that all that is under way can go on.

    0 where all can as if alone, and where not even two days help.
    """
    return _minutes_later(problem) if problem.under_way else 0


@lru_cache(maxsize=8)
def _minutes_later(problem: Problem) -> int:
    doughs = [begun for begun in problem.under_way if "oven" not in _done(begun)]
    ways = [tuple(later(problem.bread(one.bread).process(one.process), one)) for one in doughs]
    alone: list[int | None] = [
        next((number for number, process in enumerate(of) if _House(problem).goes_on(one, process, 0)), None)
        for one, of in zip(doughs, ways, strict=True)
    ]
    if None in alone:
        return 0
    for hours in range(LATE_HOURS.stop):
        found = [(one, of[after_late(n or 0, hours)]) for one, of, n in zip(doughs, ways, alone, strict=True)]
        for order in islice(permutations(found), ORDERS):
            house = _House.with_ovens(problem)
            if all(house.goes_on(begun, process, 60 * hours) for begun, process in order):
                return 60 * hours
    return 0


def after_late(number: int, later_by: int) -> int:
    """Return which process of `later` is right where the next step may be late: what follows may be, too."""
    return max(number, 1) if later_by else number


def _done(begun: UnderWay) -> dict[str, tuple[int, int]]:
    return {name: (start, end) for name, start, end in begun.done}


@dataclass
class _House:
    """Whose hands, and which ovens, are taken by what is under way."""

    problem: Problem
    busy: list[tuple[str, int, int]] = field(default_factory=list)
    taken: defaultdict[str, list[tuple[int, int]]] = field(default_factory=lambda: defaultdict(list))

    @classmethod
    def with_ovens(cls, problem: Problem) -> _House:
        """Return a house in which the ovens are taken by what is in them already."""
        house = cls(problem)
        for begun in problem.under_way:
            process, done = problem.bread(begun.bread).process(begun.process), _done(begun)
            oven = next((oven for oven in problem.ovens if fits(process, oven)), None)
            if oven is not None and "oven" in done:
                pieces = begun.fixed or (_soonest(process, begun.pieces),)
                start = done["oven"][0]
                house.taken[oven.id].append(
                    (start, start + max(turn.out for turn in bake_turns(process, pieces, oven)))
                )
        return house

    def goes_on(self, begun: UnderWay, process: Process, more: int) -> bool:
        """Let dough go on as soon as it can, and take what it needs; say whether it can. more: minutes later."""
        done = _done(begun)
        day = self.problem.day_of(done.get("mix", (0, 0))[0])
        name = next(stage.name for stage in process.stages if stage.name not in done)
        for oven in (oven for oven in self.problem.ovens if fits(process, oven)):
            turns = bake_turns(process, (_soonest(process, begun.pieces),), oven)
            length, lag = max(turn.out for turn in turns), turns[-1].start
            acts = tuple(event.offset for event in events(turns, process.programme))
            alone = GoingOn(self.problem, process, day, begun.pieces, oven, length, lag, acts)
            bounds = process.windows(done, day)
            if "oven" in bounds:
                bounds["oven"] = (bounds["oven"][0], bounds["oven"][1] - lag)
            if name in bounds:
                bounds[name] = (bounds[name][0], alone.until(name, *bounds[name]))
            bounds = {step: (low, high + more) for step, (low, high) in bounds.items()}
            dough = replace(alone, busy=tuple(self.busy), taken=tuple(self.taken[oven.id]))
            starts = dough.soonest(name, bounds)
            if starts is not None:
                self._take(dough, starts)
                return True
        return False

    def _take(self, dough: GoingOn, starts: dict[str, int]) -> None:
        oven, handling = starts["oven"], dough.hands("oven")
        jobs = [(start, dough.hands(name)) for name, start in starts.items()]
        jobs += [(oven - dough.heat, 1), *((oven + act, handling) for act in dough.acts)]
        for start, minutes in jobs:
            who = dough.who(start, minutes)
            if who is not None:
                self.busy.append((who, start, start + minutes))
        self.taken[dough.oven.id].append((oven - dough.heat, oven + dough.length))


def _soonest(process: Process, pieces: int) -> tuple[str, int]:
    """Return pieces that all become what leaves the oven soonest."""
    return min(process.treatments, key=lambda treatment: treatment.uncovered).id, pieces
