"""What was written into the calendars, entry by entry: meant, written, gone. The last words about an entry count.

`calendars.sync` notes what it means to write before it writes, so that whoever comes after a crash knows where to look.
"""

from __future__ import annotations

from datetime import datetime

from calendars.sync import Intent, Written
from rotation.ledger import checks
from rotation.ledger.book import Ledger

_COLUMNS = "calendar, uid, what, resource, etag, data, ours, at"
_LAST = """SELECT * FROM entry WHERE seq IN (
    SELECT MAX(seq) FROM entry WHERE calendar = ? {} GROUP BY uid) ORDER BY seq"""
_LAST_WRITTEN = _LAST.format("AND what IN ('written', 'gone')")
_LAST_WORD = _LAST.format("")


class EntryJournal:
    """The journal of one calendar, a `calendars.sync.Journal`. Each entry is one transaction.

    calendar: what tells the place from others. now: the clock, noted with each entry.
    """

    def __init__(self, ledger: Ledger, calendar: str, now: datetime) -> None:
        self._ledger, self._calendar = ledger, calendar
        self._now = checks.instant("now", now).isoformat()

    def written(self) -> tuple[Written, ...]:
        """Return what stands in the calendar as we last wrote it."""
        with self._ledger.reading() as connection:
            rows = connection.execute(_LAST_WRITTEN, (self._calendar,)).fetchall()
        return tuple(
            Written(row["uid"], row["resource"], row["etag"], row["data"]) for row in rows if row["what"] == "written"
        )

    def intents(self) -> tuple[Intent, ...]:
        """Return what we meant to send and do not know to have been made or not."""
        with self._ledger.reading() as connection:
            rows = connection.execute(_LAST_WORD, (self._calendar,)).fetchall()
        return tuple(
            Intent(row["uid"], row["resource"], row["data"], row["etag"], row["ours"])
            for row in rows
            if row["what"] == "meant"
        )

    def intend(self, intent: Intent) -> None:
        """Note what is about to be sent or, without data, taken away."""
        self._note(intent.uid, "meant", intent.resource, intent.etag, intent.data, intent.ours)

    def wrote(self, written: Written) -> None:
        """Note what stands in the calendar now; it settles what was meant."""
        self._note(written.uid, "written", written.resource, written.etag, written.data)

    def gone(self, uid: str) -> None:
        """Note that an entry is no longer in the calendar; it settles what was meant."""
        self._note(uid, "gone")

    def dropped(self, uid: str) -> None:
        """Note that what was meant was not done; what was written before still stands."""
        self._note(uid, "dropped")

    def _note(
        self,
        uid: str,
        what: str,
        resource: str = "",
        etag: str | None = None,
        data: bytes | None = None,
        ours: bytes | None = None,
    ) -> None:
        with self._ledger.writing() as connection:
            connection.execute(
                f"INSERT INTO entry ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
                (self._calendar, uid, what, resource, etag, data, ours, self._now),
            )


def ever_written(ledger: Ledger) -> frozenset[str]:
    """Return the UIDs of all entries ever written or meant to be, in any calendar: these events are our own."""
    with ledger.reading() as connection:
        return frozenset(row["uid"] for row in connection.execute("SELECT DISTINCT uid FROM entry"))


def places(ledger: Ledger) -> frozenset[str]:
    """Return the calendars in which something of ours may still stand."""
    last = "SELECT MAX(seq) FROM entry WHERE what <> 'dropped' GROUP BY calendar, uid"
    with ledger.reading() as connection:
        rows = connection.execute(f"SELECT DISTINCT calendar FROM entry WHERE what <> 'gone' AND seq IN ({last})")
        return frozenset(row["calendar"] for row in rows)
