"""From a problem to a proven plan: choose the days, time the minutes, learn from what did not fit, go on.

The day level (rotation/choices.py) is a relaxation: every plan is one of its solutions, at a cost no higher. So its
bound holds for all plans on the grid. The timing (rotation/solve/timing.py) turns a solution into a plan or into a cut.
When a plan costs what the bound says, no plan is better.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from rotation.choices import Choices
from rotation.costs import scores
from rotation.errors import NothingPlanned
from rotation.grid import Grid
from rotation.moments import Moments
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.solve import cuts
from rotation.solve.answer import Faulty
from rotation.solve.cuts import Cut, Taught
from rotation.solve.days import Days, Limits, Shape, ranks
from rotation.solve.dealing import deal
from rotation.solve.dive import dive
from rotation.solve.goals import cost, finished, strict, wishes
from rotation.solve.highs import whole
from rotation.solve.lessons import Lessons
from rotation.solve.likely import around, as_asked, hold_nothing
from rotation.solve.relaxation import EXACT, Relaxation
from rotation.solve.tasks import ask
from rotation.solve.tree import Tree
from rotation.starter import with_feeds
from rotation.tasks import Asked, Task

Progress = Callable[[str], None]

WINDOW, STEP = 5, 2
"""How many days are chosen anew at once to better a plan, and how far on the next ones begin."""


def solve(
    problem: Problem,
    limits: Limits | None = None,
    progress: Progress | None = None,
    *,
    shape: Shape | None = None,
    start: Plan | None = None,
) -> Plan:
    """Return the best plan found, with its cost by term, its bound and how it was come by.

    shape: only plans of it are looked at, and the bound is over those. start: a priced plan to better.
    Raises NothingPlanned if not even an empty plan fits: a bake under way that no hands can go on with.
    """
    return Planner(problem, limits or Limits(), progress or (lambda _: None), shape, start).solve()


class Planner:
    """One solve."""

    def __init__(
        self, problem: Problem, limits: Limits, tell: Progress, shape: Shape | None = None, start: Plan | None = None
    ) -> None:
        self.problem, self.limits, self.progress = problem, limits, tell
        self.grid = Grid(problem)
        self.days = Days(problem, self.grid, Moments(problem), limits, shape)
        self.lessons = Lessons(problem, self.grid, limits.minutes)
        self.cuts: list[Cut] = []
        self.hints: list[Cut] = []
        """Cuts that are not sure."""
        self.path = self.days.path
        self.best: Plan | None = start
        self.best_asked: Asked | None = None
        self.bound: int | None = None

    def solve(self) -> Plan:
        """Return the best plan: a quick one first, then the best over all runs and ways."""
        try:
            if self.limits.solver != "highs":
                raise Faulty("the days are chosen without a search")
            self._first()
            self._search()
        except Faulty as fault:
            self.path.append(str(fault))
            self._rounds()
        if self.best is None:
            self._nothing()
        assert self.best is not None
        plan = finished(self.best, self.days.goals, self._rank(self.best), self.bound, self.path)
        return with_feeds(self.problem, plan)

    # days ---------------------------------------------------------------------------------------------------------

    def _first(self) -> None:
        """Find a plan by diving into the relaxation, until the minutes of what comes up fit."""
        if self.best is not None:
            return
        choices, taught = self.days.held()
        relaxation = Relaxation(choices.model, cost(choices.model))
        if relaxation.solve(math.inf) == math.inf and self.days.tiered:
            self.days.settle(())
            choices, taught = self.days.held()
            relaxation = Relaxation(choices.model, cost(choices.model))
        values = dive(relaxation, ranks(choices), math.inf)
        if values is None:
            return
        asked, learnt = self._timed(choices, whole(choices.model, cost(choices.model), values))
        for _ in range(self.limits.mends):
            self.cuts += learnt
            if self.best is not None or not learnt:
                return
            for cut in learnt:
                taught.add(cut)
            days = range(min(learnt[0].days) - 1, max(learnt[0].days) + 2)
            for box in (around(choices, asked, days), None):
                tree = Tree(choices.model, cost(choices.model), ranks(choices), math.inf, box)
                leaf = tree.leaf(tree.work + self.limits.quick)
                if leaf is not None:
                    break
            else:
                return
            asked, learnt = self._timed(choices, whole(choices.model, cost(choices.model), leaf.values))

    def _search(self) -> None:
        """Better the first plan a few days at a time, then branch over all choices until nothing better is left.

        Where lessons leave nothing that meets the goals before cost, those are settled anew.
        """
        while True:
            self.cuts = [cut for cut in self.cuts if cut.sure]
            choices, taught = self.days.held(self.cuts, traced=True)
            constant = sum(choices.model.constants.values())
            self._better(choices, taught)
            tree = Tree(choices.model, cost(choices.model), ranks(choices), self._cutoff() - constant)
            for _ in self._leaves(tree, choices, taught, self.limits.days):
                self.bound = self._bounded(tree, constant)
                if self._done():
                    return
            self.bound = self._bounded(tree, constant)
            if self.bound is not None and tree.unsettled < math.inf:
                self._hope(self.limits.days - tree.work)
            if self.bound is not None or not self.days.tiered or tree.work >= self.limits.days:
                return
            before = self.days.goals
            self.days.settle(self.cuts)
            if self.days.goals == before:
                return

    def _hope(self, work: float) -> None:
        """Search once more with what is not sure held for true: for a plan, not for a bound."""
        choices, taught = self.days.held([*self.cuts, *self.hints], traced=True)
        constant = sum(choices.model.constants.values())
        tree = Tree(choices.model, cost(choices.model), ranks(choices), self._cutoff() - constant)
        for _ in self._leaves(tree, choices, taught, work, hints=True):
            if self._done():
                return

    def _better(self, choices: Choices, taught: Taught) -> None:
        """Choose anew a few days at a time, all others held, while that betters the plan: by dives, then by searches.

        A dive teaches nothing: it is there to be quick.
        """
        model, constant = choices.model, sum(choices.model.constants.values())
        for diving in (True, False):
            work, start, since = 0.0, 0, 0
            while self.best_asked is not None and since < self.problem.days and work < self.limits.better:
                before, box = self.best, around(choices, self.best_asked, range(start, start + WINDOW))
                if diving:
                    relaxation = Relaxation(model, cost(model), box)
                    values = dive(relaxation, ranks(choices), self._cutoff() - constant)
                    if values is not None:
                        self._timed(choices, whole(model, cost(model), values), learn=False)
                    work += relaxation.work
                else:
                    tree = Tree(model, cost(model), ranks(choices), self._cutoff() - constant, box)
                    for _ in self._leaves(tree, choices, taught, tree.work + self.limits.better / 3):
                        pass
                    work += tree.work
                since = since + STEP if self.best is before else 0
                start = start + STEP if start + WINDOW < self.problem.days else 0

    def _leaves(
        self, tree: Tree, choices: Choices, taught: Taught, work: float, *, hints: bool = False
    ) -> Iterator[None]:
        """Time what a tree finds, and teach it; yield after each. hints: teach it also what is not sure."""
        model, constant = choices.model, sum(choices.model.constants.values())
        while (leaf := tree.leaf(work)) is not None:
            learnt = self._timed(choices, whole(model, cost(model), leaf.values))[1]
            tree.cutoff = self._cutoff() - constant
            self.cuts += [cut for cut in learnt if cut.sure]
            self.hints += [cut for cut in learnt if not cut.sure]
            lessons = [cut for cut in learnt if cut.sure or hints]
            for cut in lessons:
                taught.add(cut)
            if lessons:
                tree.again(leaf)
            elif tree.cutoff > math.ceil(leaf.least - EXACT):
                tree.settle(leaf)
            yield

    def _bounded(self, tree: Tree, constant: int) -> int | None:
        """Return the bound of a tree, as a cost."""
        return None if tree.bound == math.inf else math.ceil(tree.bound - EXACT) + constant

    def _cutoff(self) -> float:
        """Return what a better plan must cost less than."""
        if self.best is None or self._rank(self.best)[:2] != (self.days.goals.dropped, self.days.goals.short):
            return math.inf
        return self.best.total

    def _rounds(self) -> None:
        """Choose the days anew from nothing after each lesson, by whichever solver answers."""
        self.cuts, sure = [cut for cut in self.cuts if cut.sure], True
        for _ in range(self.limits.rounds):
            choices, _ = self.days.held(self.cuts)
            start = None if self.best_asked is None else as_asked(choices, self.best_asked)
            answer = self.days.answer(choices.model, cost(choices.model), self.limits.days, start)
            if answer.impossible and self.days.tiered and sure:
                self.days.settle(self.cuts)
                choices, _ = self.days.held(self.cuts)
                answer = self.days.answer(choices.model, cost(choices.model), self.limits.days)
            if answer.impossible and not sure:
                self.cuts, sure = [cut for cut in self.cuts if cut.sure], True
                continue
            if sure and not answer.impossible:
                bound = answer.bound + sum(choices.model.constants.values())
                self.bound = bound if self.bound is None else max(self.bound, bound)
            if self._done() or answer.values is None:
                return
            learnt = self._timed(choices, answer.values)[1]
            self.cuts += learnt
            sure = all(cut.sure for cut in self.cuts)
            if self._done() or not learnt:
                return

    def _nothing(self) -> None:
        """Make the plan that bakes and finishes nothing new: what is there is eaten, the rest bought or short."""
        choices, _ = self.days.open()
        hold_nothing(choices)
        goal = [(10**9, v) for _, v in wishes(choices)] + [(10**6, v) for _, v in strict(self.problem, choices)]
        answer = self.days.answer(choices.model, goal + cost(choices.model), self.limits.days)
        if answer.values is not None:
            self._timed(choices, answer.values)
        if self.best is None:
            why = "; ".join(self.path) or "nothing was found within the limit"
            if self.problem.under_way:
                why = f"a bake under way cannot be gone on with by anybody's free hands ({why})"
            raise NothingPlanned(f"No plan fits: {why}.")

    # minutes ------------------------------------------------------------------------------------------------------

    def _timed(self, choices: Choices, values: tuple[int, ...], *, learn: bool = True) -> tuple[Asked, list[Cut]]:
        """Time a choice and keep the plan if it is the best; return what was learnt where the days were too hopeful."""
        asked = ask(choices, values)
        tasks: list[Task] = [*asked.bakes, *asked.ways]
        learnt: list[Cut] = []
        try:
            timed = self.lessons.timed(tasks, choices, asked)
        except TimeoutError:
            self.path.append("the minutes of one choice of days were not found within the limit")
            return asked, [Cut(tuple(tasks), frozenset(), None, cuts.days_of(tasks), sure=False)]
        if timed is None and learn:
            learnt = [self.lessons.conflict(tasks, choices, asked)]
        elif timed is not None:
            plan = deal(choices, asked, timed)
            plan = replace(plan, terms=scores(self.problem, plan))
            if self.best is None or self._rank(plan) < self._rank(self.best):
                self.best, self.best_asked = plan, asked
            if learn and timed.bound > self._expected(choices, asked):
                learnt = self.lessons.dearer(tasks, choices)
        self._tell()
        return asked, learnt

    def _expected(self, choices: Choices, asked: Asked) -> int:
        """Return what the day level counts for hands and heat-ups of a choice."""
        costs = choices.model.costs
        terms = [*costs.get("hands", []), *costs.get("heat_ups", [])]
        return sum(coefficient * asked.values[variable] for coefficient, variable in terms)

    def _rank(self, plan: Plan) -> tuple[int, int, int]:
        """Return what makes a plan better, the least first: wishes dropped, strict portions short, cost."""
        wanted = {meal.id: meal.portions for meal in self.problem.meals if meal.strict}
        served = sum(serving.portions for serving in plan.servings if serving.meal in wanted)
        return sum(not wish.kept for wish in plan.wishes), sum(wanted.values()) - served, plan.total

    # end ----------------------------------------------------------------------------------------------------------

    def _done(self) -> bool:
        """Say whether the best plan is as good as the bound, or near enough."""
        if self.best is None or self.bound is None:
            return False
        dropped, short, total = self._rank(self.best)
        near = total - self.bound <= max(0, self.limits.gap * abs(total))
        return near and (dropped, short) == (self.days.goals.dropped, self.days.goals.short)

    def _tell(self) -> None:
        best = "no plan yet" if self.best is None else f"a plan that costs {self.best.total / 1000:.0f} effort minutes"
        bound = "" if self.bound is None else f"; none can cost less than {self.bound / 1000:.0f}"
        self.progress(f"{best}{bound}")
