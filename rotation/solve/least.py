"""The least of any goal over one choice of days, the minutes not looked at: a quick answer to be proven by planning."""

from __future__ import annotations

import math
from collections.abc import Collection

import numpy as np

from rotation.choices import Choices
from rotation.model import Term
from rotation.solve.answer import Faulty
from rotation.solve.days import ranks
from rotation.solve.goals import cost
from rotation.solve.highs import whole
from rotation.solve.tree import Tree


def least(choices: Choices, goal: list[Term], first: Collection[int], work: float) -> tuple[int, ...] | None:
    """Return the values at which a goal is least, None where none are found. first: variables to branch on first."""
    order = [np.array(sorted(first), dtype=np.int64), *ranks(choices)]
    order[1:] = [np.setdiff1d(rank, order[0]) for rank in order[1:]]
    try:
        leaf = Tree(choices.model, goal, order, math.inf).leaf(work)
        return None if leaf is None else whole(choices.model, goal, leaf.values)
    except Faulty:
        return None


def effort(choices: Choices) -> list[Term]:
    """Return the cost of a choice of days as one sum."""
    return cost(choices.model)
