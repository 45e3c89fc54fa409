"""Loads of one bake through the oven: who waits for a vessel, when each comes out, when hands are needed.

Loads that need a covered vessel go through it in turns. Load i starts at the earliest minute with a free vessel and a
free place, while earlier loads brown beside it (T10: n loaves in one vessel, 20 min covered and 10 min uncovered, take
20 n + 10). Where a load wants several temperatures, as many as fit go in together; when the last of them is out and the
oven is back at its first temperature, the next do.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from rotation.problem import Oven, Process, Programme, Treatment

Pieces = tuple[tuple[str, int], ...]
"""Pieces by treatment."""


@dataclass(frozen=True)
class Turn:
    """One load, in minutes after the first load goes in."""

    pieces: int
    start: int
    uncover: int
    out: int


@dataclass(frozen=True)
class Event:
    """Hands at the oven: minutes after the first load goes in, what is done."""

    offset: int
    name: str


def turns(loads: Sequence[tuple[int, int]], programme: Programme, oven: Oven) -> tuple[Turn, ...]:
    """Return the turns of loads given as `(pieces, uncovered minutes)`, in the order they go in.

    Raises ValueError if there is no place, or no vessel for a covered programme.
    """
    if oven.places < 1 or (programme.covered and oven.vessels < 1):
        raise ValueError("the oven has no place or no vessel for this programme")
    done: list[Turn] = []
    for pieces, uncovered in loads:
        start = (_together if programme.turns else _abreast)(done, programme, oven)
        done.append(Turn(pieces, start, start + programme.covered, start + programme.covered + uncovered))
    return tuple(done)


def _abreast(done: Sequence[Turn], programme: Programme, oven: Oven) -> int:
    """Return the first minute with a free place and vessel, whatever else is in the oven."""
    start = done[-1].start if done else 0
    while True:
        inside = [turn for turn in done if turn.out > start]
        covered = [turn for turn in done if turn.uncover > start]
        if len(inside) < oven.places and (not programme.covered or len(covered) < oven.vessels):
            return start
        start = min(at for turn in done for at in (turn.uncover, turn.out) if at > start)


def _together(done: Sequence[Turn], programme: Programme, oven: Oven) -> int:
    """Return the minute the last loads went in, while they leave room; else the first the oven is empty and ready."""
    if not done:
        return 0
    start = done[-1].start
    inside = [turn for turn in done if turn.start == start]
    if len(inside) < (min(oven.places, oven.vessels) if programme.covered else oven.places):
        return start
    out = max(turn.out for turn in inside)
    return out + oven.change(programme.degc_after(out - start), programme.degc)


def temperatures(of: Sequence[Turn], programme: Programme) -> tuple[tuple[int, int], ...]:
    """Return what the oven is set to on the way: minutes after the first load goes in, and degC."""
    found: list[tuple[int, int]] = []
    starts = sorted({turn.start for turn in of}) if programme.turns else []
    for number, start in enumerate(starts, 1):
        out = max(turn.out for turn in of if turn.start == start)
        found += [(start + after, degc) for after, degc in programme.turns if start + after < out]
        if number < len(starts) and programme.degc_after(out - start) != programme.degc:
            found.append((out, programme.degc))
    return tuple(found)


def events(of: Sequence[Turn], programme: Programme) -> tuple[Event, ...]:
    """Return the moments of hands after the first load, in time order; all at one minute are one event."""
    names: dict[int, list[str]] = {}
    for turn in of:
        for at, name in ((turn.start, "in"), (turn.uncover, "lid off"), (turn.out, "out")):
            if at > 0 and not (name == "lid off" and turn.uncover == turn.start) and name not in names.get(at, []):
                names.setdefault(at, []).append(name)
    for at, degc in temperatures(of, programme):
        names.setdefault(at, []).append(f"set {degc}")
    return tuple(Event(at, " + ".join(names[at])) for at in sorted(names))


def loads_of(process: Process, pieces: Sequence[tuple[str, int]]) -> tuple[tuple[int, int], ...]:
    """Return the loads `(pieces, uncovered minutes)` of a bake: the longest first, so the stay ends soonest.

    Pieces of different treatments share a load only if they stay equally long.
    """
    by_minutes: dict[int, int] = {}
    for id_, count in pieces:
        minutes = process.treatment(id_).uncovered
        by_minutes[minutes] = by_minutes.get(minutes, 0) + count
    size = process.programme.pieces_per_load
    loads: list[tuple[int, int]] = []
    for minutes in sorted(by_minutes, reverse=True):
        full, rest = divmod(by_minutes[minutes], size)
        loads += [(size, minutes)] * full + ([(rest, minutes)] if rest else [])
    return tuple(loads)


@lru_cache(maxsize=4096)
def bake_turns(process: Process, pieces: tuple[tuple[str, int], ...], oven: Oven) -> tuple[Turn, ...]:
    """Return the turns of a bake with these pieces by treatment."""
    return turns(loads_of(process, pieces), process.programme, oven)


def mixes(process: Process, oven: Oven, total: int, kinds: Sequence[Treatment]) -> list[Pieces]:
    """Return what so many pieces may become, some of each kind: one for each length of the stay and minutes of hands.

    Where one takes as long as another, and its hands want some minutes of the other's and no more, it is enough.
    """
    ids = {kind.uncovered: kind.id for kind in kinds}
    least = Counter(ids[kind.uncovered] for kind in kinds)
    found: dict[tuple[int, frozenset[int]], Pieces] = {}
    for parts in _parted(total - len(kinds), len(least)):
        pieces = tuple((id_, least[id_] + part) for id_, part in zip(least, parts, strict=True))
        turns = bake_turns(process, pieces, oven)
        offsets = frozenset(event.offset for event in events(turns, process.programme))
        found.setdefault((max(turn.out for turn in turns), offsets), pieces)
    return [
        pieces
        for (length, offsets), pieces in found.items()
        if not any(length == as_long and fewer < offsets for as_long, fewer in found)
    ]


@lru_cache(maxsize=4096)
def longest_stay(process: Process, oven: Oven, most: int, kinds: tuple[Treatment, ...]) -> int:
    """Return the most minutes that up to so many pieces, each of any of some kinds, are in the oven.

    Kinds that stay unequally long share no load, so a mixed bake may be in longer than one of the longest kind.
    """
    (_, longest), *others = sorted({kind.uncovered: kind.id for kind in kinds}.items(), reverse=True)
    more = tuple((id_, 1) for _, id_ in others[: most - 1])
    if process.programme.pieces_per_load == 1 and not process.programme.turns:
        more = ()  # a load for each, and none longer than the longest
    loads = bake_turns(process, ((longest, most), *more), oven)
    reach = [process.programme.degc, *(degc for _, degc in process.programme.turns)]
    back = -(-(max(reach) - min(reach)) // min(oven.degc_per_minute_up, oven.degc_per_minute_down))
    again = len({turn.start for turn in loads}) - 1  # so often it is set back, from wherever the loads before leave it
    return max(turn.out for turn in loads) + back * again


def _parted(total: int, ways: int) -> Iterator[tuple[int, ...]]:
    """Yield every way to part a number into so many; none if it is below zero."""
    if total >= 0 and ways == 1:
        yield (total,)
    elif ways > 1:
        for first in range(total, -1, -1):
            for rest in _parted(total - first, ways - 1):
                yield (first, *rest)


def peak(of: Sequence[Turn]) -> int:
    """Return how many places the turns take at the fullest minute."""
    return max(sum(1 for other in of if other.start <= turn.start < other.out) for turn in of)
