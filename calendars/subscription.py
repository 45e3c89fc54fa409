"""A calendar that others publish at a web address: asked for anew each time, with the last good copy kept."""

from __future__ import annotations

import json
import os
import re
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from zoneinfo import ZoneInfo

from calendars.event import Oddity, Reading
from calendars.fetch import Limits, Tags, address, fetch, host_of, is_loopback
from calendars.store import Access, CalendarError, UnreadableCalendar

_ANYTHING = re.compile(rb"^BEGIN:V(?:EVENT|FREEBUSY|AVAILABILITY)\s*$", re.IGNORECASE | re.MULTILINE)


@dataclass(frozen=True)
class Subscription:
    """A calendar at an https or webcal address, which is treated as a secret.

    Only an answer that is a whole calendar replaces the last good copy in `access.copies`. Where there is no such
    answer, the copy is read, and that it is and how old it is becomes an oddity; without a copy the reading fails.
    """

    location: str = field(repr=False)
    name: str
    access: Access = field(default_factory=Access)
    limits: Limits = field(default_factory=Limits)

    def read(self, window: tuple[datetime, datetime], zone: ZoneInfo) -> Reading:
        """Return the events at the address that touch the window; see `Store.read`."""
        from calendars.reading import read_parts

        where = address(self.location, self.access)
        host = host_of(where)
        copy = None if self.access.copies is None else _Copy.at(self.access.copies, where.geturl())

        def understood(data: bytes) -> Reading:
            return read_parts([(host, data)], source=self.name, zone=zone, window=window)

        open_to_all = where.scheme == "http" and not is_loopback(host)
        told = [Oddity(self.name, "", f"{host} is read without encryption", file=host)] * open_to_all
        kept = copy.load() if copy else None
        try:
            answer = fetch(where, self.access, kept.tags if kept else Tags(), self.limits)
            if answer.data is None and kept:
                reading = understood(kept.data)
                kept.confirm()
            else:
                data = answer.data or b""
                reading = understood(data)
                _refuse_emptied(host, data, kept)
                if copy:
                    told += copy.keep(data, answer.tags, self.name, host)
        except CalendarError as error:
            if kept is None:
                raise
            reading = understood(kept.data)
            told.append(Oddity(self.name, "", f"{error}. Read instead: {kept.age(self.access.now, zone)}", file=host))
        return Reading(oddities=tuple(told)) + reading


def _refuse_emptied(host: str, data: bytes, kept: _Kept | None) -> None:
    """Raise UnreadableCalendar where a calendar that was full is empty now: a fault rather than a free fortnight."""
    if kept and _ANYTHING.search(kept.data) and not _ANYTHING.search(data):
        raise UnreadableCalendar(
            f"{host} sends a calendar without a single event, though it held some before; if it really ended, take it "
            "out of your calendars"
        )


@dataclass(frozen=True)
class _Kept:
    """A last good copy as it lies in its file, whose time is when it was last known to be good."""

    path: Path
    data: bytes
    tags: Tags
    good: datetime

    def confirm(self) -> None:
        """Note that the copy is still what the server has."""
        with suppress(OSError):
            os.utime(self.path)

    def age(self, now: datetime | None, zone: ZoneInfo) -> str:
        """Return when the copy was good, and how long ago that is."""
        said = f"the copy of {self.good.astimezone(zone):%Y-%m-%d %H:%M}"
        if now is None:
            return said
        hours = max(now - self.good, timedelta()) // timedelta(hours=1)
        if hours < 2:
            return f"{said}, not two hours old"
        return f"{said}, {hours // 24} days old" if hours >= 48 else f"{said}, {hours} hours old"


@dataclass(frozen=True)
class _Copy:
    """The file of a last good copy: a line of JSON with the tags and a digest, then the calendar as it came."""

    path: Path

    @classmethod
    def at(cls, folder: Path, address: str) -> _Copy:
        """Return the copy of an address; the name of its file tells nothing of it."""
        return cls(folder / f"{sha256(address.encode()).hexdigest()[:24]}.copy")

    def load(self) -> _Kept | None:
        """Return what is kept, None where there is nothing or it was damaged."""
        try:
            head, _, data = self.path.read_bytes().partition(b"\n")
            known = json.loads(head)
            if known["sha256"] != sha256(data).hexdigest():
                return None
            good = datetime.fromtimestamp(self.path.stat().st_mtime, UTC)
            return _Kept(self.path, data, Tags(**known["tags"]), good)
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def keep(self, data: bytes, tags: Tags, name: str, host: str) -> list[Oddity]:
        """Keep a good calendar whole; say so if that cannot be done."""
        from calendars.writing import write_file

        head = json.dumps({"tags": asdict(tags), "sha256": sha256(data).hexdigest()}).encode()
        try:
            self.path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            write_file(self.path, head + b"\n" + data)
        except (OSError, CalendarError):
            reason = f"no copy can be kept in {self.path.parent}: when {host} is down, nothing can be read"
            return [Oddity(name, "", reason, file=host)]
        return []
