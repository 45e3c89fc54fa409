"""What really happened to what was planned: one record for each step done, skipped, asked about or eaten."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class What(StrEnum):
    """What is recorded of a step.

    ASKED: the family was asked once whether a bake took place; EATEN: portions of a source, at a meal that is over;
    CHANGED: a bake goes on in another way, chosen from the rescues (`said` has its process and delays as text).
    """

    DONE = "done"
    SKIPPED = "skipped"
    ASKED = "asked"
    EATEN = "eaten"
    CHANGED = "changed"


@dataclass(frozen=True, kw_only=True)
class Happened:
    """One record. Times are aware.

    id: made of what it says, so that it is recorded once; thing: id of a bake, take-out, finish or source of bread;
    step: of a bake a stage or `naming.OUT`, of others `naming.THAW`, `naming.FINISH`, or the meal; name: what a person
    calls it. start, end: when; count: loaves, units or portions, None where none was said. planned: the plan with
    nothing but this thing (rotation/carried.py), so that it can be gone on with when the plan is another. movements:
    ids of what it moved in the freezer. sure: somebody said so; else it was taken to be as planned.
    """

    id: str
    thing: str
    step: str
    what: What
    name: str = ""
    start: datetime | None = None
    end: datetime | None = None
    count: int | None = None
    planned: str = ""
    movements: tuple[str, ...] = ()
    said: str = ""
    sure: bool = True
