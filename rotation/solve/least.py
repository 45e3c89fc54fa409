"""One choice of days alone, the minutes not looked at: the least of any goal in it, and whether it holds anything.

What is found is a quick answer, to be proven by planning. That nothing is found holds for all plans.
"""

from __future__ import annotations

import math
from collections.abc import Collection

import numpy as np

from rotation.choices import Choices
from rotation.grid import Grid
from rotation.model import Term
from rotation.moments import Moments
from rotation.problem import Problem
from rotation.solve.answer import Faulty
from rotation.solve.days import Days, Limits, Shape, ranks
from rotation.solve.goals import cost
from rotation.solve.held import Held
from rotation.solve.highs import whole
from rotation.solve.relaxation import EXACT
from rotation.solve.tree import Leaf, Tree


def least(choices: Choices, goal: list[Term], first: Collection[int], work: float) -> tuple[int, ...] | None:
    """Return the values at which a goal is least, as far as the work goes; None where none are found.

    first: variables to branch on first.
    """
    order = [np.array(sorted(first), dtype=np.int64), *ranks(choices)]
    order[1:] = [np.setdiff1d(rank, order[0]) for rank in order[1:]]
    found: Leaf | None = None
    try:
        tree = Tree(choices.model, goal, order, math.inf)
        while (leaf := tree.leaf(work)) is not None:
            found, tree.cutoff = leaf, math.ceil(leaf.least - EXACT)
        return None if found is None else whole(choices.model, goal, found.values)
    except Faulty:
        return None


def excluded(problem: Problem, shape: Shape, most: int | None, work: float) -> bool:
    """Say whether it is proven that no plan of a shape costs `most` milli or less; None: whatever it costs."""
    days = Days(problem, Grid(problem), Moments(problem), Limits(days=work), shape)
    try:
        held = Held(*days.open(traced=True))
        held.strengthen()
        tree = held.tree(math.inf if most is None else most + 1)
        return tree.leaf(work) is None and not tree.open
    except Faulty:
        return False


def effort(choices: Choices) -> list[Term]:
    """Return the cost of a choice of days as one sum."""
    return cost(choices.model)
