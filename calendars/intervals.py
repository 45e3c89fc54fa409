"""Algebra on spans: sorted tuples of disjoint half-open pairs (start, end), over anything ordered.

Every function takes spans in any order, overlapping or not, and returns them normalised: sorted, not empty,
neither overlapping nor touching.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, Protocol, TypeVar, overload


class Ordered(Protocol):
    """Anything that can be compared with its own kind."""

    def __lt__(self, other: Any, /) -> bool:
        """Whether self comes before other."""
        ...


T = TypeVar("T", bound=Ordered)


def union(*many: Iterable[tuple[T, T]]) -> tuple[tuple[T, T], ...]:
    """Return what any of the given spans covers."""
    merged: list[tuple[T, T]] = []
    for start, end in sorted((span for spans in many for span in spans), key=lambda span: span[0]):
        if not start < end:
            continue
        if merged and not merged[-1][1] < start:
            if merged[-1][1] < end:
                merged[-1] = (merged[-1][0], end)
        else:
            merged.append((start, end))
    return tuple(merged)


def normalise(spans: Iterable[tuple[T, T]]) -> tuple[tuple[T, T], ...]:
    """Return the same cover, sorted and merged; spans without length or with their end first are dropped."""
    return union(spans)


def intersect(left: Iterable[tuple[T, T]], right: Iterable[tuple[T, T]]) -> tuple[tuple[T, T], ...]:
    """Return what both cover."""
    ours, theirs = union(left), union(right)
    both: list[tuple[T, T]] = []
    i = j = 0
    while i < len(ours) and j < len(theirs):
        start = max(ours[i][0], theirs[j][0])
        end = min(ours[i][1], theirs[j][1])
        if start < end:
            both.append((start, end))
        if ours[i][1] < theirs[j][1]:
            i += 1
        else:
            j += 1
    return tuple(both)


def subtract(spans: Iterable[tuple[T, T]], holes: Iterable[tuple[T, T]]) -> tuple[tuple[T, T], ...]:
    """Return what `spans` cover and `holes` do not."""
    kept: list[tuple[T, T]] = []
    cuts = union(holes)
    first = 0
    for start, end in union(spans):
        while first < len(cuts) and not start < cuts[first][1]:
            first += 1
        at, cursor = first, start
        while at < len(cuts) and cuts[at][0] < end:
            if cursor < cuts[at][0]:
                kept.append((cursor, cuts[at][0]))
            cursor = max(cursor, cuts[at][1])
            at += 1
        if cursor < end:
            kept.append((cursor, end))
    return tuple(kept)


def complement(spans: Iterable[tuple[T, T]], start: T, end: T) -> tuple[tuple[T, T], ...]:
    """Return what `spans` leave free between start and end."""
    return subtract(((start, end),), spans)


def clip(spans: Iterable[tuple[T, T]], start: T, end: T) -> tuple[tuple[T, T], ...]:
    """Return the part of `spans` between start and end."""
    return intersect(spans, ((start, end),))


def covers(spans: Iterable[tuple[T, T]], start: T, end: T) -> bool:
    """Return whether one unbroken stretch covers [start, end); where start is end, the instant itself."""
    return any(not start < a and not b < end and (start < end or start < b) for a, b in union(spans))


@overload
def total(spans: Iterable[tuple[int, int]]) -> int: ...
@overload
def total(spans: Iterable[tuple[datetime, datetime]]) -> timedelta: ...
def total(spans: Iterable[tuple[Any, Any]]) -> Any:
    """Return the length covered: minutes for minutes, a timedelta for datetimes (0, an int, where nothing is)."""
    lengths = [end - start for start, end in union(spans)]
    return sum(lengths[1:], lengths[0]) if lengths else 0
