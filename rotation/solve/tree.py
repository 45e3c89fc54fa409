"""Branch and bound over a choice of days, with what the minutes teach added while it goes on.

A solver of whole-number programmes asked anew after each lesson starts from nothing each time. Here one tree lives
through them all: a solution that the minutes refuse adds its rows, and the search goes on where it was. It branches
first on how many bakes of a bread there are by a day, which decides most, then on runs, then on ways and heat. It needs
no clock: work is counted in solves and steps of the simplex.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from rotation.grid import Ints
from rotation.model import Model, Term
from rotation.solve.branching import Branching
from rotation.solve.relaxation import EXACT, Relaxation
from rotation.solve.rows import Box, Floats
from rotation.solve.simplex import Stand, Warm

WHOLE = 1e-5
"""How near to a whole number a value counts as one."""


@dataclass(order=True)
class Node:
    """A part of the choices: bounds that differ from the root's, and the least that anything in it can cost."""

    least: float
    number: int
    columns: Ints = field(compare=False)
    lower: Floats = field(compare=False)
    upper: Floats = field(compare=False)
    stand: Stand = field(compare=False)


@dataclass(frozen=True)
class Leaf:
    """A choice in whole numbers but for what flows; nothing else in its part of the tree costs less.

    values: as found, of every variable; least: what any choice left in its node costs at least.
    """

    values: Floats
    least: float
    node: Node


class Tree:
    """One search. cutoff: only choices that cost less are looked for; it falls as plans are found.

    ranks: groups of all variables that must be whole, those to branch on first, first; box: bounds to search within.
    """

    def __init__(
        self,
        model: Model,
        goal: list[Term],
        ranks: Sequence[Ints],
        cutoff: float = math.inf,
        box: Box | None = None,
        warm: Warm | None = None,
    ) -> None:
        self.model, self.goal, self.cutoff = model, goal, cutoff
        self.relaxation = Relaxation(model, goal, box, warm)
        self.ranks = list(ranks)
        self.branching = Branching(self.relaxation)
        self.open: list[Node] = []
        self.unsettled = math.inf
        """The least of the leaves that were neither timed nor refused for sure."""
        self.nodes = self.number = 0
        self._root()

    @property
    def work(self) -> float:
        """Deterministic work done so far."""
        return self.relaxation.work

    def spend(self, work: float) -> None:
        """Count work that was done for it elsewhere."""
        self.relaxation.work += work

    @property
    def bound(self) -> float:
        """What any choice costs at least, if it costs less than the cutoff."""
        return min([self.unsettled, self.cutoff, *(node.least for node in self.open)])

    def _root(self) -> None:
        """Solve the root, leave out what its reduced costs say no better choice has, and begin there."""
        whole = self.relaxation
        value = whole.surely(self.cutoff)
        self.root = (whole.lower.copy(), whole.upper.copy())
        if value == math.inf:
            return
        self._narrow(*self.root, whole.values(), self.cutoff - value)
        self.relaxation = Relaxation(self.model, self.goal, self.root, whole.warm())
        self.relaxation.work = whole.work
        self.branching = Branching(self.relaxation)
        value = self.relaxation.solve(self.cutoff)
        if value < math.inf:
            self.relaxation.set_aside()
            value = self.relaxation.surely(self.cutoff)
            heapq.heappush(self.open, self._node(value, *self.root, self.relaxation.stand()))

    def settle(self, leaf: Leaf) -> None:
        """Give a leaf up: whether something in it holds is not known."""
        self.unsettled = min(self.unsettled, leaf.least)

    def again(self, leaf: Leaf) -> None:
        """Look into a leaf's node again, the model having been given new rows."""
        self.catch_up()
        heapq.heappush(self.open, leaf.node)

    def catch_up(self) -> None:
        """Take over what the model was given since."""
        self.relaxation.grow()
        old = len(self.root[0])
        lower, upper = self.relaxation.lower, self.relaxation.upper
        self.root = (np.concatenate([self.root[0], lower[old:]]), np.concatenate([self.root[1], upper[old:]]))
        more = [variable for variable in range(old, len(lower)) if variable not in self.model.flows]
        self.ranks[-1] = np.concatenate([self.ranks[-1], np.array(more, dtype=np.int64)])

    def leaf(self, work: float) -> Leaf | None:
        """Return the next choice in whole numbers, or None if there is none left, or the work is used up."""
        while self.open and self.work < work:
            node: Node | None = heapq.heappop(self.open)
            while node is not None:
                if self._useless(node.least):
                    break
                if self.work >= work:
                    heapq.heappush(self.open, node)
                    return None
                found = self._visit(node)
                if isinstance(found, Leaf):
                    return found
                node = found
        return None

    def _useless(self, least: float) -> bool:
        return least == math.inf or least > self.cutoff - 1 + EXACT

    def _visit(self, node: Node) -> Node | Leaf | None:
        """Solve a node; return a leaf, the child to go on with, or None if nothing in it is worth more."""
        self.nodes += 1
        lower, upper = self.root[0].copy(), self.root[1].copy()
        lower[node.columns], upper[node.columns] = node.lower, node.upper
        self.relaxation.box(lower, upper)
        self.relaxation.back_to(node.stand)
        value = max(self.relaxation.surely(self.cutoff), node.least)
        if self._useless(value):
            return None
        values = self.relaxation.values()
        self._narrow(lower, upper, values, self.cutoff - value)
        stand = self.relaxation.stand()
        parts = np.abs(values - np.round(values))
        for rank in self.ranks:
            split = rank[parts[rank] > WHOLE]
            if len(split):
                return self._split(split, values, value, lower, upper, stand)
        return Leaf(values, value, self._node(value, lower, upper, stand))

    def _narrow(self, lower: Floats, upper: Floats, values: Floats, room: float) -> None:
        """Keep whole variables from where their reduced cost says that nothing is worth more."""
        if room == math.inf:
            return
        reduced = self.relaxation.reduced()
        open_ = np.zeros(len(values), dtype=np.bool_)
        open_[np.concatenate(self.ranks)] = True
        open_ &= upper > lower
        at_low = open_ & (reduced > 1e-3) & (values <= lower + WHOLE)
        at_high = open_ & (reduced < -1e-3) & (values >= upper - WHOLE)
        upper[at_low] = np.minimum(upper[at_low], lower[at_low] + np.floor((room + EXACT) / reduced[at_low]))
        lower[at_high] = np.maximum(lower[at_high], upper[at_high] - np.floor((room + EXACT) / -reduced[at_high]))

    def _split(
        self, split: Ints, values: Floats, value: float, lower: Floats, upper: Floats, stand: Stand
    ) -> Node | None:
        """Branch; return the more promising child, keep the other."""
        chosen = self.branching.choose(split, values, value, self.cutoff)
        children = []
        for below in (True, False):
            if chosen.dead(below):
                continue
            low, high = lower.copy(), upper.copy()
            if below:
                high[chosen.variable] = math.floor(values[chosen.variable])
            else:
                low[chosen.variable] = math.floor(values[chosen.variable]) + 1
            children.append((chosen.rise(below), self._node(value, low, high, stand)))
        children.sort(key=lambda child: (child[0], child[1].number))
        for _, child in children[1:]:
            heapq.heappush(self.open, child)
        return children[0][1] if children else None

    def _node(self, least: float, lower: Floats, upper: Floats, stand: Stand) -> Node:
        columns = np.flatnonzero((lower != self.root[0]) | (upper != self.root[1]))
        self.number += 1
        return Node(least, self.number, columns, lower[columns], upper[columns], stand)
