"""Which lots a movement falls on. Every function works inside the transaction of whoever calls it."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from rotation.ledger import rows
from rotation.ledger.checks import refused
from rotation.ledger.records import Lot, Share


def alike(connection: sqlite3.Connection, bread: str, form: str) -> list[Share]:
    """Return the lots of one bread and form with what they hold, oldest first."""
    return [share for share in rows.stock(connection) if (share.lot.bread, share.lot.form) == (bread, form)]


def lot(connection: sqlite3.Connection, named: str, *, empty_too: bool = False) -> Share:
    """Return a lot by its bag's letter, one in use before an emptied one and the latest first, or else by its id."""
    stock = rows.stock(connection, empty_too=empty_too)
    lettered = [share for share in stock if share.lot.letter == named.upper()]
    found = max(lettered, key=lambda share: (share.units > 0, share.lot.bagged), default=None)
    found = found or next((share for share in stock if share.lot.id == named), None)
    if found is None:
        raise refused("lot", f"there is no bag {named[:100]!r}.", f"There is: {_holds(stock)}.")
    return found


def oldest_first(stock: Sequence[Share], units: int, shown: Sequence[Share]) -> tuple[Share, ...]:
    """Deal units out to lots in their order, as shares that leave; refuse more than there is, saying what is shown."""
    out = []
    missing = units
    for held in stock:
        if missing:
            part = min(missing, held.units)
            out.append(Share(held.lot, -part))
            missing -= part
    if missing:
        raise refused("units", f"{units} asked for, and {units - missing} there.", f"There is: {_holds(shown)}.")
    return tuple(out)


def back_into(connection: sqlite3.Connection, bread: str, form: str) -> Lot:
    """Return the lot that units found by a count belong to.

    It is the one last taken from, unless its letter is on another bag by now; else the oldest.
    """
    last = rows.last_taken_from(connection, bread, form)
    letters = {share.lot.letter: share.lot.id for share in rows.stock(connection)}
    for share in rows.stock(connection, empty_too=True):
        if share.lot.id == last and letters.get(share.lot.letter, last) == last:
            return share.lot
    for share in alike(connection, bread, form):
        return share.lot
    raise refused("count", f"no bag of {bread[:100]!r}, {form[:100]!r}, is known.", "Add it, with its date.")


def _holds(stock: Sequence[Share]) -> str:
    bags = [f"bag {held.lot.letter} {held.lot.bread} {held.lot.form} {held.units}" for held in stock if held.units]
    return ", ".join(bags) or "nothing"
