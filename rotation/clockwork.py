"""What a rule may say to a solver of minutes: moments, literals, what is held from when until when. Knows no solver."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from rotation.model import Term
from rotation.problem import Spans, Steps

Literal = int
"""The index of a variable that is 0 or 1; `~literal` stands for its opposite."""


@dataclass(frozen=True)
class Sum:
    """A sum of variables times coefficients and a constant: a moment that is still open, or a cost."""

    terms: tuple[Term, ...] = ()
    constant: int = 0

    def __add__(self, other: Sum | int) -> Sum:
        """Return the sum, terms of one variable added up."""
        if isinstance(other, int):
            return Sum(self.terms, self.constant + other)
        if not self.terms or not other.terms:
            return Sum(self.terms or other.terms, self.constant + other.constant)
        total: dict[int, int] = {}
        for coefficient, variable in (*self.terms, *other.terms):
            total[variable] = total.get(variable, 0) + coefficient
        return Sum(tuple((c, v) for v, c in total.items() if c), self.constant + other.constant)

    def __mul__(self, times: int) -> Sum:
        """Return so many times the sum."""
        return Sum(tuple((times * c, v) for c, v in self.terms if times), times * self.constant)

    def __sub__(self, other: Sum | int) -> Sum:
        """Return the difference."""
        if isinstance(other, int):
            return Sum(self.terms, self.constant - other)
        if self.terms == other.terms:
            return Sum((), self.constant - other.constant)
        return self + other * -1

    @property
    def fixed(self) -> bool:
        """Whether nothing about it is open."""
        return not self.terms


def if_true(literal: Literal, amount: int) -> Sum:
    """Return the amount where a literal is true, else nothing."""
    return Sum(((amount, literal),)) if literal >= 0 else Sum(((-amount, ~literal),), amount)


@dataclass(frozen=True)
class Hold:
    """So much of something held during `[start, end)`, where `present` is true (None: always)."""

    start: Sum
    end: Sum
    amount: int = 1
    present: Literal | None = None


def lacking(steps: Steps, never: int) -> tuple[int, tuple[Hold, ...]]:
    """Return the most of a step function, and holds that leave no more than it has at every minute until `never`."""
    most = max(value for _, value in steps)
    less = ((start, end, most - value) for start, end, value in pieces(steps, never) if value < most)
    return most, tuple(Hold(Sum((), start), Sum((), end), amount) for start, end, amount in less)


def complement(spans: Spans, start: int, end: int) -> Spans:
    """Return what of `[start, end)` lies between sorted disjoint spans."""
    edges = [start, *(min(max(edge, start), end) for span in spans for edge in span), end]
    return tuple((a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b)


def pieces(steps: Steps, end: int) -> Iterator[tuple[int, int, int]]:
    """Yield `(start, end, value)` of each piece of a step function that is not empty, the last until `end`."""
    for (start, value), (until, _) in zip(steps, (*steps[1:], (end, 0)), strict=True):
        if start < until:
            yield start, until, value


class Clockwork(Protocol):
    """A model of minutes under construction. `when`: literals that must all be true for a constraint to bind."""

    def integer(self, low: int, high: int, name: str) -> Sum:
        """Add a variable; no value at all makes the model impossible."""

    def literal(self, name: str) -> Literal:
        """Add a variable that is 0 or 1."""

    def between(self, low: int | None, total: Sum, high: int | None, *, when: Sequence[Literal] = ()) -> None:
        """Keep a sum within bounds, both included."""

    def among(self, total: Sum, spans: Spans, *, when: Sequence[Literal] = ()) -> None:
        """Keep a sum within one of some half-open spans."""

    def any_of(self, literals: Iterable[Literal]) -> None:
        """Make at least one literal true."""

    def one_of(self, literals: Iterable[Literal], of: Literal | None = None) -> None:
        """Make exactly one literal true; none where `of` is false."""

    def apart(self, holds: Sequence[Hold]) -> None:
        """Let no two of them share a minute."""

    def room(self, holds: Sequence[Hold], most: int) -> None:
        """Keep the amounts held at any minute within `most`."""

    def level(self, changes: Sequence[tuple[Sum, int]], low: int, high: int) -> None:
        """Keep the sum of all changes made so far within bounds at every minute."""

    def prefer(self, total: Sum) -> None:
        """Add what is made small before all cost."""

    def cost(self, total: Sum) -> None:
        """Add to what is made small, in milli."""
