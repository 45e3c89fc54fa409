"""What really happened, row by row. Rows are append-only: what was said in error is taken back by another row."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from rotation.happened import Happened, What
from rotation.ledger import checks

if TYPE_CHECKING:
    from rotation.ledger.book import Ledger

_STANDS = "undoes IS NULL AND NOT EXISTS (SELECT * FROM happened AS later WHERE later.undoes = happened.id)"


class Happenings:
    """What a ledger remembers of steps done, skipped, asked about and eaten. Every write is one transaction."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger

    def standing(self) -> tuple[Happened, ...]:
        """Return all that was recorded and not taken back, in the order it was recorded."""
        with self._ledger.reading() as connection:
            rows = connection.execute(f"SELECT * FROM happened WHERE {_STANDS} ORDER BY seq").fetchall()
            return tuple(_happened(row) for row in rows)

    def last(self, id_: str) -> Happened | None:
        """Return what was recorded last with an id, also if it was taken back; None if nothing ever was."""
        with self._ledger.reading() as connection:
            query = "SELECT * FROM happened WHERE what_id = ? AND undoes IS NULL ORDER BY seq DESC LIMIT 1"
            row = connection.execute(query, (id_,)).fetchone()
        return None if row is None else _happened(row)

    def record(self, happened: Iterable[Happened], now: datetime) -> tuple[Happened, ...]:
        """Record what happened; return what was new. What stands with the same id stays as it is.

        An id that was taken back may be recorded again: a number is added to it. Raises BadInput for times to come.
        """
        noted, new = checks.instant("now", now).isoformat(), []
        with self._ledger.writing() as connection:
            for one in happened:
                if connection.execute(f"SELECT 1 FROM happened WHERE what_id = ? AND {_STANDS}", (one.id,)).fetchone():
                    continue
                before = connection.execute("SELECT COUNT(*) FROM happened WHERE what_id = ?", (one.id,)).fetchone()[0]
                times = [None if at is None else checks.happened("at", at, now) for at in (one.start, one.end)]
                connection.execute(
                    """INSERT INTO happened (id, what_id, thing, step, what, name, start, until, count, planned,
                    movements, said, sure, noted) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
                    (
                        f"{one.id} #{before + 1}", one.id, one.thing, one.step, str(one.what), one.name,
                        *(None if at is None else at.isoformat() for at in times), one.count, one.planned,
                        json.dumps(one.movements), checks.remark(one.said), int(one.sure), noted,
                    ),
                )  # fmt: skip
                new.append(one)
        return tuple(new)

    def again(self, id_: str) -> int:
        """Return how often something with this id was recorded and taken back."""
        with self._ledger.reading() as connection:
            query = f"SELECT COUNT(*) FROM happened WHERE what_id = ? AND undoes IS NULL AND NOT ({_STANDS})"
            return int(connection.execute(query, (id_,)).fetchone()[0])

    def take_back(self, ids: Iterable[str], now: datetime) -> None:
        """Record that what stands with these ids was said in error. What does not stand is passed over."""
        noted = checks.instant("now", now).isoformat()
        with self._ledger.writing() as connection:
            for id_ in ids:
                query = f"SELECT * FROM happened WHERE what_id = ? AND {_STANDS}"
                row = connection.execute(query, (id_,)).fetchone()
                if row is None:
                    continue
                connection.execute(
                    """INSERT INTO happened (id, what_id, thing, step, what, name, planned, movements, said, sure,
                    noted, undoes) VALUES (?, ?, ?, ?, ?, ?, '', '[]', '', 1, ?, ?)""",
                    (f"undo {row['id']}", f"undo {id_}", row["thing"], row["step"], row["what"], row["name"], noted,
                     row["id"]),
                )  # fmt: skip


def _happened(row: sqlite3.Row) -> Happened:
    return Happened(
        id=row["what_id"],
        thing=row["thing"],
        step=row["step"],
        what=What(row["what"]),
        name=row["name"],
        start=None if row["start"] is None else datetime.fromisoformat(row["start"]),
        end=None if row["until"] is None else datetime.fromisoformat(row["until"]),
        count=row["count"],
        planned=row["planned"],
        movements=tuple(json.loads(row["movements"])),
        said=row["said"],
        sure=bool(row["sure"]),
    )
