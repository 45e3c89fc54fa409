"""Reading and writing the ledger's rows. Every function works inside the transaction of whoever calls it."""

from __future__ import annotations

import sqlite3
from dataclasses import astuple
from datetime import datetime, timedelta
from itertools import groupby

from rotation.ledger.records import Kind, Lot, Movement, NewLot, Share

LETTER_RESTS = timedelta(days=7)
"""How long a bag is empty before its letter goes to another: an old label may still lie about."""

_OLDEST_FIRST = "lot.eat_first, lot.bagged, lot.id"
"""The order lots are used up in: by date, then bagging time, then id."""

_LOT = """lot.id AS lot, lot.letter, lot.bread, lot.form, lot.bagged, lot.through, lot.eat_first, lot.toast_after,
    lot.strict_until"""

_STANDS = "NOT EXISTS (SELECT * FROM movement AS later WHERE later.undoes = movement.id)"


def stock(connection: sqlite3.Connection, *, empty_too: bool = False) -> list[Share]:
    """Return each lot with the units it holds, oldest first."""
    having = "" if empty_too else "HAVING SUM(share.units) > 0"
    query = f"""SELECT {_LOT}, SUM(share.units) AS units FROM lot JOIN share ON share.lot = lot.id
        GROUP BY lot.id {having} ORDER BY {_OLDEST_FIRST}"""
    return [Share(_lot(row), row["units"]) for row in connection.execute(query)]


def movements(
    connection: sqlite3.Connection, identity: str | None = None, last: int | None = None
) -> tuple[Movement, ...]:
    """Return the movements as recorded, or the one with this id, if any, or the last so many."""
    where: str = ""
    values: tuple[str | int, ...] = ()
    if identity is not None:
        where, values = "WHERE movement.id = ?", (identity,)
    elif last is not None:
        where, values = "WHERE movement.seq IN (SELECT seq FROM movement ORDER BY seq DESC LIMIT ?)", (last,)
    query = f"""SELECT movement.*, {_LOT}, share.units, {_STANDS} AS stands
        FROM movement LEFT JOIN share ON share.movement = movement.seq LEFT JOIN lot ON lot.id = share.lot
        {where} ORDER BY movement.seq, {_OLDEST_FIRST}"""
    grouped = groupby(connection.execute(query, values), key=lambda row: int(row["seq"]))
    return tuple(_movement(list(rows)) for _, rows in grouped)


def first_movement(connection: sqlite3.Connection) -> str | None:
    """Return the id of the first movement ever recorded, or None in a new ledger."""
    row = connection.execute("SELECT id FROM movement ORDER BY seq LIMIT 1").fetchone()
    return None if row is None else str(row["id"])


def last_taken_from(connection: sqlite3.Connection, bread: str, form: str) -> str | None:
    """Return the id of the lot of a bread and form that units last left, for good."""
    row = connection.execute(
        f"""SELECT lot.id FROM lot JOIN share ON share.lot = lot.id JOIN movement ON movement.seq = share.movement
        WHERE lot.bread = ? AND lot.form = ? AND share.units < 0 AND movement.kind <> 'undone' AND {_STANDS}
        ORDER BY movement.seq DESC, lot.eat_first DESC, lot.bagged DESC, lot.id DESC LIMIT 1""",
        (bread, form),
    ).fetchone()
    return None if row is None else str(row["id"])


def resting_letters(connection: sqlite3.Connection, now: datetime) -> set[str]:
    """Return the letters of bags emptied a short while ago. A bag that was entered by mistake and undone is none."""
    query = f"""SELECT lot.letter
        FROM lot JOIN share ON share.lot = lot.id JOIN movement ON movement.seq = share.movement
        GROUP BY lot.id HAVING MAX(movement.at) > ? AND MAX(movement.kind IN ('baked', 'added') AND {_STANDS})"""
    return {row["letter"] for row in connection.execute(query, ((now - LETTER_RESTS).isoformat(),))}


def known_lot(connection: sqlite3.Connection, identity: str) -> bool:
    """Return whether a lot has this id, empty or not."""
    return connection.execute("SELECT 1 FROM lot WHERE id = ?", (identity,)).fetchone() is not None


def insert_lot(connection: sqlite3.Connection, new: NewLot) -> Lot:
    """Write a new lot whose values were checked."""
    lot = Lot(**{field: getattr(new, field) for field in Lot.__dataclass_fields__})
    values = [value.isoformat() if isinstance(value, datetime) else value for value in astuple(lot)]
    columns, places = ", ".join(Lot.__dataclass_fields__), ", ".join("?" * len(values))
    connection.execute(f"INSERT INTO lot ({columns}) VALUES ({places})", values)
    return lot


def insert_movement(connection: sqlite3.Connection, movement: Movement) -> None:
    """Write a movement with its shares."""
    written = connection.execute(
        "INSERT INTO movement (id, kind, at, noted, reason, undoes) VALUES (?, ?, ?, ?, ?, ?)",
        (
            movement.id,
            str(movement.kind),
            movement.at.isoformat(),
            movement.noted.isoformat(),
            movement.reason,
            movement.undoes or None,
        ),
    )
    shares = [(written.lastrowid, share.lot.id, share.units) for share in movement.shares]
    connection.executemany("INSERT INTO share (movement, lot, units) VALUES (?, ?, ?)", shares)


def _movement(rows: list[sqlite3.Row]) -> Movement:
    first = rows[0]
    return Movement(
        id=first["id"],
        kind=Kind(first["kind"]),
        at=datetime.fromisoformat(first["at"]),
        noted=datetime.fromisoformat(first["noted"]),
        reason=first["reason"],
        undoes=first["undoes"] or "",
        undone=not first["stands"],
        shares=tuple(Share(_lot(row), row["units"]) for row in rows if row["lot"] is not None),
    )


def _lot(row: sqlite3.Row) -> Lot:
    return Lot(
        id=row["lot"],
        letter=row["letter"],
        bread=row["bread"],
        form=row["form"],
        bagged=datetime.fromisoformat(row["bagged"]),
        through=datetime.fromisoformat(row["through"]),
        eat_first=datetime.fromisoformat(row["eat_first"]),
        toast_after=datetime.fromisoformat(row["toast_after"]),
        strict_until=None if row["strict_until"] is None else datetime.fromisoformat(row["strict_until"]),
    )
