"""A choice of days ready to be searched: its model, what takes more cuts, and where the relaxation begins."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rotation.choices import Choices
from rotation.grid import Ints
from rotation.model import Term
from rotation.solve.cuts import Taught
from rotation.solve.days import ranks
from rotation.solve.goals import cost
from rotation.solve.highs import whole
from rotation.solve.lots import Lots
from rotation.solve.relaxation import EXACT, Relaxation
from rotation.solve.rounding import strengthen
from rotation.solve.rows import Box, Floats
from rotation.solve.simplex import Warm
from rotation.solve.tree import Tree


@dataclass
class Held:
    """One model and all that is searched in it; cutoffs and bounds are costs of whole plans. warm: where to begin."""

    choices: Choices
    taught: Taught
    warm: Warm | None = None

    @property
    def constant(self) -> int:
        """What every choice costs."""
        return sum(self.choices.model.constants.values())

    @property
    def goal(self) -> list[Term]:
        """The cost, also of what came with cuts."""
        return cost(self.choices.model)

    @property
    def ranks(self) -> list[Ints]:
        """The whole variables, those to branch on first, first."""
        return ranks(self.choices)

    def strengthen(self) -> None:
        """Add rows that follow from rounding."""
        self.warm = strengthen(self.choices.model, self.goal, Lots(self.choices).broken_by)

    def relaxation(self, box: Box | None = None) -> Relaxation:
        """Return the relaxation, within a box."""
        return Relaxation(self.choices.model, self.goal, box, self.warm)

    def tree(self, cutoff: float = math.inf, box: Box | None = None) -> Tree:
        """Return a search for what costs less than a cutoff, within a box."""
        return Tree(self.choices.model, self.goal, self.ranks, cutoff - self.constant, box, self.warm)

    def whole(self, values: Floats) -> tuple[int, ...]:
        """Return values with flows made whole at the least cost."""
        return whole(self.choices.model, self.goal, values)

    def bound(self, tree: Tree) -> int | None:
        """Return the bound of a tree, None if there is none."""
        return None if tree.bound == math.inf else math.ceil(tree.bound - EXACT) + self.constant
