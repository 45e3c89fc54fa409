"""A calendar server in memory, with quirks of real ones and faults on order, and the store that speaks to it.

It answers as the CalDAV store does to what a server does to it, so that tests of what is built on it need no network:

    server = MemoryServer()
    store = MemoryStore(server)
    server.faults = iter([None, Fault.STORED_BUT_LOST])   # the second write's reply is lost; afterwards nothing fails
    server.family().put(...)                              # another client of the same server, never disturbed
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import Enum, auto
from zoneinfo import ZoneInfo

from calendars import canonical
from calendars.event import Oddity, Reading
from calendars.store import Busy, CalendarError, Changed, Held, Refused, UnreadableCalendar, Unsure, is_safe


class Killed(BaseException):
    """The program died here. Not an Exception: nothing may catch it."""


class Fault(Enum):
    """What goes wrong with one operation. The last six only happen to writes; reads take them for UNREACHABLE."""

    UNREACHABLE = auto()  # nothing arrives
    BUSY = auto()
    REFUSED = auto()
    EMPTY = auto()  # `held` reads as an empty calendar, as a broken server can answer; writes: as UNREACHABLE
    KILLED_BEFORE = auto()
    KILLED_AFTER = auto()
    STORED_BUT_LOST = auto()  # done, the reply is lost, looking works
    LOST = auto()  # not done, the reply is lost, looking works
    STORED_UNSURE = auto()  # done, the reply is lost, looking fails as well
    UNSURE = auto()  # not done, the reply is lost, looking fails as well
    STORED_LATE = auto()  # the reply is lost, looking shows nothing, and then it is done all the same


@dataclass
class Quirks:
    """How the server departs from a plain one."""

    tasks: bool = True  # whether a VTODO is accepted
    trash: bool = False  # whether a deleted UID is refused for ever after
    rewrites: bool = False  # whether what is stored is put into a form of the server's own
    strong_tags: bool = True  # else tags are made of the content, as the store does for a server without any
    filters: bool = True  # whether it can be asked for a span of time (only matters over HTTP)
    batches: bool = True  # whether it can be asked for several entries at once (only matters over HTTP)


@dataclass
class MemoryServer:
    """What one calendar of a server holds.

    faults: taken one for each operation of a store that is not the family's, None for none. log: what was done, as
    (operation, resource), of every operation that changed something.
    """

    quirks: Quirks = field(default_factory=Quirks)
    faults: Iterator[Fault | None] = field(default_factory=lambda: iter(()))
    resources: dict[str, tuple[int, bytes]] = field(default_factory=dict)
    trash: set[str] = field(default_factory=set)
    log: list[tuple[str, str]] = field(default_factory=list)
    version: int = 0
    late: list[tuple[str, bytes | None, str | None]] = field(default_factory=list)

    def family(self) -> MemoryStore:
        """Return a second client's view, which no fault touches."""
        return MemoryStore(self, "family", disturbed=False)

    def fault(self) -> Fault | None:
        """Return what goes wrong now."""
        return next(self.faults, None)

    def settle(self) -> None:
        """Do what was sent and is still on its way."""
        waiting, self.late = self.late, []
        for resource, data, etag in waiting:
            try:
                if data is None:
                    self.delete(resource, etag or "")
                else:
                    self.put(resource, data, etag)
            except CalendarError:
                continue  # another was faster: the condition of the write does not hold any more

    def look(self, resource: str) -> Held | None:
        """Return one resource."""
        if resource not in self.resources:
            return None
        version, data = self.resources[resource]
        return Held(
            resource, f'"{version}"' if self.quirks.strong_tags else f"content:{hashlib.sha256(data).hexdigest()}", data
        )

    def put(self, resource: str, data: bytes, etag: str | None) -> Held:
        """Store under the condition, as a server does."""
        there = self.look(resource)
        if there is not None and there.etag != etag and canonical.same(there.data, data):
            return there
        self._hold(resource, etag)
        uids = canonical.uids(data)
        kinds = {part.name for calendar in canonical.canonical(data) for part in calendar.parts}
        if not uids or ("VTODO" in kinds and not self.quirks.tasks):
            raise Refused("the server does not take this kind of entry. Nothing was written")
        if uids & self.trash:
            raise Refused("the server has an entry of this UID in its trash. Nothing was written")
        for other, (_, held) in self.resources.items():
            if other != resource and uids & canonical.uids(held):
                raise Refused("the server has another entry of this UID. Nothing was written")
        self.version += 1
        self.resources[resource] = (self.version, _rewritten(data) if self.quirks.rewrites else data)
        self.log.append(("put", resource))
        found = self.look(resource)
        assert found is not None
        return replace(found, data=data) if self.quirks.strong_tags else found

    def delete(self, resource: str, etag: str) -> None:
        """Delete under the condition, as a server does."""
        if resource not in self.resources:
            return
        self._hold(resource, etag)
        if self.quirks.trash:
            self.trash |= canonical.uids(self.resources[resource][1])
        del self.resources[resource]
        self.log.append(("delete", resource))

    def _hold(self, resource: str, etag: str | None) -> None:
        """Raise Changed unless the resource is as the tag says."""
        found = self.look(resource)
        if (found.etag if found else None) != etag:
            raise Changed(f"{resource} is not as it was. Nothing was written")


@dataclass(frozen=True)
class MemoryStore:
    """One client of a server in memory: a Writable as any other."""

    server: MemoryServer = field(default_factory=MemoryServer)
    name: str = "family"
    disturbed: bool = True

    def read(self, window: tuple[datetime, datetime], zone: ZoneInfo) -> Reading:
        """Return the events that touch the window."""
        from calendars.reading import read_parts

        held = self.held()
        if not held:
            return Reading(oddities=(Oddity(self.name, "", "holds nothing yet"),))
        return read_parts([(each.resource, each.data) for each in held], source=self.name, zone=zone, window=window)

    def held(self) -> tuple[Held, ...]:
        """Return every resource, by name."""
        if self._before() is Fault.EMPTY:
            return ()
        found = (self.server.look(resource) for resource in sorted(self.server.resources))
        return tuple(each for each in found if each is not None)

    def get(self, resource: str) -> Held | None:
        """Return one resource."""
        if self._before() is Fault.EMPTY:
            raise UnreadableCalendar(f"{self.name} answers with something that is no calendar")
        return self.server.look(resource)

    def put(self, resource: str, data: bytes, etag: str | None) -> Held:
        """Write one resource."""
        if etag is None and not is_safe(resource):
            raise CalendarError(f"{self.name}: {resource!r} is no name for a new entry. Nothing was written")
        stored = self._write(resource, data, etag)
        assert stored is not None
        return stored

    def delete(self, resource: str, etag: str) -> None:
        """Take one resource away."""
        self._write(resource, None, etag)

    def _write(self, resource: str, data: bytes | None, etag: str | None) -> Held | None:
        """Do a write, with what goes wrong with it; None for a delete."""
        self.server.settle()
        fault = self.server.fault() if self.disturbed else None
        _refuse(fault)
        if fault in (Fault.LOST, Fault.UNSURE, Fault.STORED_LATE):
            if fault is Fault.LOST:
                raise CalendarError("the line dropped, and nothing was written")
            if fault is Fault.STORED_LATE:
                self.server.late.append((resource, data, etag))
            raise Unsure("the server did not answer; whether it was written is not known")
        if data is None:
            self.server.delete(resource, etag or "")
            stored = None
        else:
            stored = self.server.put(resource, data, etag)
        if fault is Fault.STORED_UNSURE:
            raise Unsure("the line dropped; whether it was written is not known")
        if fault is Fault.KILLED_AFTER:
            raise Killed
        return stored

    def _before(self) -> Fault | None:
        """Take the fault of a read, raise what it raises, and return it."""
        self.server.settle()
        fault = self.server.fault() if self.disturbed else None
        if fault in (None, Fault.EMPTY):
            return fault
        if fault in (Fault.KILLED_BEFORE, Fault.KILLED_AFTER):
            raise Killed
        _refuse(fault if fault in (Fault.BUSY, Fault.REFUSED) else Fault.UNREACHABLE)
        return None


def _refuse(fault: Fault | None) -> None:
    """Raise what stops an operation before anything is done."""
    match fault:
        case Fault.UNREACHABLE | Fault.EMPTY:
            raise CalendarError("the server cannot be reached. Nothing was written")
        case Fault.BUSY:
            raise Busy("the server is busy. Nothing was written", retry_after=30)
        case Fault.REFUSED:
            raise Refused("the server does not allow it. Nothing was written")
        case Fault.KILLED_BEFORE:
            raise Killed
        case _:
            return


def _rewritten(data: bytes) -> bytes:
    """Return the text as a server may put it: parameters and properties in another order, other folds, a new stamp."""
    lines = re.sub(rb"\r?\n[ \t]", b"", data).decode().splitlines()
    return "".join(f"{fold}\r\n" for line in lines for fold in _folded(_turned(line))).encode()


def _turned(line: str) -> str:
    if line.startswith("DTSTAMP"):
        return "DTSTAMP:20270101T000000Z"
    match = re.fullmatch(r'([A-Z-]+)((?:;[A-Z-]+=(?:"[^"]*"|[^";:]*))+):(.*)', line)
    if match is None:
        return line
    parameters = re.findall(r';([A-Z-]+)=("[^"]*"|[^";:]*)', match[2])
    return (
        match[1] + "".join(f';{name}="{value.strip(chr(34))}"' for name, value in reversed(parameters)) + f":{match[3]}"
    )


def _folded(line: str) -> Iterator[str]:
    yield line[:20]
    yield from (f" {line[start : start + 19]}" for start in range(20, len(line), 19))
