"""What the kept plan means to do with each bag of the freezer, read from the plan as it is shown.

The plan's JSON is enough for it, so that neither calendars nor the solver are asked.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any

SCHEMA = "rotation/plan/1"
"""The form of plan that is understood (rotation/show/plan_json.py)."""

CRUMBS = "crumbs, or the bin"
"""Said in place of a meal of units the plan throws away."""


@dataclass(frozen=True)
class Eaten:
    """A meal that eats of what was taken out: its title, as calendars say it, and its instant (aware)."""

    title: str
    at: datetime


@dataclass(frozen=True)
class Use:
    """Units of one bag that leave the freezer together. at: when; meals: who eats of them, in time order."""

    lot: str
    units: int
    at: datetime
    meals: tuple[Eaten, ...]


def document(plan_json: str | None) -> dict[str, Any] | None:
    """Return a kept plan as plain values, not to be changed; None where none is kept, or one of another form."""
    return None if plan_json is None else _read(plan_json)


@lru_cache(maxsize=4)
def _read(plan_json: str) -> dict[str, Any] | None:
    """Read a plan once, however often its text is come back to: the page does so with every tap."""
    read = json.loads(plan_json)
    return read if isinstance(read, dict) and read.get("schema") == SCHEMA else None


def uses(plan: dict[str, Any] | None, now: datetime) -> dict[str, tuple[Use, ...]]:
    """Return what a plan takes out of each bag from now on, by the bag's id, in time order."""
    if plan is None:
        return {}
    meals = {meal["id"]: Eaten(meal["summary"], _at(meal["start"])) for meal in plan["meals"]}
    found: dict[str, list[Use]] = {}
    for thaw in plan["thaws"]:
        eaten = sorted((meals[one["id"]] for one in thaw["meals"] if one["id"] in meals), key=lambda meal: meal.at)
        for share in thaw["lots"]:
            found.setdefault(share["id"], []).append(
                Use(share["id"], share["pieces"], _at(thaw["start"]), tuple(eaten))
            )
    for gone in plan["discards"]:
        at = _at(gone["at"])
        found.setdefault(gone["lot"], []).append(Use(gone["lot"], gone["pieces"], at, (Eaten(CRUMBS, at),)))
    ahead = {lot: sorted((use for use in several if use.at >= now), key=lambda use: use.at)
             for lot, several in found.items()}  # fmt: skip
    return {lot: tuple(several) for lot, several in ahead.items() if several}


def planned_id(lot: str) -> str:
    """Return the id by which the plan that made a bag speaks of it: without the year and number of its record."""
    return re.sub(r"@\d{4}(?=:)", "", re.sub(r" \d+$", "", lot))


def _at(said: str) -> datetime:
    return datetime.fromisoformat(said)
