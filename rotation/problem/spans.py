"""The time line: spans, step functions and days, in whole minutes, and the grid planned starts lie on."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

GRID = 5
"""Planned starts are multiples of this many minutes."""

Spans = tuple[tuple[int, int], ...]
Steps = tuple[tuple[int, int], ...]
"""A step function: `(from minute, value)`, the first at or before the start of the horizon."""


def day_index(midnights: tuple[int, ...], minute: int) -> int:
    """Return the index of the day that holds a minute; days outside the list are 1440 minutes long."""
    if minute < midnights[0]:
        return (minute - midnights[0]) // 1440
    if minute >= midnights[-1]:
        return len(midnights) - 1 + (minute - midnights[-1]) // 1440
    low, high = 0, len(midnights) - 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if midnights[middle] <= minute else (low, middle)
    return low


def last_day(day: int, minutes: int) -> int:
    """Return the last day of a date so many minutes after the day on which a bag is put in.

    Dates are whole days: what is over of a day is not counted, and a change of clocks moves none.
    """
    return day + minutes // 1440


def union(spans: Iterator[tuple[int, int]] | Spans) -> Spans:
    """Return sorted disjoint spans that cover the same minutes; spans that touch are joined."""
    merged: list[tuple[int, int]] = []
    for start, end in sorted(span for span in spans if span[0] < span[1]):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return tuple(merged)


def covers(spans: Spans, start: int, end: int) -> bool:
    """Say whether one span holds all of `[start, end)`."""
    for first, last in spans:  # noqa: SIM110  # asked so often that a generator is felt
        if first <= start and end <= last:
            return True
    return False


def value_at(steps: Steps, minute: int) -> int:
    """Return the value of a step function at a minute."""
    value = steps[0][1]
    for start, later in steps[1:]:
        if start > minute:
            break
        value = later
    return value


def lowest(steps: Steps, start: int, end: int) -> int:
    """Return the lowest value of a step function within `[start, end)`."""
    values = [value_at(steps, start)]
    values += [value for at, value in steps if start < at < end]
    return min(values)


def well_ordered(spans: Spans) -> bool:
    """Say whether spans are sorted, disjoint and not empty, as every span list of a problem must be."""
    return all(start < end for start, end in spans) and all(a[1] < b[0] for a, b in pairwise(spans))
