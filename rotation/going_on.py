"""Whether a bake under way can go on in time, taken alone in the house: by plainly looking at each start."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from rotation.facts import allowed, inside_any
from rotation.problem import GRID, Oven, Problem, Process, covers, free_spans


@dataclass(frozen=True)
class GoingOn:
    """A bake under way.

    day: local day of its mix; total: its pieces. length: minutes of its stay; lag: those from its first load to its
    last; acts: those at which hands are wanted at the oven after the first load.
    """

    problem: Problem
    process: Process
    day: int
    total: int
    oven: Oven
    length: int
    lag: int
    acts: tuple[int, ...]

    def can(self, name: str, first: int, last: int) -> bool:
        """Say whether a step can begin within `[first, last]` so that all after it up to the oven keeps its waits.

        The oven is heated cold for it, and nothing else is in it but what is booked. Spans over several steps that are
        still to come are not looked at.
        """
        names = [stage.name for stage in self.process.stages]
        if name not in names[: names.index("oven") + 1]:
            return True
        able = self._able(name, set(range(-(-max(first, 0) // GRID) * GRID, last + 1, GRID)))
        for before, after in pairwise(names[names.index(name) : names.index("oven") + 1]):
            waits = (
                wait for wait in self.process.waits if (wait.first, wait.second, wait.whole) == (before, after, False)
            )
            low, high = next((wait.on(self.day) for wait in waits), (0, self.problem.end))
            high -= self.lag if after == "oven" else 0
            over = {start + self._hands(before) for start in able}
            reach = {start for end in over for start in range(-(-(end + low) // GRID) * GRID, end + high + 1, GRID)}
            able = self._able(after, reach)
        return bool(able)

    def _hands(self, name: str) -> int:
        if name == "oven":
            return self.process.programme.handling
        stage = next(stage for stage in self.process.stages if stage.name == name)
        return stage.hands + stage.hands_per_piece * self.total

    def _able(self, name: str, starts: set[int]) -> set[int]:
        """Return the starts at which somebody has hands, and, for the oven, at which it may be hot and is watched."""
        minutes = self._hands(name)
        able = {start for start in starts if self._free(start, minutes)}
        if name != "oven":
            return able
        vessel, oven = self.process.programme.covered > 0, self.oven
        heat = oven.heat_up_vessel if vessel else oven.heat_up
        after = oven.watch_after_vessel if vessel else oven.watch_after
        taken = (*oven.closed, *((booking.start, booking.end) for booking in oven.bookings))
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
        people = (person for person in self.problem.people if allowed(person, bakes=True))
        return any(covers(free_spans(person, minutes), start, start + minutes) for person in people)
