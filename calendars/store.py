"""Where calendars are kept: what every store can do, how it fails, and the table of kinds.

A new kind of store is one module and one row of KINDS.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from importlib import import_module
from typing import Protocol
from zoneinfo import ZoneInfo

from calendars.event import Reading


class CalendarError(Exception):
    """A calendar cannot be read or written. `str(error)` says which, why, and what to do, in words for a person."""


class UnreadableCalendar(CalendarError):
    """The source is there, but what it holds is not a whole calendar: empty, cut off, too large, or something else."""


class MissingCalendar(CalendarError):
    """There is nothing at the place given."""


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


def _from(module: str, factory: str) -> Callable[[str, str], Store]:
    """Return a maker of stores that imports its module only when used."""

    def make(location: str, name: str) -> Store:
        store: Store = getattr(import_module(module), factory)(location, name)
        return store

    return make


KINDS: dict[str, Callable[[str, str], Store]] = {
    "file": _from("calendars.folder", "IcsFile"),
    "folder": _from("calendars.folder", "IcsFolder"),
}
"""Kind of store: a maker that takes a location and a name."""


def open_store(kind: str, location: str, name: str) -> Store:
    """Return the store of this kind at this location. Nothing is read yet. Raises CalendarError for an unknown kind."""
    if kind not in KINDS:
        raise CalendarError(f'{name}: there is no kind of calendar called "{kind}"; write one of: {", ".join(KINDS)}')
    return KINDS[kind](location, name)
