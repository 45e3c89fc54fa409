"""When each step of one bake is, counted from its mix: the earliest, the latest, and one time to aim at."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise, product
from math import inf

from rotation.errors import RotationError
from rotation.fermentation import COLDEST_AIM
from rotation.problem import GRID, Process

WAKING = 8 * 60, 21 * 60
"""Minutes after midnight between which a cold proof is ended, where it allows."""


class NoTime(RotationError):
    """Waits and spans of a process that exclude one another."""


@dataclass(frozen=True)
class When:
    """One step: minutes from the start of the mix. hands: minutes of hands."""

    step: str
    at: int
    earliest: int
    latest: int
    hands: int


def later(at: datetime, minutes: int) -> datetime:
    """Return the moment so many minutes of elapsed time after another, in its zone: clocks that change do not count."""
    return (at.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(at.tzinfo)


def times(process: Process, pieces: int, day: int, mixed: int, cold: Collection[str]) -> tuple[When, ...]:
    """Return every step up to the oven, in order, for a bake mixed on the local day with this index.

    mixed: minutes after midnight at which the mix begins; cold: the steps that a wait in the fridge follows. Steps are
    aimed at the middle of their waits, the end of a cold proof at twelve hours or the next waking hour, as near as the
    spans over several steps allow. Raises NoTime.
    """
    stages = process.stages[: next(i for i, stage in enumerate(process.stages) if stage.name == "oven") + 1]
    names = [stage.name for stage in stages]
    hands = {stage.name: stage.hands + stage.hands_per_piece * pieces for stage in stages}
    most = _longest(process, names, hands, day)
    fixed = {"mix": 0}
    middle = names.index("mix")
    aims = {w.first: _aim(w.on(day), w.first in cold) + hands[w.first] for w in process.waits if not w.whole}
    after = [(name, before, aims[before]) for before, name in pairwise(names[middle:])]
    ahead = [(name, then, -aims[name]) for name, then in pairwise(names[: middle + 1])]
    for name, beside, aim in (*after, *reversed(ahead)):
        low = max(at - most[name, other] for other, at in fixed.items())
        high = min(at + most[other, name] for other, at in fixed.items())
        aimed = _waking(fixed[beside] + aim, mixed) if beside in cold and aim > 0 else fixed[beside] + aim
        fixed[name] = _on_grid(min(max(aimed, low), high), low, high)
    return tuple(
        When(name, fixed[name], round(-most[name, "mix"]), round(most["mix", name]), hands[name]) for name in names
    )


def _aim(bounds: tuple[int, int], cold: bool) -> int:
    return min(max(COLDEST_AIM, bounds[0]), bounds[1]) if cold else sum(bounds) // 2


def _waking(at: int, mixed: int) -> int:
    """Return the minute, or the next one at which somebody is up."""
    clock = (mixed + at) % 1440
    first, last = WAKING
    return at if first <= clock <= last else at + (first - clock) % 1440


def _on_grid(at: float, low: float, high: float) -> int:
    """Return the nearest minute of the planning grid within the bounds, else the minute itself."""
    near = GRID * round(at / GRID)
    return near if low <= near <= high else round(at)


def _longest(process: Process, names: list[str], hands: Mapping[str, int], day: int) -> dict[tuple[str, str], float]:
    """Return the most minutes from the start of one step to that of another, as all waits and spans together allow."""
    most: dict[tuple[str, str], float] = {pair: 0 if pair[0] == pair[1] else inf for pair in product(names, names)}
    for wait in (wait for wait in process.waits if {wait.first, wait.second} <= {*names}):
        work = 0 if wait.whole else hands[wait.first]
        low, high = wait.on(day)
        most[wait.first, wait.second] = min(most[wait.first, wait.second], work + high)
        most[wait.second, wait.first] = min(most[wait.second, wait.first], -work - low)
    for through, one, other in product(names, names, names):
        most[one, other] = min(most[one, other], most[one, through] + most[through, other])
    if any(most[name, name] < 0 for name in names):
        raise NoTime(
            f"{process.name}: at this temperature its waits and spans exclude one another. Give the last wait before "
            "the end of a span more room, or make the span longer."
        )
    return most
