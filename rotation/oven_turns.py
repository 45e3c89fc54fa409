"""Loads of one bake through the oven: who waits for a vessel, when each comes out, when hands are needed.

Loads that need a covered vessel go through it in turns. Load i starts at the earliest minute with a free vessel and a
free place, while earlier loads brown beside it (T10: n loaves in one vessel, 20 min covered and 10 min uncovered, take
20 n + 10). Where covered and uncovered want different temperatures, a load is out before the next goes in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from rotation.problem import Process, Programme


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


def turns(loads: Sequence[tuple[int, int]], programme: Programme, vessels: int, places: int) -> tuple[Turn, ...]:
    """Return the turns of loads given as `(pieces, uncovered minutes)`, in the order they go in.

    Raises ValueError if there is no place, or no vessel for a covered programme.
    """
    if places < 1 or (programme.covered and vessels < 1):
        raise ValueError("the oven has no place or no vessel for this programme")
    done: list[Turn] = []
    for pieces, uncovered in loads:
        start = done[-1].start if done else 0
        while True:
            inside = [turn for turn in done if turn.out > start]
            covered = [turn for turn in done if turn.uncover > start]
            vessel_free = not programme.covered or len(covered) < vessels
            apart = programme.one_temperature or not programme.covered or _abreast(done, start)
            if len(inside) < places and vessel_free and apart:
                break
            start = min(at for turn in done for at in (turn.uncover, turn.out) if at > start)
        done.append(Turn(pieces, start, start + programme.covered, start + programme.covered + uncovered))
    return tuple(done)


def _abreast(done: Sequence[Turn], start: int) -> bool:
    """Say whether every earlier load is out by `start` or went in at that very minute."""
    return all(turn.out <= start or turn.start == start for turn in done)


def events(of: Sequence[Turn]) -> tuple[Event, ...]:
    """Return the moments of hands after the first load, in time order; all at one minute are one event."""
    names: dict[int, list[str]] = {}
    for turn in of:
        for at, name in ((turn.start, "in"), (turn.uncover, "lid off"), (turn.out, "out")):
            if at > 0 and not (name == "lid off" and turn.uncover == turn.start) and name not in names.get(at, []):
                names.setdefault(at, []).append(name)
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
def bake_turns(process: Process, pieces: tuple[tuple[str, int], ...], vessels: int, places: int) -> tuple[Turn, ...]:
    """Return the turns of a bake with these pieces by treatment."""
    return turns(loads_of(process, pieces), process.programme, vessels, places)


def peak(of: Sequence[Turn]) -> int:
    """Return how many places the turns take at the fullest minute."""
    return max(sum(1 for other in of if other.start <= turn.start < other.out) for turn in of)


def peak_vessels(of: Sequence[Turn]) -> int:
    """Return how many vessels the turns take at the fullest minute."""
    return max(sum(1 for other in of if other.start <= turn.start < other.uncover) for turn in of)
