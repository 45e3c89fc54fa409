"""An entry and what it means."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Literal

from calendars.writing import Entry
from rotation.asked import Meant

PRODUCT = "-//Bread Rotation//Bread Rotation//EN"
"""PRODID of the calendars this program writes."""

FINISH_TO_START = "FINISHTOSTART"
"""The relation (RFC 9253) of an entry to one that has to be finished before it starts."""

RINGS = {"thaw": timedelta(0), "feed": timedelta(0), "oven": timedelta(minutes=10), "bake": timedelta(minutes=15)}
"""How long before its moment each kind of alarm rings, the most needed kind first."""

Each = Literal["bake", "part", "step"]
"""What has one entry: a whole bake; what is done up to the oven, at it, and on days before; or every step."""


@dataclass(frozen=True)
class Explained:
    """An entry with what it means; rings: kinds and minutes of the alarms it may have."""

    entry: Entry
    meant: Meant
    rings: tuple[tuple[str, int], ...] = ()
