"""The answer to whether guests can be fed, in lines: yes or no, by when, what changes, what else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from calendars.text import clean
from rotation.intake.invited import Answer
from rotation.show.fit import fit


def lines(answer: Answer, portions: int, without: Sequence[str]) -> Iterator[str]:
    """Yield the answer."""
    if answer.short:
        yield f"No: short by {answer.short} of {portions} slices."
    else:
        yield f"Yes: {portions} slices."
    if answer.first:
        name, at = answer.first[0]
        acts = ", ".join(f"{act} {_when(time)}" for act, time in answer.first)
        yield from fit(f"Decide by {_when(at)} ({name}). As planned so: {acts}.", 2)
    elif not answer.short:
        yield "What is there will do; nothing has to be decided."
    if answer.changed:
        yield from fit(f"{answer.changed}", 2)
    if answer.buy_by is not None:
        loaves = "1 loaf" if answer.loaves == 1 else f"{answer.loaves} loaves"
        unsafe = "" if answer.safe else f" Not for who may not have {clean(', '.join(without), 60)}: look at the label."
        yield from fit(f"Else buy {loaves} by {_when(answer.buy_by)}.{unsafe}", 2)


def _when(at: datetime) -> str:
    return f"{at:%a} {at.day} {at:%b} {at.hour}:{at:%M}"
