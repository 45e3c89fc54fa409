"""The tasks of a kept plan with what was said of each: done, taken to be done, left out, or nothing yet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from rotation.at_hand import PUTS_OFF, Task, every
from rotation.happened import Happened, What
from rotation.real_times import as_it_went

State = Literal["", "done", "assumed", "skipped"]


@dataclass(frozen=True)
class Told:
    """A task, and what was said of it. begun: something of its bake is done; at: when it was done, if it was.

    later: another step of its bake comes before it.
    """

    task: Task
    state: State
    begun: bool
    at: datetime | None = None
    later: bool = False


def told(plan: dict[str, Any], happened: Iterable[Happened], letters: Mapping[str, str]) -> Iterator[Told]:
    """Yield all tasks of a plan in time order. happened: what stands recorded; letters: of bags baked since."""
    said = list(happened)
    rows = {(_base(row.thing), row.step): row for row in said if row.what in (What.DONE, What.SKIPPED)}
    off = {thing for (thing, step), row in rows.items() if row.what is What.SKIPPED and step not in PUTS_OFF}
    begun = {thing for (thing, _), row in rows.items() if row.what is What.DONE}
    seen: set[str] = set()
    for task in every(as_it_went(plan, said), letters):
        thing, _ = key = (_base(task.key[0]), task.key[1])
        row = rows.get(key)
        state: State = "skipped" if thing in off or (row is not None and row.what is What.SKIPPED) else ""
        if row is not None and row.what is What.DONE:
            state = "done" if row.sure else "assumed"
        yield Told(task, state, thing in begun, None if row is None else row.start, thing in seen)
        if task.short:
            seen.add(thing)


def questions(happened: Iterable[Happened]) -> Iterator[Happened]:
    """Yield the bakes that were asked about and of which nothing was said since."""
    rows = list(happened)
    said = {row.thing for row in rows if row.what in (What.DONE, What.SKIPPED)}
    yield from (row for row in rows if row.what is What.ASKED and row.thing not in said)


def _base(thing: str) -> str:
    return thing.partition("@")[0]
