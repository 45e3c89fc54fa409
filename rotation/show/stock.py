"""The freezer as it is now, bag by bag, and what a movement did: for the screen and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from calendars.text import clean
from rotation.ledger import LotState, Movement
from rotation.words import count, date_words

SCHEMA = "rotation/freezer/1"
"""Name and version of what `rotation freezer list --json` prints."""


def lines(lots: Sequence[LotState], zone: ZoneInfo) -> Iterator[str]:
    """Yield a line for each bag, oldest first."""
    if not lots:
        yield "The freezer is empty, as far as we know."
    for state in lots:
        lot = state.lot
        what = f"{state.left} {clean(lot.bread, 40)}, {clean(lot.form, 40)}"
        yield f"bag {lot.letter:<3} {what:<32} bagged {date_words(lot.bagged.astimezone(zone)):<7} {_standing(state)}"


def _standing(state: LotState) -> str:
    if state.standing.value != "good":
        return state.standing.value
    return f"eat within {count(state.days_left, 'day')}"


def moved(movement: Movement) -> str:
    """Return what a movement did: "2 out: 1 of bag A, 1 of bag B"."""
    if not movement.shares:
        return "As we thought: nothing changed."
    bags = ", ".join(
        f"{abs(share.units)} of bag {share.lot.letter} ({clean(share.lot.bread, 40)})" for share in movement.shares
    )
    total = movement.units
    way = "in" if total > 0 else "out"
    return f"{abs(total)} {way}: {bags}."


def stock_json(lots: Sequence[LotState], household: str, now: datetime, zone: ZoneInfo) -> dict[str, Any]:
    """Return the bags as plain JSON values; `pieces` are slices where the form is sliced."""

    def iso(at: datetime | None) -> str | None:
        return None if at is None else at.astimezone(zone).isoformat(timespec="minutes")

    return {
        "schema": SCHEMA,
        "household": clean(household),
        "zone": str(zone),
        "now": iso(now),
        "lots": [
            {
                "id": state.lot.id,
                "letter": state.lot.letter,
                "bread": state.lot.bread,
                "form": state.lot.form,
                "pieces": state.left,
                "bagged": iso(state.lot.bagged),
                "through": iso(state.lot.through),
                "eat_first": iso(state.lot.eat_first),
                "toast_after": iso(state.lot.toast_after),
                "strict": iso(state.lot.strict_until),
                "standing": state.standing.value,
            }
            for state in lots
        ],
    }
