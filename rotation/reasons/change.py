"""A change a family may make, with what it asks of them; and the words for hours."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from calendars.intervals import intersect
from rotation.problem import Problem, Spans
from rotation.words import count, long_time, time_words

QUARTER, HOUR, DAY = 15, 60, 1440
EACH = 100
"""Effort minutes that one change more counts for: fewer changes come first, whatever they are."""

Apply = Callable[[Problem], Problem]


@dataclass(frozen=True)
class Change:
    """One change. kind: of the catalogue; words: as people say it; price: what it asks of them, in effort minutes.

    span: minutes it is about, where it gives hours; trimmed: the same change for a shorter span.
    """

    kind: str
    words: str
    price: int
    apply: Apply
    span: tuple[int, int] | None = None
    trimmed: Callable[[tuple[int, int]], Change] | None = None
    who: str = ""
    """The person or oven whose hours it gives."""
    after: tuple[str, str] | None = None
    """The change without which it makes no sense."""
    gone: str = ""
    """The wish that it takes back."""

    @property
    def key(self) -> tuple[str, str]:
        """What it is, to tell it from others."""
        return self.kind, self.words


def together(problem: Problem, changes: tuple[Change, ...]) -> Problem:
    """Return the problem with changes made, one after the other."""
    for change in changes:
        problem = change.apply(problem)
    return problem


def sensible(changes: tuple[Change, ...]) -> bool:
    """Say whether none of some changes lacks the one it comes after."""
    keys = {change.key for change in changes}
    return all(change.after is None or change.after in keys for change in changes)


def length(span: tuple[int, int]) -> str:
    """Return "a quarter of an hour", "an hour" or "2 h 30"."""
    minutes = span[1] - span[0]
    known = {15: "a quarter of an hour", 30: "half an hour", 60: "an hour"}
    if minutes in known:
        return known[minutes]
    if minutes < HOUR:
        return count(minutes, "minute")
    return f"{minutes // HOUR} h {minutes % HOUR:02}" if minutes % HOUR else count(minutes // HOUR, "hour")


def since_until(problem: Problem, span: tuple[int, int]) -> str:
    """Return "Sat 6 Mar 9:00 to 10:15"."""
    return f"{long_time(problem, span[0])} to {time_words(problem, span[1], span[0])}"


def spare(change: Change, used: Spans) -> Change:
    """Return a change for no more than quarters of an hour around what is used of its span."""
    if change.span is None or change.trimmed is None:
        return change
    inside = intersect(used, (change.span,))
    if not inside:
        return change
    start = inside[0][0] // QUARTER * QUARTER
    end = -(-inside[-1][1] // QUARTER) * QUARTER
    less = max(start, change.span[0]), min(end, change.span[1])
    return change if less == change.span else change.trimmed(less)


def told(change: Change, used: Spans) -> tuple[str, str]:
    """Return the kind and the words of a change, with how much work there is in hours that are not all worked."""
    if change.span is None or change.kind != "hands":
        return change.key
    work = sum(end - start for start, end in intersect(used, (change.span,)))
    whole = work >= change.span[1] - change.span[0]
    return change.kind, change.words if whole else f"{change.words} ({count(work, 'minute')} of work)"
