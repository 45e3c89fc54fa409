"""What a solver of rows answers, whichever it is."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Protocol

from rotation.model import Model, Term
from rotation.plan import Plan


@dataclass(frozen=True)
class Answer:
    """The outcome of one solve.

    values: one integer a variable, or None where nothing was found; bound: no solution is better; proven: the values
    are the best (or, without values, there are none).
    """

    values: tuple[int, ...] | None
    bound: int
    proven: bool

    @property
    def impossible(self) -> bool:
        """Say whether it is proven that the rows exclude each other."""
        return self.values is None and self.proven


class Faulty(Exception):
    """A solver failed, or said what cannot be true. Another way is tried; the family never sees it."""


def tell(path: list[str], what: str) -> None:
    """Say what was met with on the way to a plan, once."""
    if what not in path:
        path.append(what)


@contextmanager
def trusting(name: str) -> Iterator[None]:
    """Let a library fall over as `Faulty`, whatever it raises then."""
    try:
        yield
    except (RuntimeError, ValueError, ArithmeticError, MemoryError, OSError) as fault:
        raise Faulty(f"{name} fell over: {fault}") from fault


class Stopped(KeyboardInterrupt):
    """Ctrl-C while a plan was looked for. plan: the best found until then, with its bound."""

    def __init__(self, plan: Plan) -> None:
        super().__init__()
        self.plan = plan


class RowSolver(Protocol):
    """Makes a weighted sum small under the rows of a model.

    work: deterministic limit; gap: share it may leave open; start: values of some variables of a good solution.
    """

    name: str

    def __call__(
        self, model: Model, goal: list[Term], *, work: float, gap: float, start: dict[int, int] | None = None
    ) -> Answer:
        """Return the answer; raise `Faulty` where there is none to trust."""
        ...


def holds(model: Model, values: tuple[int, ...]) -> bool:
    """Say whether values keep every bound and row: asked of every solver's answer."""
    if any(not low <= value <= high for value, (low, high) in zip(values, model.bounds, strict=True)):
        return False
    for row in model.rows:
        total = sum(coefficient * values[variable] for coefficient, variable in row.terms)
        if (row.low is not None and total < row.low) or (row.high is not None and total > row.high):
            return False
    return True
