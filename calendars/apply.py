"""Sends changes one by one, each noted before and recorded after: killed anywhere, the next run puts things right."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from calendars.canonical import says, uids
from calendars.difference import Terms, decide
from calendars.edits import edits_of
from calendars.known import known
from calendars.merge import speaks_for
from calendars.store import Busy, CalendarError, Changed, Held, Unsure, Writable
from calendars.sync import Changes, Edit, Intent, Journal, Write, Written

REFUSALS = 3
"""After so many writes refused in a row the rest is not tried: the password or the right to write is missing."""


@dataclass(frozen=True)
class Left:
    """A write that was not made. why: for a person; the next run tries again."""

    uid: str
    title: str
    why: str


@dataclass(frozen=True)
class Done:
    """What became of the changes: UIDs added, changed, removed; what was left, and why.

    stopped: why the rest was not tried, "" if all was. unsettled: whether a write may have been made is not known; the
    next run looks. retry_after: seconds to wait before it, where the server says so.
    """

    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    left: tuple[Left, ...] = ()
    stopped: str = ""
    unsettled: bool = False
    retry_after: int | None = None

    def plus(self, write: Write) -> Done:
        """Return this with one more write made."""
        if write.wanted is None:
            return replace(self, removed=(*self.removed, write.uid))
        if write.etag is None:
            return replace(self, added=(*self.added, write.uid))
        return replace(self, changed=(*self.changed, write.uid))

    def without(self, write: Write, why: str) -> Done:
        """Return this with one more write left."""
        return replace(self, left=(*self.left, Left(write.uid, write.title, why)))


def apply(
    changes: Changes, store: Writable, journal: Journal, *, now: datetime, zone: ZoneInfo, product_id: str
) -> Done:
    """Make the changes and return what became of them. now, zone, product_id: as given to `difference`.

    What the family did is in no journal afterwards: keep `changes.edits` before. Raises CalendarError, and sends
    nothing, while there are questions or an unsettled intent.
    """
    if changes.questions:
        raise CalendarError(changes.questions[0].text)
    if journal.intents():
        raise CalendarError("An earlier write is not settled yet; look at the calendar first")
    for record in changes.record:
        journal.wrote(record)
    for uid in changes.forget:
        journal.gone(uid)
    done, refused = Done(), 0
    terms = Terms(now, zone, product_id)
    records = {record.uid: record for record in journal.written()}
    for at, write in enumerate(changes.writes):
        try:
            _make(write, records.get(write.uid), store, journal, changes.edits, terms)
        except Unsure as error:
            return replace(
                _stopped(done.without(write, str(error)), changes.writes[at + 1 :], str(error)), unsettled=True
            )
        except Busy as error:
            return replace(_stopped(done, changes.writes[at:], str(error)), retry_after=error.retry_after)
        except CalendarError as error:
            done, refused = done.without(write, str(error)), refused + 1
            if refused == REFUSALS:
                return _stopped(done, changes.writes[at + 1 :], str(error))
        else:
            refused = 0
            done = done.plus(write)
    return done


def recover(store: Writable, journal: Journal) -> None:
    """Settle what an earlier run left open, by looking. Raises CalendarError where that cannot be done now."""
    records = {record.uid: record for record in journal.written()}
    for intent in journal.intents():
        there = store.get(intent.resource)
        if not _was_made(intent, there, records.get(intent.uid)):
            journal.dropped(intent.uid)
        elif there is None or not intent.ours:
            journal.gone(intent.uid)
        else:
            journal.wrote(Written(intent.uid, intent.resource, there.etag, intent.ours))


def _was_made(intent: Intent, there: Held | None, record: Written | None) -> bool:
    """Return whether a write that was about to be sent was made, though it may have been written over since."""
    ours_there = there is not None and intent.uid in uids(there.data)
    if there is None or not intent.ours or not ours_there:
        return not intent.ours and not ours_there
    if intent.etag is None or says(there.data, intent.data or b""):
        return True
    if there.etag == intent.etag or record is None:
        return False
    return speaks_for(record.data, intent.ours, there.data, intent.uid) > 0


def _make(
    write: Write, record: Written | None, store: Writable, journal: Journal, edits: Collection[Edit], terms: Terms
) -> None:
    """Make one write; if the entry was changed since it was read, look again, once. Raises CalendarError."""
    try:
        _send(write, store, journal)
        return
    except Changed as error:
        there = store.get(write.resource)
        if write.data is not None and there is not None and says(there.data, write.data):
            _settle(write, there, journal)
            return
        if record is None or there is None:
            raise error
    entry = known(record, [there] if write.uid in uids(there.data) else [], there, terms.zone)
    if any(edit.kind != "noted" and edit not in edits for edit in edits_of(entry, terms.now, terms.zone)):
        raise CalendarError(f"“{write.title}” was changed in the calendar just now; it is left for the next time")
    verdict = decide(entry, write.wanted, terms)
    if isinstance(verdict, Write):
        _send(verdict, store, journal)
    elif isinstance(verdict, Written):
        journal.wrote(verdict)


def _send(write: Write, store: Writable, journal: Journal) -> None:
    """Note, send, record. A write that was not made leaves no note; one that may have been does."""
    journal.intend(Intent(write.uid, write.resource, write.data, write.etag, write.ours))
    try:
        if write.data is None:
            store.delete(write.resource, write.etag or "")
            held = None
        else:
            held = store.put(write.resource, write.data, write.etag)
    except Unsure:
        raise
    except CalendarError:
        journal.dropped(write.uid)
        raise
    _settle(write, held, journal)


def _settle(write: Write, held: Held | None, journal: Journal) -> None:
    """Record a write that was made."""
    if held is None or not write.ours:
        journal.gone(write.uid)
    else:
        journal.wrote(Written(write.uid, write.resource, held.etag, write.ours))


def _stopped(done: Done, rest: Sequence[Write], why: str) -> Done:
    """Return what was done when the rest is not tried."""
    left = tuple(Left(write.uid, write.title, "not tried") for write in rest)
    return replace(done, left=(*done.left, *left), stopped=why)
