"""Whether a bake under way can go on in time, taken alone in the house: by plainly looking at each start."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from rotation.facts import allowed, inside_any
from rotation.problem import GRID, Oven, Person, Problem, Process, Spans, covers, free_spans, union


@dataclass(frozen=True)
class GoingOn:
    """A bake under way.

    day: local day of its mix; total: its pieces. length: minutes of its stay; lag: those from its first load to its
    last; acts: those at which hands are wanted at the oven after the first load. busy: `(person, start, end)` of hands
    taken by other bakes; taken: minutes in which another bake has the oven.
    """

    problem: Problem
    process: Process
    day: int
    total: int
    oven: Oven
    length: int
    lag: int
    acts: tuple[int, ...]
    busy: tuple[tuple[str, int, int], ...] = ()
    taken: Spans = ()

    def can(self, name: str, first: int, last: int) -> bool:
        """Say whether a step can begin within `[first, last]` so that all after it up to the oven keeps its waits.

        The oven is heated cold for it, and nothing else is in it but what is booked. Spans over several steps that are
        still to come are not looked at.
        """
        names = [stage.name for stage in self.process.stages]
        if name not in names[: names.index("oven") + 1]:
            return True
        return bool(self._reach(name, {name: (first, last)})["oven"])

    def soonest(self, name: str, bounds: Mapping[str, tuple[int, int]]) -> dict[str, int] | None:
        """Return starts of a step and all after it, with the soonest that the oven can have; None where there is none.

        bounds: of steps whose waits began in reality, since when and until when they may begin.
        """
        able = self._reach(name, bounds)
        if not able["oven"]:
            return None
        names = list(able)
        at = {"oven": min(able["oven"])}
        for before, after in reversed(list(pairwise(names))):
            low, high = self._lag(before, after)
            at[before] = max(start for start in able[before] if low <= at[after] - start <= high)
        return at

    def until(self, name: str, first: int, last: int) -> int:
        """Return until when a step may begin: `last`, or where it cannot by then, the first minute at which it can."""
        starts = range(-(-max(first, 0) // GRID) * GRID, self.problem.end, GRID)
        soonest = next((start for start in starts if self._able(name, {start})), last)
        return max(last, soonest)

    def who(self, start: int, minutes: int) -> str | None:
        """Return who has hands, None: nobody."""
        return next((person.id for person in self._bakers() if self._has(person, start, minutes)), None)

    def hands(self, name: str) -> int:
        """Return the minutes of hands of a step up to the oven."""
        if name == "oven":
            return self.process.programme.handling
        stage = next(stage for stage in self.process.stages if stage.name == name)
        return stage.hands + stage.hands_per_piece * self.total

    @property
    def heat(self) -> int:
        """Minutes in which the oven gets hot from cold."""
        return self.oven.heat_up_vessel if self.process.programme.covered > 0 else self.oven.heat_up

    def _reach(self, name: str, bounds: Mapping[str, tuple[int, int]]) -> dict[str, set[int]]:
        """Return the starts of a step, and of each after it up to the oven, that their waits and the hours allow."""
        names = [stage.name for stage in self.process.stages]
        names = names[names.index(name) : names.index("oven") + 1]
        first, last = bounds.get(name, (0, self.problem.end))
        able = {name: self._able(name, set(range(-(-max(first, 0) // GRID) * GRID, last + 1, GRID)))}
        for before, after in pairwise(names):
            low, high = self._lag(before, after)
            first, last = bounds.get(after, (0, self.problem.end))
            spans = union((start + low, start + high + 1) for start in able[before])
            reach = {at for since, until in spans for at in range(-(-since // GRID) * GRID, until, GRID)}
            able[after] = self._able(after, {at for at in reach if first <= at <= last})
        return able

    def _lag(self, before: str, after: str) -> tuple[int, int]:
        """Return the shortest and longest minutes from the start of a step to that of the next."""
        waits = (wait for wait in self.process.waits if (wait.first, wait.second, wait.whole) == (before, after, False))
        low, high = next((wait.on(self.day) for wait in waits), (0, self.problem.end))
        hands = self.hands(before)
        return hands + low, hands + high - (self.lag if after == "oven" else 0)

    def _able(self, name: str, starts: set[int]) -> set[int]:
        """Return the starts at which somebody has hands, and, for the oven, at which it may be hot and is watched."""
        minutes = self.hands(name)
        able = {start for start in starts if self._free(start, minutes)}
        if name != "oven":
            return able
        oven, heat = self.oven, self.heat
        after = oven.watch_after_vessel if self.process.programme.covered > 0 else oven.watch_after
        taken = (*oven.closed, *((booking.start, booking.end) for booking in oven.bookings), *self.taken)
        return {
            start
            for start in able
            if start >= heat
            and all(inside_any((span,), start - heat, start + self.length) is None for span in taken)
            and covers(self.problem.watched, start - heat, start + self.length + after)
            and self._free(start - heat, 1)
            and all(self._free(start + act, minutes) for act in self.acts)
        }

    def _free(self, start: int, minutes: int) -> bool:
        return self.who(start, minutes) is not None

    def _bakers(self) -> Iterator[Person]:
        return (person for person in self.problem.people if allowed(person, bakes=True))

    def _has(self, person: Person, start: int, minutes: int) -> bool:
        busy = (since < start + minutes and start < until for who, since, until in self.busy if who == person.id)
        return covers(free_spans(person, minutes), start, start + minutes) and not any(busy)
