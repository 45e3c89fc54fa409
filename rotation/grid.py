"""Arrays over the planning grid: what a job costs at each start, where a span holds, minima over windows of starts.

A grid array has one entry for each planned start, `GRID` minutes apart, from minute 0 to the end of the horizon. Cost
is in milli effort; `INF` marks a start that is not possible.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rotation.problem import GRID, Person, Problem, Spans, Steps, covers, free_spans, value_at

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
INF = np.int64(1) << 40


class Grid:
    """The problem's minutes as arrays, each computed once and kept."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.minutes = problem.end + 2 * 1440
        self._jobs: dict[tuple[str, int], Ints] = {}
        self._stays: dict[Spans, Ints] = {}
        self._ends: dict[int, Ints] = {}

    @property
    def size(self) -> int:
        """Number of planned starts."""
        return -(-self.minutes // GRID)

    @cached_property
    def days(self) -> Ints:
        """The local day of each minute."""
        return np.searchsorted(np.array(self.problem.midnights), np.arange(self.minutes), "right").astype(np.int64) - 1

    def days_after(self, minutes: int) -> Ints:
        """Return, for each planned start, the local day so many minutes later."""
        if minutes not in self._ends:
            later = np.minimum(np.arange(0, self.minutes, GRID) + minutes, self.minutes - 1)
            self._ends[minutes] = self.days[later]
        return self._ends[minutes]

    def may(self, role: str) -> tuple[Person, ...]:
        """Return the people who may do a job: "bakes", or "finishes" (those who bake may finish too)."""
        return tuple(p for p in self.problem.people if p.bakes or (role == "finishes" and p.finishes))

    def job(self, role: str, minutes: int) -> Ints:
        """Return, for each minute, the least cost of a job of this length that starts then; `INF` if nobody can."""
        key = (role, minutes)
        if key not in self._jobs:
            best = np.full(self.minutes, INF)
            for person in self.may(role):
                price = minutes * self.steps(person.price)
                best = np.minimum(best, np.where(self.holds(free_spans(person, minutes), minutes), price, INF))
            self._jobs[key] = best
        return self._jobs[key]

    def moved(self, role: str, minutes: int, at: int) -> int:
        """Return the least cost of a job the family put at a minute: whoever is in is free then; `INF` if nobody."""
        able = (person for person in self.may(role) if covers(person.inside, at, at + minutes))
        return min((minutes * value_at(person.price, at) for person in able), default=int(INF))

    def steps(self, steps: Steps) -> Ints:
        """Return the value of a step function at each minute."""
        starts = np.array([max(start, 0) for start, _ in steps])
        values = np.array([value for _, value in steps], dtype=np.int64)
        return values[np.maximum(np.searchsorted(starts, np.arange(self.minutes), "right") - 1, 0)]

    def until(self, spans: Spans) -> Ints:
        """Return, for each minute, the end of the span that holds it; 0 outside all spans."""
        if spans not in self._stays:
            ends = np.zeros(self.minutes, dtype=np.int64)
            for start, end in spans:
                ends[max(start, 0) : max(end, 0)] = end
            self._stays[spans] = ends
        return self._stays[spans]

    def holds(self, spans: Spans, minutes: int) -> Bools:
        """Say for each minute whether one span holds a job of this length that starts then."""
        return np.asarray(self.until(spans) >= np.arange(self.minutes) + max(minutes, 1))


def shifted(values: Ints, minutes: int, fill: int = int(INF)) -> Ints:
    """Return the array whose entry t is `values[t + minutes]`, `fill` where that lies outside."""
    out = np.full_like(values, fill)
    if minutes >= 0:
        out[: max(len(values) - minutes, 0)] = values[minutes:]
    else:
        out[-minutes:] = values[:minutes]
    return out


def sliding_min(values: Ints, first: int, last: int) -> Ints:
    """Return the minimum of `values[..., k - last : k - first + 1]` for each k of the last axis; `INF` for none."""
    width = last - first + 1
    out = np.full_like(values, INF)
    if width < 1 or first >= values.shape[-1]:
        return out
    level, have = values, 1
    while 2 * have <= width:
        level = np.minimum(level, _later(level, have))
        have *= 2
    if have < width:
        level = np.minimum(level, _later(level, width - have))
    out[..., first:] = level[..., : values.shape[-1] - first]
    return out


def _later(values: Ints, by: int) -> Ints:
    """Return the values moved to later places by `by`, `INF` in front."""
    out = np.full_like(values, INF)
    if by < values.shape[-1]:
        out[..., by:] = values[..., : values.shape[-1] - by]
    return out


def range_min(values: Ints, left: Ints, right: Ints) -> Ints:
    """Return the minimum of `values[left[k] : right[k] + 1]` for each k; `INF` where that is empty."""
    left, right = np.maximum(left, 0), np.minimum(right, len(values) - 1)
    length = np.maximum(right - left + 1, 0)
    height = np.frexp(length)[1] - 1  # the longest power of two that goes into a window
    levels, out = [values], np.full(len(left), INF)
    for level, windows in enumerate(np.bincount(height + 1)[1:].tolist()):
        if level:
            half = 2 ** (level - 1)
            levels.append(np.minimum(levels[-1][:-half], levels[-1][half:]))
        if windows:
            here = np.flatnonzero(height == level)
            table, first, last = levels[level], left[here], right[here]
            out[here] = np.minimum(table[first], table[last - 2**level + 1])
    return out


def least_by(keys: Sequence[Ints], cost: Ints) -> dict[tuple[int, ...], tuple[int, int, int]]:
    """Return for each combination of keys the least cost, and the first and last place with one that is finite."""
    places = np.flatnonzero(cost < INF)
    if not len(places):
        return {}
    code, sizes = np.zeros(len(places), dtype=np.int64), []
    for key in keys:
        here = key[places]
        low, size = int(here.min()), int(here.max() - here.min()) + 1
        code = code * size + (here - low)
        sizes.append((low, size))
    order = np.argsort(code, kind="stable")
    starts = np.flatnonzero(np.diff(code[order], prepend=-1))
    least = np.minimum.reduceat(cost[places][order], starts)
    firsts, lasts = places[order][starts], places[order][np.append(starts[1:], len(order)) - 1]
    found = {}
    for number, value, first, last in zip(
        code[order][starts].tolist(), least.tolist(), firsts.tolist(), lasts.tolist(), strict=True
    ):
        parts = []
        for low, size in reversed(sizes):
            number, part = divmod(number, size)
            parts.append(part + low)
        found[tuple(reversed(parts))] = (value, first, last)
    return found


def plus(a: Ints, b: Ints) -> Ints:
    """Add costs; what is not possible stays so."""
    return np.asarray(np.minimum(a + b, INF))
