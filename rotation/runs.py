"""Runs of bakes alike in all that matters to a choice of days, and which of them no choice needs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce

from rotation.hot import COLD, FREE, NOWHERE, WARM, Spell


@dataclass(frozen=True)
class Run:
    """All runs of one bake alike in what matters to a choice of bakes, with the least cost of any of them.

    ready: index of the moment class (`Moments`) its table pieces are ready in, None if none; put_day: local day its
    other pieces go into the freezer, None if none; through: earliest minute they are frozen through. Hands cost at
    least `cost + per_piece * pieces + per_frozen * frozen pieces`, for `least` to `most` pieces, the switch-on not
    counted. forms: what its frozen pieces may become, all bagged at once.
    """

    bread: str
    process: str
    day: int
    oven: str
    heat: int
    session: int
    ready: int | None
    put_day: int | None
    through: int | None
    least: int
    most: int
    cost: int
    per_piece: int
    per_frozen: int
    forms: tuple[str, ...]
    wish: str | None = None
    under_way: str | None = None
    stay: Spell = NOWHERE
    """When it may be in the oven."""

    @property
    def slot(self) -> tuple[str, str, int, str | None]:
        """What at most one bake may be of."""
        return (self.bread, self.process, self.day, self.under_way)


def undominated(found: list[Run]) -> list[Run]:
    """Return the runs without those that another serves as well in every way, at no more cost and no more heat.

    A run that stands for another is in the oven whenever that may be.
    """
    groups: dict[tuple[object, ...], list[Run]] = {}
    for run in found:
        groups.setdefault(_alike(run), []).append(run)
    kept = {id(run) for group in groups.values() for run in group if not any(_beats(other, run) for other in group)}
    stays = {key: reduce(Spell.joined, (run.stay for run in group)) for key, group in groups.items()}
    return [replace(run, stay=stays[_alike(run)]) for run in found if id(run) in kept]


def _alike(run: Run) -> tuple[object, ...]:
    """Return what runs have in common that one may stand for."""
    return (run.slot, run.oven, run.session, run.ready, run.put_day, run.wish)


def _beats(one: Run, other: Run) -> bool:
    """Say whether a run is at least as good as another in all, and better, or first among equals."""
    if one is other:
        return False
    order = {FREE: 0, COLD: 1, WARM: 2}
    at_least = (
        one.least <= other.least
        and one.most >= other.most
        and order[one.heat] <= order[other.heat]
        and (one.through or 0) <= (other.through or 0)
        and one.per_frozen <= other.per_frozen
        and set(one.forms) >= set(other.forms)
        and all(one.cost + one.per_piece * n <= other.cost + other.per_piece * n for n in (other.least, other.most))
    )
    alike = (one.heat, one.least, one.most, one.cost, one.per_piece, one.through, one.forms)
    return at_least and alike != (
        other.heat, other.least, other.most, other.cost, other.per_piece, other.through, other.forms
    )  # fmt: skip
