"""What a CalDAV server's answers say, read strictly: one that is not whole says nothing, and never "no events"."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from urllib.parse import unquote, urljoin, urlsplit
from xml.etree import ElementTree

from calendars.canonical import canonical
from calendars.store import UnreadableCalendar

DAV = "{DAV:}"
CALDAV = "{urn:ietf:params:xml:ns:caldav}"

_LINE_BREAK = re.compile(rb"\r\n|\r|\n")


@dataclass(frozen=True)
class Member:
    """One <response> of a multistatus: whose, its status, and the properties that were found."""

    path: str
    status: int
    found: dict[str, ElementTree.Element]

    def text(self, tag: str) -> str:
        """Return the text of a property, or ""."""
        element = self.found.get(tag)
        return "" if element is None else (element.text or "")

    @property
    def types(self) -> frozenset[str]:
        """Return what kind of resource it is: the tags of its resourcetype."""
        element = self.found.get(f"{DAV}resourcetype")
        return frozenset() if element is None else frozenset(child.tag for child in element)

    @property
    def name(self) -> str:
        """Return the last segment of its path, as the server writes it."""
        return self.path.rstrip("/").rpartition("/")[2]

    @property
    def parent(self) -> str:
        """Return its path without the last segment."""
        return self.path.rstrip("/").rpartition("/")[0]


def xml(body: bytes) -> ElementTree.Element:
    """Return the root of a document. Raises UnreadableCalendar for what is cut off, no XML, or declares entities."""
    if b"<!DOCTYPE" in body or b"<!ENTITY" in body:
        raise UnreadableCalendar("answers with a web page or worse, not with a calendar")
    try:
        return ElementTree.fromstring(body)
    except (ElementTree.ParseError, ValueError, LookupError):
        raise UnreadableCalendar("answers with something that is cut off or no XML") from None


def members(body: bytes, url: str) -> tuple[Member, ...]:
    """Return the responses of a multistatus. Raises UnreadableCalendar where it is none, or is not all there is.

    url: the address that answered, for paths that are relative.
    """
    root = xml(body)
    if root.tag != f"{DAV}multistatus":
        raise UnreadableCalendar("answers with something else than was asked")
    found = []
    for response in root.findall(f"{DAV}response"):
        href = (response.findtext(f"{DAV}href") or "").strip()
        if not href:
            raise UnreadableCalendar("answers without saying of which entry it speaks")
        status = _status(response.findtext(f"{DAV}status"))
        if status == 507:
            raise UnreadableCalendar("gives only a part of what it holds")
        found.append(Member(urlsplit(urljoin(url, href)).path, status, _found(response)))
    return tuple(found)


def same_path(one: str, other: str) -> bool:
    """Whether two paths name the same, however they are quoted."""
    return unquote(one).rstrip("/") == unquote(other).rstrip("/")


def strong(etag: str | None) -> str:
    """Return the tag if it is a strong one, else ""."""
    tag = (etag or "").strip()
    return tag if re.fullmatch(r'"[\x21\x23-\x7e\x80-\xff]*"', tag) else ""


def content_tag(data: bytes) -> str:
    """Return a tag made of what the data says, for servers that give none."""
    return f"content:{hashlib.sha256(repr(canonical(data)).encode()).hexdigest()}"


def calendar_data(data: bytes) -> bytes:
    """Return iCalendar text with the line breaks it should have. Raises UnreadableCalendar if it is no whole one."""
    lines = _LINE_BREAK.split(data.removeprefix(b"\xef\xbb\xbf").strip())
    if lines[0].strip().upper() != b"BEGIN:VCALENDAR":
        raise UnreadableCalendar("answers with a web page or the like, not with a calendar")
    if lines[-1].strip().upper() != b"END:VCALENDAR":
        raise UnreadableCalendar("answers with an entry that is cut off")
    return b"\r\n".join(lines) + b"\r\n"


def _found(response: ElementTree.Element) -> dict[str, ElementTree.Element]:
    """Return the properties of the propstats that went well; one that the server failed at is an error, not absent."""
    found: dict[str, ElementTree.Element] = {}
    for propstat in response.findall(f"{DAV}propstat"):
        status = _status(propstat.findtext(f"{DAV}status"))
        if status >= 500:
            raise UnreadableCalendar(f"fails at a part of what was asked ({status})")
        if 200 <= status < 300:
            found.update((child.tag, child) for prop in propstat.findall(f"{DAV}prop") for child in prop)
    return found


def _status(text: str | None) -> int:
    """Return the number in "HTTP/1.1 404 Not Found", 200 where nothing is said."""
    if text is None or not text.strip():
        return 200
    match = re.fullmatch(r"HTTP/[\d.]+\s+(\d{3})(?:\s.*)?", text.strip())
    if match is None:
        raise UnreadableCalendar("answers with a status that is none")
    return int(match[1])
