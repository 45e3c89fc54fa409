"""What was asked under an id of whoever asked, so that a tap repeated or sent again counts once."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from rotation.ledger import checks

if TYPE_CHECKING:
    from rotation.ledger.book import Ledger


class Requests:
    """What a ledger remembers of requests. To be used within `Ledger.together`, with what is done for the request."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger

    def answer(self, id_: str, act: str) -> tuple[str, ...] | None:
        """Return what came of a request, as it was recorded; None if it is new, or has no id.

        Raises BadInput for an id that was used for another act.
        """
        if not id_:
            return None
        checks.name("id", id_)
        with self._ledger.reading() as connection:
            row = connection.execute("SELECT * FROM request WHERE id = ?", (id_,)).fetchone()
        if row is None:
            return None
        if row["act"] != act:
            raise checks.refused("id", f"{id_!r} was used for {row['act']}, not {act}.", "Use a new id.")
        return tuple(json.loads(row["answer"]))

    def record(self, id_: str, act: str, answer: Sequence[str], now: datetime) -> None:
        """Record what came of a request; without an id nothing."""
        if id_:
            row = (checks.name("id", id_), act, json.dumps(list(answer)), checks.instant("now", now).isoformat())
            with self._ledger.writing() as connection:
                connection.execute("INSERT INTO request (id, act, answer, at) VALUES (?, ?, ?, ?)", row)
