"""When an oven can take a stay: what it is closed or booked for, how it gets hot, who can switch it on and watch it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from rotation.grid import INF, Bools, Grid, Ints
from rotation.problem import Oven, Process

COLD, FREE, WARM = 0, 1, 2
"""How the oven gets hot: from cold if need be; on a booking's heat, for nothing; only beside or after another stay."""

BLOCK = 120
"""Stays of one kind that start within the same minutes of this many are looked at together on the level of days."""


@dataclass(frozen=True)
class Spell:
    """When something may be in the oven, and how hot: minutes of its earliest and latest start.

    shortest, longest: how long it is in; degc: from when it goes in until it comes out; vessel: in a covered one.
    """

    first: int
    last: int
    shortest: int = 0
    longest: int = 0
    degc: tuple[int, int] = (0, 0)
    vessel: bool = False

    def joined(self, other: Spell) -> Spell:
        """Return what holds whenever either may be."""
        return replace(
            self, first=min(self.first, other.first), last=max(self.last, other.last),
            shortest=min(self.shortest, other.shortest), longest=max(self.longest, other.longest),
        )  # fmt: skip

    @property
    def blocks(self) -> tuple[int, int]:
        """The first and last block of time it may start in."""
        return self.first // BLOCK, self.last // BLOCK

    def heats(self, other: Spell, oven: Oven) -> bool:
        """Say whether the other may have its heat from this: follow it soon enough, or go in with it."""
        if (self.degc, self.vessel) == (other.degc, other.vessel) and max(self.first, other.first) <= min(
            self.last, other.last
        ):
            return True
        change = oven.change(self.degc[1], other.degc[0])
        if other.vessel and not self.vessel:
            change = max(change, oven.heat_up_vessel)
        soonest, latest = self.first + self.shortest + change, self.last + self.longest + oven.hot_gap
        return change <= oven.hot_gap and max(soonest, other.first) <= min(latest, other.last)


Priced = tuple[int, int, int, int]
"""The least cost, what each frozen piece adds, the earliest and the latest start of the oven."""


@dataclass(frozen=True)
class InOven:
    """A stay in the oven by its start, where it can: session, minute out, moment class ready; cost so far by heat."""

    start: Ints
    session: Ints
    out: Ints
    ready: Ints
    heats: list[tuple[int, Ints]]

    def priced(self, least: int, per_frozen: int, places: Sequence[int]) -> Priced:
        """Return a cost, with the starts that stand at the first and the last of some places."""
        first, last = self.start[places].tolist()
        return least, per_frozen, first, last


NOWHERE = Spell(0, 0)
"""When what needs no oven is in one."""


def fits(process: Process, oven: Oven) -> bool:
    """Say whether an oven can hold a process at all."""
    return oven.places > 0 and (process.programme.covered == 0 or oven.vessels > 0)


@lru_cache(maxsize=64)
def sessions(grid: Grid, oven: Oven) -> Ints:
    """Return the session of each minute: stays in different ones never share a heat-up.

    A session ends where the oven is closed, at a booking, and where no adult is there to watch.
    """
    ends = [end for _, end in oven.closed] + [booking.end for booking in oven.bookings]
    ends = sorted(ends + [start for start, _ in grid.problem.adults_inside])
    return np.searchsorted(np.array(ends, dtype=np.int64), np.arange(grid.minutes), "right").astype(np.int64)


@lru_cache(maxsize=512)
def stay_heats(
    grid: Grid, oven: Oven, degc: int, vessel: bool, length: int, role: str
) -> tuple[tuple[int, Bools], ...]:
    """Return for each way of heating the starts of a stay of this length that it allows in an otherwise empty oven."""
    taken = tuple((booking.start, booking.end) for booking in oven.bookings)
    blocked = tuple(sorted({*oven.closed, *taken}))
    open_until = grid.until(_complement(blocked, grid.minutes))
    now = np.arange(grid.minutes)
    watch = length + (oven.watch_after_vessel if vessel else oven.watch_after)
    adults = grid.until(grid.problem.watched)
    alone = (open_until >= now + length) & (adults >= now + watch)
    heat_up = oven.heat_up_vessel if vessel else oven.heat_up
    cold = np.zeros(grid.minutes, dtype=np.bool_)
    begin = now[heat_up:] - heat_up
    switched_on = grid.job(role, 1)[begin] < INF
    cold[heat_up:] = alone[heat_up:] & (open_until[begin] >= now[heat_up:] + length) & switched_on
    cold[heat_up:] &= adults[begin] >= now[heat_up:] + watch
    free = np.zeros(grid.minutes, dtype=np.bool_)
    for booking in oven.bookings:
        if booking.temperature_degc is None:
            continue
        low = booking.end + max(oven.change(booking.temperature_degc, degc), heat_up if vessel else 0)
        high = min(booking.end + oven.hot_gap, grid.minutes - 1)
        if 0 <= booking.end < grid.minutes and low <= high:
            still_on = (open_until[booking.end] >= now + length) & (adults[booking.end] >= now + watch)
            free[low : high + 1] |= (alone & still_on)[low : high + 1]
        if booking.temperature_degc == degc and booking.places_left > 0:
            inside = (now >= booking.start) & (now + length <= booking.end) & (adults >= now + watch)
            free |= inside & ~_inside(oven.closed, now, length)
    return ((COLD, cold), (FREE, free), (WARM, alone & ~cold & ~free))


def _inside(closed: tuple[tuple[int, int], ...], now: Ints, length: int) -> Bools:
    """Say for each minute whether a stay that starts then would touch a closed span."""
    bad = np.zeros(len(now), dtype=np.bool_)
    for start, end in closed:
        bad |= (now < end) & (now + length > start)
    return bad


def _complement(spans: tuple[tuple[int, int], ...], minutes: int) -> tuple[tuple[int, int], ...]:
    """Return what lies between sorted spans, from minute 0 to the end."""
    out, at = [], 0
    for start, end in spans:
        if start > at:
            out.append((at, start))
        at = max(at, end)
    return (*out, (at, minutes)) if at < minutes else tuple(out)
