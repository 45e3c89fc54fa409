"""The choice of days as a model: every rule, every cost term, and rows that follow from them but help to solve it."""

from __future__ import annotations

from rotation import costs
from rotation.choices import Choices, lay
from rotation.grid import Grid
from rotation.rules import table
from rotation.solve import strength


def rows(choices: Choices, grid: Grid) -> None:
    """Complete the model of fresh choices (`choose`): what meals may be served, rules, costs, and strength."""
    lay(choices, table.serving())
    table.days(choices)
    strength.rows(choices)
    costs.days(choices, grid)
