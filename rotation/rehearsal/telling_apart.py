"""What a new plan changed of the one before, as a family counts: bakes added, dropped or moved in the days ahead."""

from __future__ import annotations

from datetime import datetime, timedelta

from rotation.carried import Carried
from rotation.plan import Bake

AHEAD = timedelta(days=7)
"""How far a family counts on a plan."""


def changes(before: Carried, new: Carried) -> tuple[int, int, int]:
    """Return how many bakes within seven days were added, dropped and moved; those begun are no change.

    A bake is the same where bread and process are, the nearest first, within a day and a half; it is moved where its
    mix or its oven begins at another minute. What lies beyond the days that the plan before showed was never told.
    """
    now = new.zero
    until = min(now + AHEAD, before.zero + timedelta(days=before.days))
    begun = {bake.under_way for bake in new.plan.bakes if bake.under_way is not None}
    old = [(_mixed(before, b), b) for b in before.plan.bakes if b.under_way is None and b.id not in begun]
    here = [(_mixed(new, b), b) for b in new.plan.bakes if b.under_way is None]
    pairs = sorted(
        (abs(at - then), i, j)
        for i, (then, bake) in enumerate(old)
        for j, (at, other) in enumerate(here)
        if (bake.bread, bake.process) == (other.bread, other.process) and abs(at - then) <= timedelta(hours=36)
    )
    same: dict[int, int] = {}
    for _, i, j in pairs:
        if i not in same and j not in same.values():
            same[i] = j
    dropped = sum(1 for i, (at, _) in enumerate(old) if i not in same and now <= at < until)
    added = sum(1 for j, (at, _) in enumerate(here) if j not in same.values() and at < until)
    moved = sum(
        1
        for i, j in same.items()
        if (now <= old[i][0] < until or here[j][0] < until)
        and old[i][0] >= now
        and _starts(before, old[i][1]) != _starts(new, here[j][1])
    )
    return added, dropped, moved


def _mixed(carried: Carried, bake: Bake) -> datetime:
    step = bake.step("mix")
    assert step is not None
    return carried.instant(step.start)


def _starts(carried: Carried, bake: Bake) -> list[datetime]:
    return [carried.instant(step.start) for step in bake.steps if step.name in ("mix", "oven")]
