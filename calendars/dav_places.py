"""Which calendars there are on a CalDAV server, and making one. Found by the `caldav` package, over our own line."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar
from urllib.parse import urljoin

from caldav.lib.error import NotFoundError

from calendars.dav_answers import DAV
from calendars.dav_line import Line
from calendars.dav_replies import NoReply
from calendars.store import Access, CalendarError, Changed, MissingCalendar, UnreadableCalendar
from calendars.text import clean

T = TypeVar("T")
MOST_LISTED = 20


@dataclass(frozen=True)
class Place:
    """A calendar on a server: its address, as a household writes it down, and what its owner calls it."""

    address: str
    title: str

    def __str__(self) -> str:
        """Return both on one line."""
        return f"{clean(self.address)} ({clean(self.title, 80)})" if self.title else clean(self.address)


def calendars_at(location: str, name: str, access: Access) -> tuple[Place, ...]:
    """Return the calendars of whom `access` signs in, as found from any address of the server.

    Raises CalendarError where the server does not say.
    """
    try:
        return _found(Line(location, name, access))
    except MissingCalendar:  # not an address of it, but RFC 6764 has one that every server should know
        return _found(Line(urljoin(location, "/.well-known/caldav"), name, access))


def choice(location: str, name: str, access: Access) -> str:
    """Return what to write instead of an address that is no calendar's, in words for a person."""
    try:
        places = calendars_at(location, name, access)
    except CalendarError:
        places = ()
    if not places:
        return "look up the address of the calendar on the server's pages"
    listed = "\n  ".join(str(place) for place in places[:MOST_LISTED])
    return f"write the address of one of its calendars:\n  {listed}"


def make_calendar(location: str, title: str, name: str, access: Access, *, tasks: bool = False) -> str:
    """Make an empty calendar on the server that `location` is an address of, and return the new calendar's address.

    title: what calendar programs show. name: what messages call it. tasks: whether it should hold VTODOs as well as
    events, which not every server allows. Raises Changed if there is one of this title, CalendarError otherwise.
    """
    line = Line(location, name, access)
    for place in _found(line):
        if place.title == title:
            raise Changed(f"{line.place}: there is a calendar called {clean(title)} already, at {clean(place.address)}")
    kinds = ["VEVENT", "VTODO"] if tasks else ["VEVENT"]
    address = f"bread-{secrets.token_hex(6)}"
    made: Any = _asked(line, lambda: line.get_principal().make_calendar(title, address, kinds), "cannot be made")
    return str(made.url)


def _found(line: Line) -> tuple[Place, ...]:
    calendars = _asked(line, lambda: line.get_calendars(line.get_principal()), "cannot be looked for")
    return tuple(Place(str(each.url), str(each.props.get(f"{DAV}displayname") or "")) for each in calendars)


def _asked(line: Line, what: Callable[[], T], failed: str) -> T:
    """Return what the package found. Its errors are of many libraries, and its assertions are errors of the server."""
    try:
        return what()
    except CalendarError:
        raise
    except NoReply as error:
        raise CalendarError(f"{line.place} {failed}: {error}") from None
    except NotFoundError:
        raise MissingCalendar(f"{line.place} {failed}: there is nothing at its address; check the address") from None
    except Exception as error:  # whatever it stumbled over, the server's answer was the cause
        raise UnreadableCalendar(
            f"{line.place} {failed}: the server answers in a way that makes no sense ({type(error).__name__})"
        ) from None
