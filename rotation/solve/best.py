"""The best plan so far, and the minutes that turn a choice of days into one."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from rotation.choices import Choices
from rotation.costs import scores
from rotation.facts import rank
from rotation.grid import Grid
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.checked import broken
from rotation.solve import cuts
from rotation.solve.answer import tell
from rotation.solve.cuts import Cut
from rotation.solve.days import Limits
from rotation.solve.dealing import deal
from rotation.solve.goals import Goals, finished
from rotation.solve.lessons import Lessons
from rotation.solve.tasks import ask
from rotation.solve.timer import IMPOSSIBLE
from rotation.solve.timing import Timed
from rotation.starter import with_feeds
from rotation.tasks import Asked, Task

Progress = Callable[[str], None]


class Best:
    """What one solve has found. bound: what any plan that meets the goals costs at least; path: how solvers failed."""

    def __init__(self, problem: Problem, grid: Grid, limits: Limits, path: list[str], progress: Progress) -> None:
        self.problem, self.limits, self.path, self.progress = problem, limits, path, progress
        self.lessons = Lessons(problem, grid, limits.minutes, path)
        self.plan: Plan | None = None
        self.asked: Asked | None = None
        self.bound: int | None = None
        self.canonical = False

    def timed(self, choices: Choices, values: tuple[int, ...], *, learn: bool = True) -> tuple[Asked, list[Cut]]:
        """Time a choice and keep the plan if it is the best; return what was learnt where the days were too hopeful."""
        asked = ask(choices, values)
        tasks: list[Task] = [*asked.bakes, *asked.ways]
        try:
            learnt = self._apart(choices, asked, tasks, learn)
            if learnt is None:
                learnt = self._together(choices, asked, tasks, learn)
        except TimeoutError:
            self.path.append("the minutes of one choice of days were not found within the limit")
            return asked, [Cut(tuple(tasks), frozenset(), None, cuts.days_of(tasks), sure=False)]
        self.tell()
        return asked, learnt

    def _apart(self, choices: Choices, asked: Asked, tasks: list[Task], learn: bool) -> list[Cut] | None:
        """Time each group of tasks by itself; None where that does not say enough, and all must be timed at once."""
        parts = self.lessons.apart(tasks, choices)
        stuck = [group for group, timed in parts if timed is None]
        if stuck:
            if not all(self.lessons.excluded(group, tasks, choices) for group in stuck):
                return None
            learnt = [self.lessons.conflict(group, choices, asked) for group in stuck] if learn else []
            return [cut for cut in learnt if cut.sure] if not learnt or any(cut.sure for cut in learnt) else None
        timed = Timed.together([part for _, part in parts if part is not None])
        if not self._take(choices, asked, timed, sure=False):
            return None
        if not learn or timed.bound <= _expected(choices, asked):
            return []
        return self.lessons.dearer(tasks, choices) or None

    def _together(self, choices: Choices, asked: Asked, tasks: list[Task], learn: bool) -> list[Cut]:
        """Time all tasks at once, with what the freezer asks for."""
        timed = self.lessons.timed(tasks, choices, asked)
        if timed is None:
            if not learn:
                return []
            cut = self.lessons.conflict(tasks, choices, asked)
            if cut.sure or len(cut.tasks) < len(tasks):
                return [cut]
            timed = self.lessons.timer.another_way(tasks, False, choices, asked)  # as if all were needed for it
            if timed is None:
                return [cut]
            tell(self.path, IMPOSSIBLE)
        if not self._take(choices, asked, timed, sure=True):
            tell(self.path, "CP-SAT gave minutes that break a rule")
            timed = self.lessons.timer.another_way(tasks, False, choices, asked)
            if timed is None or not self._take(choices, asked, timed, sure=True):
                raise TimeoutError("no minutes to trust")
        if learn and timed.bound > _expected(choices, asked):
            return self.lessons.dearer(tasks, choices)
        return []

    def _take(self, choices: Choices, asked: Asked, timed: Timed, *, sure: bool) -> bool:
        """Keep the plan of a choice if it is the best; say whether it holds. sure: looked at only if it is kept."""
        plan = self.dealt(choices, asked, timed)
        better = self.plan is None or self.rank(plan) < self.rank(self.plan)
        if (better or not sure) and broken(self.problem, with_feeds(self.problem, plan)):
            return False
        if better:
            self.plan, self.asked = plan, asked
        return True

    def dealt(self, choices: Choices, asked: Asked, timed: Timed) -> Plan:
        """Return the plan of a choice of days and its minutes, with its cost by term."""
        plan = deal(choices, asked, timed)
        return replace(plan, terms=scores(self.problem, plan))

    def rank(self, plan: Plan) -> tuple[int, int, int]:
        """Return what makes a plan better, the least first: wishes dropped, strict portions short, cost."""
        return rank(self.problem, plan)

    def cutoff(self, goals: Goals) -> float:
        """Return what a better plan that meets the goals must cost less than."""
        if self.plan is None or self.rank(self.plan)[:2] != (goals.dropped, goals.short):
            return math.inf
        return self.plan.total

    def done(self, goals: Goals) -> bool:
        """Say whether the best plan is as good as the bound, or near enough."""
        if self.plan is None or self.bound is None:
            return False
        dropped, short, total = self.rank(self.plan)
        near = total - self.bound <= max(0, self.limits.gap * abs(total))
        return near and (dropped, short) == (goals.dropped, goals.short)

    def tell(self) -> None:
        """Say how it goes."""
        best = "no plan yet" if self.plan is None else f"a plan that costs {self.plan.total / 1000:.0f} effort minutes"
        bound = "" if self.bound is None else f"; none can cost less than {self.bound / 1000:.0f}"
        gap = ""
        if self.plan is not None and self.bound is not None and self.plan.total > 0:
            gap = f" (gap {max(1 - self.bound / self.plan.total, 0):.1%})"
        self.progress(f"{best}{bound}{gap}")

    def finished(self, goals: Goals) -> Plan:
        """Return the plan with its tiers, status and path."""
        assert self.plan is not None
        plan = finished(self.plan, goals, self.rank(self.plan), self.bound, self.path)
        return replace(plan, canonical=self.canonical and plan.status == "optimal" and not plan.path)


def _expected(choices: Choices, asked: Asked) -> int:
    """Return what the day level counts for hands and heat-ups of a choice."""
    costs = choices.model.costs
    terms = [*costs.get("hands", []), *costs.get("heat_ups", [])]
    return sum(coefficient * asked.values[variable] for coefficient, variable in terms)
