"""A calendar on a CalDAV server (RFC 4791), read and written.

Every write is conditional, under a name of our own, sent once, and believed only if the server says clearly that it was
made; otherwise what is there decides. No answer reads as an empty calendar that does not name the calendar itself.
Changes are found by comparing tags of everything held (no sync tokens): a calendar of our own is small.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from urllib.parse import urlsplit, urlunsplit
from xml.sax.saxutils import escape
from zoneinfo import ZoneInfo

from calendars.dav_answers import CALDAV, DAV, Member, calendar_data, content_tag, members, same_path, strong
from calendars.dav_line import Line
from calendars.dav_places import choice
from calendars.dav_replies import Answer
from calendars.event import Oddity, Reading
from calendars.fetch import is_loopback
from calendars.scan import LARGEST_FILE_BYTES
from calendars.store import Access, Busy, CalendarError, Held, MissingCalendar, UnreadableCalendar

MOST_ENTRIES = 20_000
AT_ONCE = 50
"""How many entries are asked for in one request."""
SLACK = timedelta(hours=26)
"""Servers read times without a zone, and whole days, in a zone of their own."""

_NAMED = re.compile(r"[^\s/?#\x00-\x1f\x7f]+")
_XML = {"Content-Type": 'application/xml; charset="utf-8"'}
_SPACES = 'xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"'
_PROPFIND = (
    f"<D:propfind {_SPACES}><D:prop><D:resourcetype/><D:getetag/><C:supported-calendar-component-set/>"
    "</D:prop></D:propfind>"
)
_WITH_DATA = "<D:prop><D:getetag/><C:calendar-data/></D:prop>"


class DavCalendar:
    """One calendar of a server. Nothing is asked before it is needed, and the password only if the server wants it."""

    def __init__(self, location: str, name: str, access: Access) -> None:
        self.name = name
        self._location = location
        self._access = access
        self._line = Line(location, name, access)
        self._url = ""
        self._components: frozenset[str] = frozenset()

    def __repr__(self) -> str:
        """Return which calendar this is, without address or password."""
        return f"DavCalendar({self.name!r}, {self._line.host!r})"

    @property
    def warnings(self) -> tuple[str, ...]:
        """What the family should know before anything is sent: that the line is not encrypted."""
        parts = urlsplit(self._location)
        if parts.scheme != "http" or is_loopback(parts.hostname or ""):
            return ()
        return (f"{self._line.place} is reached over http: everybody on the way can read calendar and password",)

    def components(self) -> frozenset[str]:
        """Return what the calendar takes, as in {"VEVENT", "VTODO"}. A server that does not say takes events."""
        self._collection()
        return self._components or frozenset({"VEVENT"})

    def read(self, window: tuple[datetime, datetime], zone: ZoneInfo) -> Reading:
        """Return the events that touch the window; see `Store.read`.

        The server is asked for the window. If it cannot do that, or says that there is nothing, everything is read.
        """
        from calendars.reading import read_parts

        odd = [Oddity(self.name, "", warning) for warning in self.warnings]
        try:
            parts = self._in_window(window)
        except Busy:
            raise
        except CalendarError:
            parts = []
        if not parts:
            parts = [(member.name, data) for member, data in self._whole()]
            if not parts:
                odd.append(Oddity(self.name, "", f"{self._line.place} holds nothing yet"))
        return read_parts(parts, source=self.name, zone=zone, window=window) + Reading(oddities=tuple(odd))

    def held(self) -> tuple[Held, ...]:
        """Return every resource; see `Writable.held`."""
        found = (self._as_held(member.name, member.text(f"{DAV}getetag"), data) for member, data in self._whole())
        return tuple(sorted(found, key=lambda each: each.resource))

    def get(self, resource: str) -> Held | None:
        """Return one resource; see `Writable.get`."""
        answer = self._answer(resource)
        return None if answer is None else self._as_held(resource, answer.headers.get("ETag"), answer.body)

    def put(self, resource: str, data: bytes, etag: str | None) -> Held:
        """Write one resource; see `Writable.put`."""
        from calendars.dav_writes import put

        return put(self, self._line, self._address(resource), resource, data, etag)

    def delete(self, resource: str, etag: str) -> None:
        """Take one resource away; see `Writable.delete`."""
        from calendars.dav_writes import delete

        delete(self, self._line, self._address(resource), resource, etag)

    def _answer(self, resource: str) -> Answer | None:
        """Return what the server answers when asked for one resource, None if there is none."""
        answer = self._line.ask("GET", self._address(resource), headers={"Accept": "text/calendar"})
        if answer.status in (404, 410):  # which is only true of a calendar that is there, and does not list it
            if any(each.name == resource and 200 <= each.status < 300 for each in self._listed()):
                raise self._unreadable("lists an entry, but does not show it")
            return None
        if answer.status != 200:
            raise self._line.refusal(answer)
        return answer

    def _as_held(self, resource: str, etag: str | None, data: bytes) -> Held:
        try:
            text = calendar_data(data)
        except UnreadableCalendar as error:
            raise self._unreadable(error) from None
        return Held(resource, strong(etag) or content_tag(text), text)

    def _address(self, resource: str) -> str:
        """Return where a resource is. Its name cannot lead out of the calendar."""
        if not _NAMED.fullmatch(resource) or resource in (".", ".."):
            raise CalendarError(f"{self.name}: an entry cannot be called {resource!r}")
        return self._collection() + resource

    def _collection(self) -> str:
        """Return the address of the calendar, with a slash at its end, once the server has said that it is one."""
        if not self._url:
            self._ask_collection()
        return self._url

    def _ask_collection(self) -> None:
        """Ask whether there is a calendar, and what it takes. Raises CalendarError if there is none."""
        self._the_calendar(*self._asked_about(self._url or self._location, depth="0"))

    def _asked_about(self, url: str, depth: str) -> tuple[Answer, tuple[Member, ...]]:
        """Ask for properties and return the answer and what it says."""
        return self._multistatus("PROPFIND", url, _PROPFIND, depth)

    def _the_calendar(self, answer: Answer, found: Sequence[Member]) -> Member:
        """Return what the answer says of the calendar itself, and note it. Raises CalendarError if it says nothing."""
        path = urlsplit(answer.url).path
        itself = next((member for member in found if same_path(member.path, path)), None)
        if itself is not None and itself.status in (404, 410):
            raise MissingCalendar(
                f"{self._line.place} cannot be read: there is nothing at its address; check the address"
            )
        if itself is None or not 200 <= itself.status < 300 or f"{DAV}resourcetype" not in itself.found:
            raise self._unreadable("answers, but says nothing of the calendar itself; nothing it says can be trusted")
        if f"{CALDAV}calendar" not in itself.types:
            raise MissingCalendar(
                f"{self.name}: this address on {self._line.host} is no calendar's; "
                + choice(self._location, self.name, self._access)
            )
        kinds = itself.found.get(f"{CALDAV}supported-calendar-component-set")
        self._components = frozenset() if kinds is None else frozenset(kind.get("name", "").upper() for kind in kinds)
        parts = urlsplit(answer.url)
        self._url = urlunsplit((parts.scheme, parts.netloc, parts.path.rstrip("/") + "/", "", ""))
        return itself

    def _listed(self) -> list[Member]:
        """Return every entry of the calendar without its text."""
        answer, found = self._asked_about(self._collection(), depth="1")
        itself = self._the_calendar(answer, found)
        return [each for each in found if each is not itself and f"{DAV}collection" not in each.types]

    def _whole(self) -> Iterator[tuple[Member, bytes]]:
        """Yield every entry of the calendar with its tag and its text. Raises rather than leave one out."""
        entries = self._listed()
        if len(entries) > MOST_ENTRIES:
            raise self._unreadable(f"holds {len(entries)} entries; at most {MOST_ENTRIES} are read")
        if any(not 200 <= each.status < 300 for each in entries):
            raise self._unreadable("holds entries that it does not show")
        size = 0
        for start in range(0, len(entries), AT_ONCE):
            for member, data in self._texts(entries[start : start + AT_ONCE]):
                size += len(data)
                if size > LARGEST_FILE_BYTES:
                    raise self._unreadable(f"has more than {LARGEST_FILE_BYTES // 1_000_000} MB")
                yield member, data

    def _texts(self, entries: Sequence[Member]) -> Iterator[tuple[Member, bytes]]:
        """Yield the entries with their texts: asked for together, and one by one where that does not give them."""
        hrefs = "".join(f"<D:href>{escape(each.path)}</D:href>" for each in entries)
        body = f"<C:calendar-multiget {_SPACES}>{_WITH_DATA}{hrefs}</C:calendar-multiget>"
        try:
            _, found = self._multistatus("REPORT", self._url, body, "1")
        except Busy:
            raise
        except CalendarError:
            found = ()
        whole = {each.name: each for each in found if self._has_text(each)}
        for entry in entries:
            if (member := whole.get(entry.name)) is not None:
                yield member, member.text(f"{CALDAV}calendar-data").encode()
            elif (answer := self._answer(entry.name)) is not None:
                yield entry, answer.body

    def _in_window(self, window: tuple[datetime, datetime]) -> list[tuple[str, bytes]]:
        """Return the name and text of each entry with an event that may touch the window, as the server sees it."""
        start, end = (f"{at.astimezone(UTC):%Y%m%dT%H%M%SZ}" for at in (window[0] - SLACK, window[1] + SLACK))
        body = (
            f'<C:calendar-query {_SPACES}>{_WITH_DATA}<C:filter><C:comp-filter name="VCALENDAR">'
            f'<C:comp-filter name="VEVENT"><C:time-range start="{start}" end="{end}"/></C:comp-filter>'
            "</C:comp-filter></C:filter></C:calendar-query>"
        )
        _, found = self._multistatus("REPORT", self._collection(), body, "1")
        if any(each.status != 404 and not self._has_text(each) for each in found):
            raise self._unreadable("names entries that it does not show")
        return [(each.name, each.text(f"{CALDAV}calendar-data").encode()) for each in found if each.status != 404]

    def _multistatus(self, method: str, url: str, body: str, depth: str) -> tuple[Answer, tuple[Member, ...]]:
        """Ask, and return the answer and its parts. Raises CalendarError for every other answer."""
        answer = self._line.ask(method, url, body.encode(), {**_XML, "Depth": depth})
        if answer.status != 207:
            if 200 <= answer.status < 300:
                raise self._unreadable("answers with a web page or the like; does something on the way ask to sign in?")
            raise self._line.refusal(answer)
        try:
            found = members(answer.body, answer.url)
        except UnreadableCalendar as error:
            raise self._unreadable(error) from None
        home = urlsplit(answer.url).path
        if not all(same_path(home, each.path) or same_path(home, each.parent) for each in found):
            raise self._unreadable("speaks of entries that are not in this calendar")
        return answer, found

    def _has_text(self, member: Member) -> bool:
        return 200 <= member.status < 300 and bool(member.text(f"{CALDAV}calendar-data").strip())

    def _unreadable(self, what: object) -> UnreadableCalendar:
        return UnreadableCalendar(f"{self._line.place} {what}")
