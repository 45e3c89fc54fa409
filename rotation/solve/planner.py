"""From a problem to a proven plan: choose the days, time the minutes, learn from what did not fit, go on.

The day level (rotation/choices.py) is a relaxation: every plan is one of its solutions, at a cost no higher. So its
bound holds for all plans on the grid. The timing (rotation/solve/timing.py) turns a solution into a plan or into a cut.
When a plan costs what the bound says, no plan is better.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from rotation.choices import Choices
from rotation.costs import reserve, stock
from rotation.errors import NothingPlanned
from rotation.grid import Grid
from rotation.moments import Moments
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.solve.answer import Faulty, Stopped
from rotation.solve.best import Best, Progress
from rotation.solve.canonical import Ties
from rotation.solve.cuts import Cut, Taught
from rotation.solve.days import Days, Limits, Shape
from rotation.solve.dive import dive
from rotation.solve.goals import cost, strict, wishes
from rotation.solve.held import Held
from rotation.solve.likely import around, as_asked, hold_nothing
from rotation.solve.searching import Search
from rotation.solve.weekly import weekly
from rotation.starter import with_feeds

MANY = 2000
"""From so many runs and ways on a first plan is made a week at a time."""

STOCKED = (reserve.NAME, stock.NAME)
"""What asks for a full freezer: a first plan that does not come to fit with it is looked for without."""


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
    Raises NothingPlanned if not even an empty plan fits: a bake under way that no hands can go on with. Stopped by
    Ctrl-C, it raises `Stopped` with the best plan until then, if there is one.
    """
    return Planner(problem, limits or Limits(), progress or (lambda _: None), shape, start).solve()


class Planner:
    """One solve."""

    def __init__(
        self, problem: Problem, limits: Limits, tell: Progress, shape: Shape | None = None, start: Plan | None = None
    ) -> None:
        self.problem, self.limits = problem, limits
        grid = Grid(problem)
        self.days = Days(problem, grid, Moments(problem), limits, shape)
        self.path = self.days.path
        self.best = Best(problem, grid, limits, self.path, tell)
        self.best.plan = start
        self.search = Search(self.days, self.best)
        self.searched: Held | None = None
        """The choice of days that was searched last."""

    def solve(self) -> Plan:
        """Return the best plan: a quick one first, then the best over all runs and ways."""
        try:
            self._solve()
        except KeyboardInterrupt:
            if self.best.plan is None:
                raise
            self.path.append("stopped before it was done")
            raise Stopped(self._found()) from None
        return self._found()

    def _found(self) -> Plan:
        return with_feeds(self.problem, self.best.finished(self.days.goals))

    def _solve(self) -> None:
        try:
            if self.limits.solver != "highs":
                raise Faulty("the days are chosen without a search")
            self._first()
            if self.limits.days > 0:
                self._search()
        except Faulty as fault:
            self.path.append(str(fault))
            self.searched = None
            for unpriced in ((), STOCKED):
                self._rounds(unpriced)
                if self.best.plan is not None:
                    break
        if self.best.plan is None:
            self._nothing()
        self._canonical()

    def _first(self) -> None:
        """Find a plan by diving into the relaxation, until the minutes of what comes up fit."""
        if self.best.plan is not None:
            return
        if len(self.days.runs) + len(self.days.ways) > MANY and self._weekly():
            return
        for unpriced in ((), STOCKED):
            self._dive(unpriced)
            if self.best.plan is not None:
                return

    def _dive(self, unpriced: Sequence[str]) -> None:
        """Dive into the relaxation once. unpriced: terms of the cost that are not looked at."""
        held = Held(*self._priced(unpriced))
        relaxation = held.relaxation()
        if relaxation.solve(math.inf) == math.inf and self.days.tiered:
            self.days.settle(())
            held = Held(*self._priced(unpriced))
            relaxation = held.relaxation()
        values = dive(relaxation, held.ranks, math.inf)
        if values is None:
            return
        asked, learnt = self.best.timed(held.choices, held.whole(values))
        for _ in range(self.limits.mends):
            self.search.cuts += learnt
            if self.best.plan is not None or not all(cut.days for cut in learnt) or not learnt:
                return  # a cut without days: not even what is under way can be timed
            for cut in learnt:
                held.taught.add(cut)
            days = range(min(learnt[0].days) - 1, max(learnt[0].days) + 2)
            for box in (around(held.choices, asked, days), None):
                tree = held.tree(math.inf, box)
                leaf = tree.leaf(tree.work + self.limits.quick)
                if leaf is not None:
                    break
            else:
                return
            asked, learnt = self.best.timed(held.choices, held.whole(leaf.values))
        self.search.cuts += learnt

    def _priced(self, unpriced: Sequence[str], cuts: Sequence[Cut] = ()) -> tuple[Choices, Taught]:
        """Return what the days choose from, with some terms of the cost left out."""
        choices, taught = self.days.held(cuts)
        for name in unpriced:
            choices.model.costs.pop(name, None)
        return choices, taught

    def _weekly(self) -> bool:
        """Find a plan a week at a time; say whether there is one that meets the goals before cost."""
        choices, _ = self.days.open()
        values = weekly(self.problem, choices)
        missed = [*wishes(choices), *strict(self.problem, choices)]
        if values is None or any(values[variable] for _, variable in missed):
            return False
        self.best.timed(choices, values, learn=False)  # to mend it takes longer than to dive into all of it
        return self.best.plan is not None

    def _search(self) -> None:
        """Dive once more from a better relaxation, then branch over all choices until nothing better is left.

        Where half the work proves nothing, searches near the best plan come between.

        Where lessons leave nothing that meets the goals before cost, those are settled anew.
        """
        while True:
            self.search.cuts = [cut for cut in self.search.cuts if cut.sure]
            held = Held(*self.days.held(self.search.cuts, traced=True))
            held.strengthen()
            self.searched = held
            self.search.first(held)
            tree = held.tree(self.search.cutoff())
            for part in (self.limits.days / 2, self.limits.days):
                for _ in self.search.leaves(tree, held, part):
                    self.best.bound = held.bound(tree)
                    if self._done():
                        return
                self.best.bound = held.bound(tree)
                if self._done() or tree.work < part:
                    break
                if part < self.limits.days:
                    self.search.better(held)
                    tree.catch_up()
                    tree.cutoff = self.search.cutoff() - held.constant
            if self.best.bound is not None and tree.unsettled < math.inf:
                self._hope(self.limits.days - tree.work)
            if self.best.bound is not None or not self.days.tiered or tree.work >= self.limits.days:
                return
            before = self.days.goals
            self.days.settle(self.search.cuts)
            if self.days.goals == before:
                return

    def _canonical(self) -> None:
        """Take the first of the plans as good as the best, if that is proven within its own limit of work."""
        wanted = self.limits.ties > 0 and self.days.shape is None and self.best.asked is not None
        if wanted and self.searched is not None and self.best.finished(self.days.goals).status == "optimal":
            self.best.canonical = Ties(self.best, self.searched, self.limits.ties).settle()

    def _hope(self, work: float) -> None:
        """Search once more with what is not sure held for true: for a plan, not for a bound."""
        held = Held(*self.days.held([*self.search.cuts, *self.search.hints], traced=True))
        for _ in self.search.leaves(held.tree(self.search.cutoff()), held, work, hints=True):
            if self._done():
                return

    def _done(self) -> bool:
        return self.best.done(self.days.goals)

    def _rounds(self, unpriced: Sequence[str]) -> None:
        """Choose the days anew from nothing after each lesson, by whichever solver answers.

        unpriced: terms of the cost that are not looked at; a bound without them is not taken for one.
        """
        self.search.cuts, sure = [cut for cut in self.search.cuts if cut.sure], True
        for _ in range(self.limits.rounds):
            choices, _ = self._priced(unpriced, self.search.cuts)
            start = None if self.best.asked is None else as_asked(choices, self.best.asked)
            answer = self.days.answer(choices.model, cost(choices.model), self.limits.days, start)
            if answer.impossible and self.days.tiered and sure:
                self.days.settle(self.search.cuts)
                choices, _ = self._priced(unpriced, self.search.cuts)
                answer = self.days.answer(choices.model, cost(choices.model), self.limits.days)
            if answer.impossible and not sure:
                self.search.cuts, sure = [cut for cut in self.search.cuts if cut.sure], True
                continue
            if sure and not answer.impossible and not unpriced:
                bound = answer.bound + sum(choices.model.constants.values())
                self.best.bound = bound if self.best.bound is None else max(self.best.bound, bound)
            if self._done() or answer.values is None:
                return
            learnt = self.best.timed(choices, answer.values)[1]
            self.search.cuts += learnt
            sure = all(cut.sure for cut in self.search.cuts)
            if self._done() or not learnt:
                return

    def _nothing(self) -> None:
        """Make the plan that bakes and finishes nothing new: what is there is eaten, the rest bought or short."""
        choices, _ = self.days.open()
        hold_nothing(choices)
        goal = [(10**9, v) for _, v in wishes(choices)] + [(10**6, v) for _, v in strict(self.problem, choices)]
        answer = self.days.answer(choices.model, goal + cost(choices.model), self.limits.days)
        if answer.values is not None:
            self.best.timed(choices, answer.values)
        if self.best.plan is None:
            why = "; ".join(self.path) or "nothing was found within the limit"
            if self.problem.under_way:
                why = f"a bake under way cannot be gone on with by anybody's free hands ({why})"
            raise NothingPlanned(f"No plan fits: {why}.")
