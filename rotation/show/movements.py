"""The freezer's history, for the screen and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from calendars.text import clean
from rotation.ledger import Movement
from rotation.show.fit import fit
from rotation.show.stock import moved
from rotation.units import longest_time
from rotation.words import clock, date_words, weekday

SCHEMA = "rotation/freezer-history/1"
"""Name and version of what `rotation freezer history --json` prints."""


def lines(movements: Sequence[Movement], zone: ZoneInfo, width: int) -> Iterator[str]:
    """Yield a line for each movement, as they were recorded, with the id it can be taken back by."""
    if not movements:
        yield "Nothing went in or out yet."
    for one in movements:
        at = one.at.astimezone(zone)
        why = reason(one)
        back = " Taken back." if one.undone else f" Takes back {clean(one.undoes, 100)}." if one.undoes else ""
        when = f"{weekday(at)[:3]} {date_words(at):<6} {clock(at):>{longest_time()}}"
        yield from fit(f"{when}  {one.kind}: {moved(one)}{why}{back} [{clean(one.id, 100)}]", 18, width)


def reason(movement: Movement) -> str:
    """Return why something went in or out, after what it did; "" where nobody said."""
    return f" {clean(movement.reason)}." if movement.reason else ""


def history_json(movements: Sequence[Movement], household: str, zone: ZoneInfo) -> dict[str, Any]:
    """Return movements as plain JSON values; `pieces` are slices where the form is sliced, below zero went out."""
    return {
        "schema": SCHEMA,
        "household": clean(household),
        "movements": [
            {
                "id": one.id,
                "kind": str(one.kind),
                "at": one.at.astimezone(zone).isoformat(timespec="seconds"),
                "noted": one.noted.astimezone(zone).isoformat(timespec="seconds"),
                "because": one.reason,
                "undoes": one.undoes or None,
                "undone": one.undone,
                "bags": [
                    {
                        "id": share.lot.id,
                        "letter": share.lot.letter,
                        "bread": share.lot.bread,
                        "form": share.lot.form,
                        "pieces": share.units,
                    }
                    for share in one.shares
                ],
            }
            for one in movements
        ],
    }
