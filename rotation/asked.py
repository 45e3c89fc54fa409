"""What an entry in a calendar stands for, and what the family asked for by editing it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

FED_THEN = "fixed feed"
"""The kind of wish that a feed of the starter stays where the family moved it; no plan may drop it."""


@dataclass(frozen=True)
class Meant:
    """What an entry stands for.

    thing: id of a bake, thaw, finish or feed; kind: which of these, or the reservation of an oven for one; belongs: the
    id of the bake, or of the thaw it begins with. step: what moves when the family moves the entry, planned at `at`: of
    a bake a stage, of others "" (leaving the freezer, going in). mix: when a bake is mixed, if that is still to come;
    feeds: instants of the meals a thaw or finish is for; gives: how these eat it. whole: whether a tick says that all
    of the thing is done. title: what the entry is called. Times are aware.
    """

    uid: str
    thing: str
    kind: Literal["bake", "thaw", "finish", "oven", "feed"]
    belongs: str
    bread: str
    step: str
    start: datetime
    at: datetime
    mix: datetime | None
    feeds: tuple[datetime, ...]
    gives: str
    whole: bool
    title: str


@dataclass(frozen=True, kw_only=True)
class Asked:
    """A wish that an edit of the family in a written entry came to.

    id: that of the entry, so that a later edit of the same one takes its place; thing: whose entry it is; belongs: the
    bake, or the thaw, it belongs to. kind, bread, step: as in `rotation.problem.Wish`, or FED_THEN; since, until:
    aware; it ends with `until`. over: why it ended before, or "".
    after: number of the last publication when it was recorded.
    """

    id: str
    thing: str
    belongs: str
    kind: str
    bread: str
    step: str
    since: datetime
    until: datetime
    said: str
    over: str = ""
    after: int = field(default=0, compare=False)
