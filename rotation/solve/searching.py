"""Searches of a choice of days for better plans: what comes up is timed, what does not fit is mended and teaches."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from rotation.solve.best import Best
from rotation.solve.cuts import Cut
from rotation.solve.days import Days
from rotation.solve.dive import dive
from rotation.solve.held import Held
from rotation.solve.likely import agreed, around, counted
from rotation.solve.relaxation import EXACT
from rotation.solve.tree import Tree
from rotation.tasks import Asked

WINDOW, STEP = 5, 2
"""How many days are chosen anew at once to better a plan, and how far on the next ones begin."""

MENDS = 4
"""How often a choice that does not fit is mended while better plans are looked for."""


class Search:
    """All searches of one solve, and what they were taught. hints: cuts that are not sure."""

    def __init__(self, days: Days, best: Best) -> None:
        self.problem, self.limits, self.days, self.best = days.problem, days.limits, days, best
        self.cuts: list[Cut] = []
        self.hints: list[Cut] = []

    def cutoff(self) -> float:
        """Return what a better plan costs less than."""
        return self.best.cutoff(self.days.goals)

    def leaves(self, tree: Tree, held: Held, work: float, *, hints: bool = False) -> Iterator[None]:
        """Time what a tree finds, and teach it; yield after each. hints: teach it also what is not sure."""
        while (leaf := tree.leaf(work)) is not None:
            asked, learnt = self.best.timed(held.choices, held.whole(leaf.values))
            lessons = self.learn(held, learnt, hints=hints)
            tree.spend(self._mend(held, asked, learnt))
            tree.cutoff = self.cutoff() - held.constant
            if lessons:
                tree.again(leaf)
            else:
                tree.catch_up()
                if tree.cutoff > math.ceil(leaf.least - EXACT):
                    tree.settle(leaf)
            yield

    def learn(self, held: Held, learnt: list[Cut], *, hints: bool = False) -> list[Cut]:
        """Teach what is sure, and with hints all; return what was taught."""
        self.cuts += [cut for cut in learnt if cut.sure]
        self.hints += [cut for cut in learnt if not cut.sure]
        lessons = [cut for cut in learnt if cut.sure or hints]
        for cut in lessons:
            held.taught.add(cut)
        return lessons

    def _mend(self, held: Held, asked: Asked, learnt: list[Cut]) -> float:
        """Choose anew the days of a conflict, all others as they were asked for, until what comes up fits.

        Of what is not sure to exclude each other, one or the other is left out. Returns the work it took.
        """
        work = 0.0
        for _ in range(MENDS):
            conflict = next((cut for cut in learnt if cut.cost is None and cut.days), None)
            if conflict is None:
                break
            days = range(min(conflict.days) - 1, max(conflict.days) + 2)
            for out in (None,) if conflict.sure else conflict.tasks:
                tree = held.tree(self.cutoff(), around(held.choices, asked, days, without=out))
                leaf = tree.leaf(tree.work + self.limits.quick / 4)
                work += tree.work
                if leaf is not None:
                    break
            else:
                break
            asked, learnt = self.best.timed(held.choices, held.whole(leaf.values))
            self.learn(held, learnt)
        return work

    def better(self, held: Held) -> None:
        """Search a few days at a time, all others as they are in the best plan, while that betters it."""
        work, start, since = 0.0, 0, 0
        while self.best.asked is not None and since < self.problem.days and work < self.limits.better:
            before = self.best.plan
            tree = held.tree(self.cutoff(), around(held.choices, self.best.asked, range(start, start + WINDOW)))
            for _ in self.leaves(tree, held, tree.work + self.limits.better / 4):
                pass
            work += tree.work
            since = since + STEP if self.best.plan is before else 0
            start = start + STEP if start + WINDOW < self.problem.days else 0

    def dive(self, held: Held) -> None:
        """Dive for a better plan; where that gives none, choose anew what the best and the relaxation disagree on."""
        before, relaxation = self.best.plan, held.relaxation()
        relaxed = relaxation.values() if relaxation.solve(math.inf) < math.inf else None
        values = dive(relaxation, held.ranks, math.inf)
        if values is not None:
            self.best.timed(held.choices, held.whole(values), learn=False)
            tree = held.tree(self.cutoff(), counted(held.choices, values))
            for _ in self.leaves(tree, held, tree.work + self.limits.better / 2):
                pass
        if self.best.asked is not None:
            tree = held.tree(self.cutoff(), counted(held.choices, np.array(self.best.asked.values)))
            for _ in self.leaves(tree, held, tree.work + self.limits.better / 2):
                pass
        again = self.best.plan is before
        while again and relaxed is not None and self.best.asked is not None:
            before = self.best.plan
            tree = held.tree(self.cutoff(), agreed(held.choices, self.best.asked, relaxed))
            for _ in self.leaves(tree, held, tree.work + self.limits.better / 3):
                pass
            again = self.best.plan is not before
