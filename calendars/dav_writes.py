"""Writing one resource to a CalDAV server so that no write is lost, made twice, or made over another's.

Sent once, under a condition. Believed made if the server says 201 or 204 (RFC 9110, 9.3.4); after every other answer,
and after none, the resource is looked at: what is there decides. Where that cannot be seen either, a clear no
(4xx, or come back at a time given) is believed, and everything else is `Unsure`.
"""

from __future__ import annotations

from typing import TypeGuard

from caldav.lib.error import UID_CONFLICT_PRECONDITIONS, parse_preconditions

from calendars.canonical import same, says, uids
from calendars.dav_answers import strong
from calendars.dav_line import Line
from calendars.dav_replies import Answer, NoReply
from calendars.store import Busy, CalendarError, Changed, Held, Refused, Unsure, Writable, is_safe

_TEXT = {"Content-Type": 'text/calendar; charset="utf-8"'}


def put(store: Writable, line: Line, url: str, resource: str, data: bytes, etag: str | None) -> Held:
    """Write one resource; see `Writable.put`. store: to look with; line, url: to send with."""
    if etag is None and not is_safe(resource):
        raise CalendarError(f"{line.name}: a new entry cannot be called {resource!r}. Nothing was written")
    condition = {"If-None-Match": "*"} if etag is None else _condition(store, line, resource, etag)
    said = _sent(line, "PUT", url, data, {**_TEXT, **condition})
    if _taken(said):
        tag = strong(said.headers.get("ETag"))
        return Held(resource, tag, data) if tag and said.status != 200 else _seen(store, line, resource, data, etag)
    there = _looked(store, line, resource, said)
    if there is not None and (
        same(there.data, data) or (_is_open(said) and there.etag != etag and says(there.data, data))
    ):
        return there
    if there is None and etag is None:
        raise _not_made(line, said)
    if there is not None and there.etag == etag:
        raise _not_made(line, said)
    what = "is there already" if etag is None else "was changed by another" if there else "was taken away by another"
    raise Changed(f"{line.place}: the entry {what}. Nothing was written")


def delete(store: Writable, line: Line, url: str, resource: str, etag: str) -> None:
    """Take one resource away; see `Writable.delete`. store: to look with; line, url: to send with."""
    if not strong(etag) and store.get(resource) is None:
        return
    said = _sent(line, "DELETE", url, b"", _condition(store, line, resource, etag))
    if isinstance(said, Answer) and said.status == 204:
        return
    there = _looked(store, line, resource, said)
    if there is None:
        return
    if there.etag == etag:
        raise _not_made(line, said)
    raise Changed(f"{line.place}: the entry was changed by another. It was not taken away")


def _condition(store: Writable, line: Line, resource: str, etag: str) -> dict[str, str]:
    """Return the condition to write under. A server without strong tags knows none, so the content is compared here."""
    if strong(etag):
        return {"If-Match": etag}
    there = store.get(resource)
    if there is None or there.etag != etag:
        what = "was taken away" if there is None else "was changed"
        raise Changed(f"{line.place}: the entry {what} by another. Nothing was written")
    return {"If-Match": "*"}


def _sent(line: Line, method: str, url: str, data: bytes, headers: dict[str, str]) -> Answer | NoReply:
    """Send once, and return the answer or why there is none. Raises where it is certain that nothing arrived."""
    try:
        said = line.send(method, url, data, headers)
    except NoReply as lost:
        if not lost.sent:
            raise CalendarError(f"{line.place} cannot be written: {lost}") from None
        return lost
    if said.status == 429:
        raise line.refusal(said, doing="written")
    return said


def _taken(said: Answer | NoReply) -> TypeGuard[Answer]:
    """Whether the server says that the write was made. A web page with 200 comes from something that is no server."""
    return isinstance(said, Answer) and said.status in (200, 201, 204) and not _is_page(said)


def _is_page(said: Answer) -> bool:
    return "html" in said.headers.get("Content-Type", "").casefold()


def _seen(store: Writable, line: Line, resource: str, data: bytes, etag: str | None) -> Held:
    """Return what is there after a write without a strong tag; the server may have put it into a form of its own."""
    try:
        there = store.get(resource)
    except CalendarError as error:
        raise Unsure(f"{line.place} took an entry but does not show it: {error}") from None
    if there is None or not uids(data) <= uids(there.data) or (there.etag == etag and not same(there.data, data)):
        raise Unsure(f"{line.place} took an entry, but it is not there yet; look again later")
    return there


def _looked(store: Writable, line: Line, resource: str, said: Answer | NoReply) -> Held | None:
    """Return what is there after a write that may not have been made. Raises where that cannot be seen."""
    try:
        return store.get(resource)
    except CalendarError as error:
        if isinstance(said, Answer) and _is_clear_no(said):
            raise _not_made(line, said) from None
        raise Unsure(f"{line.place}: whether an entry was written is not known: {error}") from None


def _is_open(said: Answer | NoReply) -> bool:
    """Whether the write may have been made, and what is there be ours with what the server added to it."""
    return isinstance(said, NoReply) or not _is_clear_no(said)


def _is_clear_no(said: Answer) -> bool:
    """Whether an answer alone says that nothing was written: refused, or not now but at a time given."""
    if said.status == 503:
        return "Retry-After" in said.headers
    return 400 <= said.status < 500 and said.status != 408


def _not_made(line: Line, said: Answer | NoReply) -> CalendarError:
    """Return the error for a write that was not made, or not yet."""
    if isinstance(said, NoReply):
        if said.late:
            return Unsure(f"{line.place}: {said}; the entry is not there, but may still come. Look again later")
        return CalendarError(f"{line.place}: {said}. Nothing was written")
    if 200 <= said.status < 300 and _is_page(said):
        return CalendarError(f"{line.place}: a web page answered instead of the calendar. Nothing was written")
    if 200 <= said.status < 300:
        return Unsure(f"{line.place} says that it did what was asked, but it did not; look again later")
    if said.status in (408, 504):
        return Unsure(
            f"{line.place} did not finish in time ({said.status}); the entry may still come. Look again later"
        )
    if UID_CONFLICT_PRECONDITIONS & set(parse_preconditions(said.body)):
        return Refused(f"{line.place} has another entry of the same UID, perhaps in its trash. Nothing was written")
    error = line.refusal(said, doing="written")
    return error if isinstance(error, Busy | Refused) or said.status >= 500 else Refused(str(error))
