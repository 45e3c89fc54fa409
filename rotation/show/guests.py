"""The answer to whether guests can be fed, in lines: yes or no, by when, what changes, what else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from calendars.text import clean
from rotation.intake.invited import Answer
from rotation.show.fit import fit
from rotation.words import count, listed


def lines(answer: Answer, without: Sequence[str]) -> Iterator[str]:
    """Yield the answer."""
    if answer.short:
        yield f"No: short by {answer.short} of {answer.portions} slices."
    else:
        yield f"Yes: {answer.portions} slices."
    if answer.less:
        yield "Children of the house under six are among them, and eat less."
    if answer.instead:
        yield from fit(f"In place of {listed(clean(name, 40) for name in answer.instead)} that day.", 2)
    bought = count(answer.buys, "loaf", "loaves")
    if answer.by is not None:
        first = next((f" ({act})" for act, at in answer.left if at == answer.by), "")
        first = f" ({bought} to buy)" if answer.buys_by == answer.by else first
        other = "" if answer.buys else " What is planned from then on is other then."
        left = f" Left until then: {_acts(answer.left)}." if answer.left else other
        yield from fit(f"Decide by {_when(answer.by)}{first}.{left}", 2)
        if answer.first and answer.first != answer.left:
            yield from fit(f"Decided now: {_acts(answer.first)}.", 2)
    elif not answer.short:
        there = f" It takes: {_acts(answer.first)}." if answer.first else ""
        after = "" if answer.buys_by is None else f"{bought} to buy after it, by {_when(answer.buys_by)}"
        yield from fit(f"What is there and planned will do; {after or 'nothing has to be decided'}.{there}", 2)
    if answer.changed:
        yield from fit(f"{answer.changed}", 2)
    if answer.buy_by is not None:
        loaves = "1 loaf" if answer.loaves == 1 else f"{answer.loaves} loaves"
        unsafe = "" if answer.safe else f" Not for who may not have {clean(', '.join(without), 60)}: look at the label."
        yield from fit(f"Else buy {loaves} by {_when(answer.buy_by)}.{unsafe}", 2)


def _acts(acts: Sequence[tuple[str, datetime]]) -> str:
    return listed(f"{act} {_when(at)}" for act, at in acts)


def _when(at: datetime) -> str:
    return f"{at:%a} {at.day} {at:%b} {at.hour}:{at:%M}"
