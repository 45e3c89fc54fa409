"""What really happened to what was planned: one record for each step done, skipped, asked about or eaten."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from rotation.plan import Plan
from rotation.problem import is_thawing

NOT_THERE = "not there"
"""What is said of a thaw that was skipped because its bag was not found."""


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


def browned(finish: str, plan: Plan) -> str:
    """Return the id under which what a finish browns is recorded once it is bread.

    finish: the id under which it is recorded; plan: with nothing but it and what it browns.
    """
    planned, out = plan.finishes[0], plan.take_outs[0]
    if not finish.startswith(planned.id):
        return finish  # recorded under the id of its thaw
    return out.id if "@" in out.id else out.id + finish.removeprefix(planned.id)


def thaws_of(finish: str, plan: Plan) -> tuple[str, ...]:
    """Return the ids under which the thaws of what a finish browns are recorded."""
    out = plan.take_outs[0]
    return tuple(lot for lot, _ in out.lots) if is_thawing(out.form) else (browned(finish, plan),)
