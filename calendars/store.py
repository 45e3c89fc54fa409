"""Where calendars are kept: what every store can do, how it fails, and the tables of kinds.

A new kind of store is one module and one row of KINDS; one that can be written has a row in WRITABLE as well.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from importlib import import_module
from pathlib import Path
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from calendars.event import Reading


class CalendarError(Exception):
    """A calendar cannot be read or written. `str(error)` says which, why, and what to do, in words for a person.

    Raised by a write as it is, and not as one of the kinds below, it says that nothing was written.
    """


class UnreadableCalendar(CalendarError):
    """The source is there, but what it holds is not a whole calendar: empty, cut off, too large, or something else."""


class MissingCalendar(CalendarError):
    """There is nothing at the place given."""


class Changed(CalendarError):
    """The resource is not as the tag says: changed by another, there already, or gone. Nothing was written."""


class Refused(CalendarError):
    """The store does not allow it: wrong password, no right to write, not accepted. Nothing was written."""


class Busy(CalendarError):
    """The server asks to come back later. Nothing was written. retry_after: seconds to wait, where it says so."""

    def __init__(self, message: str, retry_after: int | None = None) -> None:
        super().__init__(message)
        self.retry_after = retry_after


class Unsure(CalendarError):
    """Whether a write took effect is not known even after looking. Look again before anything else is written."""


class Store(Protocol):
    """A calendar that can be read."""

    @property
    def name(self) -> str:
        """What the household calls it."""
        ...

    def read(self, window: tuple[datetime, datetime], zone: ZoneInfo) -> Reading:
        """Return every event that touches the window (aware datetimes, half-open), with what was odd.

        zone: the household's, for times that name none. Raises CalendarError; never returns an empty reading for a
        source that could not be read.
        """
        ...


@dataclass(frozen=True)
class Held:
    """One resource of a calendar that can be written: as a rule one UID with all its components.

    resource: the store's own safe name of it, the last segment of its address or its file name. etag: a tag that
    changes with the content, never ""; where a server gives no strong one it is made from the content, and the store
    looks and compares before it writes under it. data: what is held, which a server may have put into its own form:
    compare with `calendars.canonical`, never by bytes.
    """

    resource: str
    etag: str
    data: bytes


class Writable(Store, Protocol):
    """A calendar whose resources can be written one at a time, each under the tag it was last seen with.

    Every method raises CalendarError or one of its kinds, nothing else. A write that ends without an error was made;
    one that raises Unsure may have been; any other error says that it was not.
    """

    def held(self) -> tuple[Held, ...]:
        """Return every resource, by name. Raises rather than leave out one that cannot be read."""
        ...

    def get(self, resource: str) -> Held | None:
        """Return the resource as it is now, None if there is none. Never None for one that could not be looked at."""
        ...

    def put(self, resource: str, data: bytes, etag: str | None) -> Held:
        """Write one resource and return it as held now.

        etag: as last seen, or None if there must be none of this name yet. Raises Changed, Refused, Busy, Unsure. Where
        the very same is there already, as after a reply that was lost, that is well and what is there is returned.
        """
        ...

    def delete(self, resource: str, etag: str) -> None:
        """Take one resource away; gone already is as well. etag: as last seen. Raises as `put` does."""
        ...


@dataclass(frozen=True)
class Access:
    """How to get at a calendar that is not a file. Passwords are asked for when needed and shown by nothing.

    password: returns it, or raises CalendarError. plain_http: allow http without encryption to another machine.
    copies: a folder for the last good copies of calendars that are read from afar. now: to tell the age of such a copy.
    """

    user: str = ""
    password: Callable[[], str] | None = field(default=None, repr=False)
    plain_http: bool = False
    copies: Path | None = None
    now: datetime | None = None


def _local(module: str, factory: str) -> Callable[[str, str, Access], Any]:
    """Return a maker of stores in the file system that imports its module only when used."""
    return lambda location, name, _: getattr(import_module(module), factory)(location, name)


def _remote(module: str, factory: str) -> Callable[[str, str, Access], Any]:
    """Return a maker of stores that are reached over the network, importing its module only when used."""
    return lambda location, name, access: getattr(import_module(module), factory)(location, name, access)


KINDS: dict[str, Callable[[str, str, Access], Store]] = {
    "file": _local("calendars.folder", "IcsFile"),
    "folder": _local("calendars.folder", "IcsFolder"),
    "subscription": _remote("calendars.subscription", "Subscription"),
    "caldav": _remote("calendars.dav", "DavCalendar"),
}
"""Kind of store: a maker that takes a location, a name and how to get at it."""

WRITABLE: dict[str, Callable[[str, str, Access], Writable]] = {
    "folder": _local("calendars.folder", "IcsFolder"),
    "caldav": _remote("calendars.dav", "DavCalendar"),
}
"""Kinds of store that can be written."""


def open_store(kind: str, location: str, name: str, access: Access = Access()) -> Store:
    """Return the store of this kind at this location. Nothing is read yet. Raises CalendarError for an unknown kind."""
    if kind not in KINDS:
        raise CalendarError(f'{name}: there is no kind of calendar called "{kind}"; write one of: {", ".join(KINDS)}')
    return KINDS[kind](location, name, access)


def open_writable(kind: str, location: str, name: str, access: Access = Access()) -> Writable:
    """Return the store to write to. Nothing is read yet. Raises CalendarError for a kind that cannot be written."""
    if kind not in WRITABLE:
        known = ", ".join(WRITABLE)
        raise CalendarError(f'{name}: a calendar of the kind "{kind}" cannot be written; use one of: {known}')
    return WRITABLE[kind](location, name, access)


_SAFE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,79}\.ics")


def resource_for(uid: str) -> str:
    """Return the name of the resource a new entry of this UID is written to: short, safe everywhere, always the same.

    No part of the UID is in it: servers fail on odd or long names. Being always the same, a create that is sent twice
    meets its own first try rather than making a second entry.
    """
    return f"{hashlib.sha256(uid.encode()).hexdigest()[:32]}.ics"


def is_safe(resource: str) -> bool:
    """Whether a new resource may have this name."""
    return _SAFE.fullmatch(resource) is not None
