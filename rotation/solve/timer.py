"""The minutes of tasks, asked for twice where the first answer cannot be trusted, or more than one plan hangs on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.problem import Problem
from rotation.solve import shelves
from rotation.solve.answer import Faulty, tell
from rotation.solve.cuts import Cut
from rotation.solve.timing import Timed, Timing
from rotation.tasks import Asked, Task

IMPOSSIBLE = "CP-SAT called impossible what it could time another way"


class Timer:
    """Times tasks. `work`: deterministic limit of one timing; path: how solvers failed, in words."""

    def __init__(self, problem: Problem, grid: Grid, work: float, path: list[str]) -> None:
        self.problem, self.grid, self.work, self.path = problem, grid, work, path

    def timing(
        self, tasks: Sequence[Task], hot: bool, choices: Choices | None = None, asked: Asked | None = None
    ) -> Timing:
        """Return the model of tasks; with the freezer's rules if `asked`."""
        timing = Timing(self.problem, self.grid, tasks, hot=hot)
        if choices is not None and asked is not None:
            shelves.add(timing, choices, asked, tasks)
        else:
            shelves.loads(timing, tasks)
        return timing

    def minutes(
        self, tasks: Sequence[Task], hot: bool, choices: Choices | None = None, asked: Asked | None = None
    ) -> Timed | None:
        """Return the cheapest minutes, None if there are none. Raises TimeoutError if that is not known."""
        for again in (False, True):
            try:
                return self.timing(tasks, hot, choices, asked).solve(self.work, again=again)
            except Faulty as fault:
                tell(self.path, f"{fault}, of some minutes")
            except TimeoutError:
                tell(self.path, "some minutes were not found within the limit")
                raise
        raise TimeoutError("no answer to trust")

    def another_way(
        self, tasks: Sequence[Task], hot: bool, choices: Choices | None = None, asked: Asked | None = None
    ) -> Timed | None:
        """Return the cheapest minutes by another way of solving; None if there are none, or none are known."""
        try:
            return self.timing(tasks, hot, choices, asked).solve(self.work, again=True)
        except TimeoutError:
            return None
        except Faulty as fault:
            tell(self.path, f"{fault}, of some minutes")
            return None

    def confirmed(self, cut: Cut, meant: Iterable[Sequence[Task]]) -> Cut:
        """Return a cut if another way of solving does not gainsay it; else one that is not sure, or costs less.

        meant: the tasks of all that it speaks of. Many plans hang on a cut, so it is asked for twice.
        """
        cost = cut.cost
        for tasks in meant if cut.sure else ():
            timed = self.another_way(tasks, not cut.cold)
            if timed is not None and cost is None:
                tell(self.path, IMPOSSIBLE)
                return replace(cut, sure=False)
            if timed is not None and cost is not None and timed.cost < cost:
                tell(self.path, "CP-SAT said that minutes cost more than they do another way")
                cost = timed.cost
        return cut if cost == cut.cost else replace(cut, cost=cost)
