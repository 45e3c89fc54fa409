"""Searches of a choice of days for better plans: what comes up is timed, what does not fit is mended and teaches."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from rotation.model import Term
from rotation.solve.best import Best
from rotation.solve.cuts import Cut
from rotation.solve.days import Days
from rotation.solve.dive import dive
from rotation.solve.held import Held
from rotation.solve.likely import agreed, around, counted
from rotation.solve.relaxation import EXACT, Relaxation
from rotation.solve.rows import Box, Floats
from rotation.solve.stepwise import Part, box, later_missed, parts, without_later
from rotation.solve.tree import Tree
from rotation.tasks import Asked

WINDOW, STEP = 5, 2
"""How many days are chosen anew at once to better a plan, and how far on the next ones begin."""

MENDS = 4
"""How often a choice that does not fit is mended while better plans are looked for; in all, where that is not sure."""


DIVES = 8
"""How often a dive within a box is made again with what the last one taught."""


class Search:
    """All searches of one solve, and what they were taught. hints: cuts that are not sure."""

    def __init__(self, days: Days, best: Best) -> None:
        self.problem, self.limits, self.days, self.best = days.problem, days.limits, days, best
        self.cuts: list[Cut] = []
        self.hints: list[Cut] = []
        self.unsure = 0
        """How often what is not sure was mended."""

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
            if conflict is None or (not conflict.sure and self.unsure >= MENDS):
                break
            self.unsure += not conflict.sure
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

    def _dives(self, held: Held, box: Callable[[], Box]) -> float:
        """Dive within a box until what comes up fits, or nothing is learnt of why it does not; return the work it took.

        A search comes to its first choice by a hundred nodes, a dive by thirty.
        """
        work = 0.0
        for _ in range(DIVES):
            before, relaxation = self.best.plan, held.relaxation(box())
            values = dive(relaxation, held.ranks, self.cutoff() - held.constant)
            work += relaxation.work
            if values is None:
                break
            learnt = self.best.timed(held.choices, held.whole(values))[1]
            if not self.learn(held, learnt) and self.best.plan is before:
                break
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

    def first(self, held: Held) -> None:
        """Look for a good plan to begin with: some days at a time, by a dive, within the counts of either.

        Where that gives none, what the best plan and the relaxation do not agree on is chosen anew.
        """
        before = self.best.plan
        self._stepwise(held)
        relaxation = held.relaxation()
        relaxed = relaxation.values() if relaxation.solve(math.inf) < math.inf else None
        if self.best.plan is before and (values := dive(relaxation, held.ranks, math.inf)) is not None:
            self._within_counts(held, values)
        if self.best.asked is not None:
            self._within_counts(held, np.array(self.best.asked.values))
        again = self.best.plan is before
        while again and relaxed is not None and self.best.asked is not None:
            before = self.best.plan
            tree = held.tree(self.cutoff(), agreed(held.choices, self.best.asked, relaxed))
            for _ in self.leaves(tree, held, tree.work + self.limits.better / 3):
                pass
            again = self.best.plan is not before

    def _stepwise(self, held: Held) -> None:
        """Look for a plan some days at a time."""
        found = list(parts(self.problem.days))
        if len(found) == 1:
            return
        work = self.limits.better / len(found) / 2
        values: Floats | None = None
        for part in found:
            with later_missed(held.choices, part.end):
                values = self._part(held, part, values, work)
            if values is None:
                return

    def _part(self, held: Held, part: Part, before: Floats | None, work: float) -> Floats | None:
        """Return the best values of some days that fit, or are nearest to it: by dives, then by searches."""
        choices, best, least = held.choices, None, math.inf
        given = {} if before is None else dict(enumerate(before.tolist()))

        def inside() -> tuple[list[Term], Box]:
            return without_later(choices, part, held.goal), box(choices, part, given, self.days.goals)

        for _ in range(DIVES):
            goal, within = inside()
            values = dive(Relaxation(choices.model, goal, within, held.warm), held.ranks, math.inf)
            if values is None:
                break
            best, cost = values, sum(milli * values[variable] for milli, variable in goal)
            learnt = self.best.timed(choices, held.whole(values))[1]
            self.learn(held, learnt)
            if not any(cut.cost is None for cut in learnt):
                least = cost
                break
        if best is None:
            return None
        for counts in (best, None):
            goal, (lower, upper) = inside()
            if counts is not None:
                of = sorted(choices.so_far.values())
                lower[of] = upper[of] = np.round(counts[of])
            tree = Tree(choices.model, goal, held.ranks, least, (lower, upper), held.warm)
            until = tree.work + work
            while (leaf := tree.leaf(until)) is not None:
                learnt = self.best.timed(choices, held.whole(leaf.values))[1]
                if self.learn(held, learnt):
                    tree.again(leaf)
                if not any(cut.cost is None for cut in learnt) and leaf.least < least:
                    best, least = leaf.values, leaf.least
                    tree.cutoff = least
        return best

    def _within_counts(self, held: Held, values: Floats) -> None:
        """Look for a better plan of as many bakes of each bread by each day."""
        work = self._dives(held, lambda: counted(held.choices, values))
        tree = held.tree(self.cutoff(), counted(held.choices, values))
        for _ in self.leaves(tree, held, tree.work + self.limits.better / 2 - work):
            pass
