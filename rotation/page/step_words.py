"""What steps ask for and what was noted of them, as a page says it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from datetime import timedelta

from calendars.text import clean
from rotation.happened import What
from rotation.naming import FINISH, OUT, THAW
from rotation.page.plain import plain
from rotation.page.sight import Sight
from rotation.real_times import Otherwise
from rotation.recording import Noted
from rotation.show.stock import moved
from rotation.words import long, named_pieces

_PARTS = re.compile(r" \+ |; |, (?=KEEP)")

ACTS = {THAW: "bread out", FINISH: "finish", OUT: "out of the oven", "bag": "bag", "feed": "feed the starter"}
"""How some steps are called in a line that tells what was noted."""


def lines_of(how: Iterable[str]) -> tuple[str | tuple[str, ...], ...]:
    """Return instructions line by line; what is weighed as a tuple: what it is for, then each part."""
    found: list[str | tuple[str, ...]] = []
    for line in how:
        head, colon, tail = line.partition(": ")
        if colon and " + " in tail:
            found.append((f"{head}:", *_PARTS.split(tail.rstrip("."))))
        else:
            found.append(line)
    return tuple(found)


def called(sight: Sight, noted: Noted) -> str:
    """Return "mix, 3 Country loaves"."""
    target = noted.target
    bread = sight.home.known.get(target.bread)
    act = ACTS.get(target.step, target.step)
    if bread is None:
        return act
    bake, out = target.bake, target.out
    if bake is not None:
        return f"{act}, {named_pieces(bread.name, bake.total)}"
    if out is not None and out.form == "sliced":
        return f"{act}, {out.units} slices of {bread.name}"
    return f"{act}, {named_pieces(bread.name, out.units)}" if out is not None else act


def otherwise_words(sight: Sight, one: Otherwise) -> str:
    """Return "Oven, 2 Oat tins: 15 min later than planned." or "Only 1 of 2 Oat tins came out."."""
    bread = sight.home.known.get(one.bread)
    name = clean(bread.name if bread is not None else one.bread, 40)
    what = f"{one.pieces} slices of {name}" if one.sliced else named_pieces(name, one.pieces)
    if one.came is not None:
        few = f"Only {one.came}" if one.came else "None"
        return f"{few} of {what} came out{'' if one.step == OUT else ' of the freezer'}."
    minutes = one.late // timedelta(minutes=1)
    act = ACTS.get(one.step, one.step)
    how = f"{long(abs(minutes))} {'later' if minutes > 0 else 'earlier'} than planned"
    return f"{act[:1].upper()}{act[1:]}, {what}: {how}."


def noted_words(sight: Sight, noted: Noted) -> Iterator[str]:
    """Yield what was noted of a step, and what moved in the freezer."""
    row = noted.row
    what = called(sight, noted)
    if row.what is What.SKIPPED:
        off = "the whole bake is off" if noted.target.bake is not None else "the bag stays where it is"
        yield plain(f"Left out: {what}; {off}.")
    else:
        at = "" if row.start is None else f", {sight.words.time(row.start)}"
        number = "" if row.count is None else f", {row.count} of it"
        yield plain(f"{'Known already' if noted.known else 'Done'}: {what}{at}{number}.")
    for movement in noted.moved:
        yield f"Freezer: {moved(movement)}"
