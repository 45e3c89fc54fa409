"""The words of writing into a family's calendars: what we wrote, what they did to it, what is to be written next.

A run of writing goes

    recover(store, journal)                           what an earlier run left open is settled by looking (apply.py)
    held = store.held()
    edits(journal.written(), held, now=…, zone=…)     what the family did; its wishes go into the plan (edits.py)
    difference(journal.written(), held, entries, …)   what would be written; pure, and all of a dry run (difference.py)
    apply(changes, store, journal)                    one write after the other, safe to kill anywhere (apply.py)

Only entries of the journal are ever written over or removed. Our part of an entry, as the journal keeps it, makes a
three-way comparison possible: whatever is held and is not of our part, the family added.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Literal, Protocol

if TYPE_CHECKING:
    from calendars.writing import Entry

Span = tuple[datetime, datetime]
"""Start and end, aware, in UTC."""

EditKind = Literal["moved", "resized", "deleted", "done", "undone", "noted"]
QuestionKind = Literal["empty", "vanished", "twice", "elsewhere", "unreadable", "occupied", "unrecorded", "removed"]


@dataclass(frozen=True)
class Written:
    """Our record of one entry that is in the calendar.

    resource, etag: where, and the tag it had. data: our part of it, a whole calendar of one entry as we would write it
    if nobody had added anything.
    """

    uid: str
    resource: str
    etag: str
    data: bytes


@dataclass(frozen=True)
class Intent:
    """What is about to be sent, noted before. A journal holds at most one for a UID.

    data: the bytes to be sent, None for taking away. etag: as last seen, None for an entry that must not be there yet.
    ours: our part of the data, to be recorded if the write turns out to have been made; b"" for a removal.
    """

    uid: str
    resource: str
    data: bytes | None
    etag: str | None
    ours: bytes


class Journal(Protocol):
    """Our record of one calendar. Each call is one transaction, on disk when it returns."""

    def written(self) -> tuple[Written, ...]:
        """Return every entry known to be ours, past ones too."""
        ...

    def intents(self) -> tuple[Intent, ...]:
        """Return what was about to be sent and is not known to have been made or not."""
        ...

    def intend(self, intent: Intent) -> None:
        """Note what is about to be sent; an older intent of the UID is replaced."""
        ...

    def wrote(self, written: Written) -> None:
        """Record an entry as it is now, in place of any older record and any intent of its UID."""
        ...

    def gone(self, uid: str) -> None:
        """Forget the record and any intent of the UID; well if there is none."""
        ...

    def dropped(self, uid: str) -> None:
        """Forget the intent only: nothing was written, the record stays; well if there is none."""
        ...


@dataclass(frozen=True)
class Edit:
    """What the family did to an entry since we wrote it.

    was: as last written. now: as it is in the calendar, None for a deleted one. all_day: now stands for whole days, the
    entry has lost its time. at: of "done", the instant it was ticked off, where the calendar says so.
    moved: another start (the length may differ too). resized: same start, another end. deleted: an entry still to come
    is gone, or called off. done, undone: ticked off, or no longer. noted: title, text, colour, alarm or the like; kept,
    and reported for as long as it is there.
    """

    uid: str
    kind: EditKind
    was: Span
    now: Span | None
    all_day: bool = False
    at: datetime | None = None


@dataclass(frozen=True)
class Question:
    """Something odd a person has to look at before anything is written.

    empty: the calendar held entries of ours that are still to come, and reads as having nothing at all. vanished: most
    of those to come are gone. twice: an entry of ours is there in two places. elsewhere: it is there, but not
    where we put it. unreadable: it no longer makes sense. occupied: something else is where a new entry should go.
    unrecorded: an entry we want to write is there already, but our record does not know it. removed: most of ours to
    come would be taken away. text: says so to a person, and what happens on yes.
    """

    kind: QuestionKind
    uids: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class Write:
    """One write to be made, or one removal (data None).

    etag: as last seen, None for a new entry. ours: see Intent. title: for showing. was, now: when the entry is and when
    it will be; None where there is none. wanted: the entry, None for a removal.
    """

    uid: str
    resource: str
    data: bytes | None
    etag: str | None
    ours: bytes
    title: str
    was: Span | None
    now: Span | None
    wanted: Entry | None = field(repr=False)


@dataclass(frozen=True)
class Changes:
    """What would be done to a calendar.

    add, change, remove: writes, by start. same: UIDs of which nothing has to be written. record: what is there as we
    want it, to be noted without a write; forget: no longer there, or long past. edits: all of the family's;
    overruled: those among them that the writes undo. questions: if there are any, nothing may be written.
    """

    add: tuple[Write, ...] = ()
    change: tuple[Write, ...] = ()
    remove: tuple[Write, ...] = ()
    same: tuple[str, ...] = ()
    record: tuple[Written, ...] = ()
    forget: tuple[str, ...] = ()
    edits: tuple[Edit, ...] = ()
    overruled: tuple[Edit, ...] = ()
    questions: tuple[Question, ...] = ()

    @property
    def writes(self) -> tuple[Write, ...]:
        """What is sent, in order: nothing is taken away before all else is there."""
        return (*self.add, *self.change, *self.remove)
