"""What a rule may say to a solver: bounded integers, linear rows, a cost to make small. Knows no solver."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

Term = tuple[int, int]
"""A coefficient and the index of a variable, in that order."""


@dataclass(frozen=True)
class Row:
    """`low <= sum(coefficient * variable) <= high`; None: no bound on that side."""

    low: int | None
    terms: tuple[Term, ...]
    high: int | None


@dataclass
class Model:
    """An integer linear model under construction. Variables are their index in `bounds`."""

    names: list[str] = field(default_factory=list)
    bounds: list[tuple[int, int]] = field(default_factory=list)
    flows: set[int] = field(default_factory=set)
    rows: list[Row] = field(default_factory=list)
    costs: dict[str, list[Term]] = field(default_factory=dict)
    constants: dict[str, int] = field(default_factory=dict)
    path: list[str] = field(default_factory=list)
    """What was met with when it was solved, in words."""

    def integer(self, low: int, high: int, name: str) -> int:
        """Add a variable and return its index."""
        self.names.append(name)
        self.bounds.append((low, high))
        return len(self.bounds) - 1

    def flow(self, low: int, high: int, name: str) -> int:
        """Add a variable that comes out whole by itself once the others are: a solver may leave that to the end."""
        self.flows.add(len(self.bounds))
        return self.integer(low, high, name)

    def binary(self, name: str) -> int:
        """Add a variable that is 0 or 1 and return its index."""
        return self.integer(0, 1, name)

    def row(self, low: int | None, terms: Iterable[Term], high: int | None) -> None:
        """Add a row; terms of one variable are added up."""
        total: dict[int, int] = {}
        for coefficient, variable in terms:
            total[variable] = total.get(variable, 0) + coefficient
        self.rows.append(Row(low, tuple((c, v) for v, c in sorted(total.items()) if c), high))

    def cost(self, name: str, terms: Iterable[Term], constant: int = 0) -> None:
        """Add to a term of the cost."""
        self.costs.setdefault(name, []).extend(terms)
        self.constants[name] = self.constants.get(name, 0) + constant

    def objective(self) -> tuple[dict[int, int], int]:
        """Return the coefficient of each variable in the cost, and its constant."""
        total: dict[int, int] = {}
        for terms in self.costs.values():
            for coefficient, variable in terms:
                total[variable] = total.get(variable, 0) + coefficient
        return total, sum(self.constants.values())
