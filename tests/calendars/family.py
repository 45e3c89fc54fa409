"""What tests of writing share: entries, a journal in memory, a run of publishing, and a family that edits."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from calendars.apply import Done, apply, recover
from calendars.difference import difference
from calendars.store import Writable
from calendars.sync import Changes, Intent, Written
from calendars.writing import Entry
from tests.calendars.memory_server import MemoryStore

NOW = datetime(2027, 3, 15, 9, tzinfo=UTC)
ZONE = ZoneInfo("Europe/Berlin")
PRODUCT = "-//example//bread//EN"


def entry(uid: str, hours: float, minutes: int = 45, **other: object) -> Entry:
    """Return an entry so many hours from NOW."""
    start = NOW + timedelta(hours=hours)
    said = {"summary": f"Bread: {uid}", "description": f"Mix {uid}.\nFold three times.\nThen the fridge.", **other}
    return Entry(uid=uid, start=start, end=start + timedelta(minutes=minutes), **said)  # type: ignore[arg-type] # by name


@dataclass
class MemoryJournal:
    """A journal whose every call is whole or not at all. before, after: called around each change, and may raise."""

    records: dict[str, Written] = field(default_factory=dict)
    open: dict[str, Intent] = field(default_factory=dict)
    before: Callable[[], None] = lambda: None
    after: Callable[[], None] = lambda: None
    changes: int = 0

    def written(self) -> tuple[Written, ...]:
        return tuple(self.records.values())

    def intents(self) -> tuple[Intent, ...]:
        return tuple(self.open.values())

    def intend(self, intent: Intent) -> None:
        self._change(lambda: self.open.update({intent.uid: intent}))

    def wrote(self, written: Written) -> None:
        def change() -> None:
            self.records[written.uid] = written
            self.open.pop(written.uid, None)

        self._change(change)

    def gone(self, uid: str) -> None:
        def change() -> None:
            self.records.pop(uid, None)
            self.open.pop(uid, None)

        self._change(change)

    def dropped(self, uid: str) -> None:
        self._change(lambda: self.open.pop(uid, None))

    def _change(self, change: Callable[[], object]) -> None:
        self.before()
        change()
        self.changes += 1
        self.after()


def differ(
    store: Writable,
    journal: MemoryJournal,
    wanted: Sequence[Entry],
    now: datetime = NOW,
    answered: Collection[str] = (),
) -> Changes:
    """Return what would be written."""
    return difference(
        journal.written(), store.held(), wanted, now=now, zone=ZONE, product_id=PRODUCT, answered=answered
    )


def publish(
    store: Writable,
    journal: MemoryJournal,
    wanted: Sequence[Entry],
    now: datetime = NOW,
    answered: Collection[str] = (),
) -> Done:
    """Settle what is open, look, and write."""
    recover(store, journal)
    changes = differ(store, journal, wanted, now, answered)
    return apply(changes, store, journal, now=now, zone=ZONE, product_id=PRODUCT)


@dataclass(frozen=True)
class Family:
    """Another client of the same server, that edits text as a calendar program does."""

    store: MemoryStore

    def resource(self, uid: str) -> str:
        """Return where the entry is."""
        return next(held.resource for held in self.store.held() if f"UID:{uid}\r\n".encode() in held.data)

    def text(self, uid: str) -> str:
        """Return the entry as it is, unfolded."""
        held = self.store.get(self.resource(uid))
        assert held is not None
        return re.sub(r"\r\n[ \t]", "", held.data.decode())

    def edit(self, uid: str, change: Callable[[str], str]) -> None:
        """Change the text of an entry."""
        held = self.store.get(self.resource(uid))
        assert held is not None
        data = change(re.sub(r"\r\n[ \t]", "", held.data.decode())).encode()
        self.store.put(held.resource, data, held.etag)

    def set(self, uid: str, name: str, line: str) -> None:
        """Put another line in place of that of a property, or add it."""
        self.edit(uid, lambda text: set_line(text, name, line))

    def move(self, uid: str, start: datetime, end: datetime) -> None:
        """Drag the entry."""
        self.set(uid, "DTSTART", f"DTSTART:{start.astimezone(UTC):%Y%m%dT%H%M%SZ}")
        self.set(uid, "DTEND", f"DTEND:{end.astimezone(UTC):%Y%m%dT%H%M%SZ}")

    def add_part(self, uid: str, *lines: str) -> None:
        """Add an alarm or the like."""
        self.edit(uid, lambda text: text.replace("END:VEVENT", "\r\n".join((*lines, "END:VEVENT"))))

    def delete(self, uid: str) -> None:
        """Delete the entry."""
        held = self.store.get(self.resource(uid))
        assert held is not None
        self.store.delete(held.resource, held.etag)


def set_line(text: str, name: str, line: str) -> str:
    """Return the text with this line for the property of the entry itself, not of its alarms."""
    head, begin, rest = text.partition("BEGIN:VEVENT" if "BEGIN:VEVENT" in text else "BEGIN:VTODO")
    own, alarm, alarms = rest.partition("BEGIN:VALARM")
    own, done = re.subn(rf"\r\n{name}[;:][^\r]*", lambda _: f"\r\n{line}", own, count=1)
    if not done:
        own = f"\r\n{line}{own}"
    return head + begin + own + alarm + alarms
