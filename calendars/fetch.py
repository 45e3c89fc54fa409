"""Fetches one document by https, within limits of time, size and redirects. Of the address only its host is told."""

from __future__ import annotations

import threading
import time
import zlib
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from dataclasses import dataclass
from ipaddress import ip_address
from typing import TYPE_CHECKING, Any, TypeVar
from urllib.parse import SplitResult, urljoin, urlsplit, urlunsplit

from calendars.scan import LARGEST_FILE_BYTES
from calendars.store import Access, Busy, CalendarError, MissingCalendar, Refused, UnreadableCalendar
from calendars.text import clean

if TYPE_CHECKING:
    import niquests

T = TypeVar("T")
_CHUNK = 65_536
_MOVED = frozenset({301, 302, 303, 307, 308})


@dataclass(frozen=True)
class Limits:
    """Seconds to connect, of silence, and for everything together; bytes of an answer; how often it may redirect."""

    connect: float = 10
    silence: float = 20
    total: float = 60
    size: int = LARGEST_FILE_BYTES
    redirects: int = 5


@dataclass(frozen=True)
class Tags:
    """What a server gave with a document, to ask later whether it changed: ETag and Last-Modified, "" for none."""

    etag: str = ""
    modified: str = ""


@dataclass(frozen=True)
class Answer:
    """data: None where nothing changed since the tags sent."""

    data: bytes | None
    tags: Tags


def address(location: str, access: Access) -> SplitResult:
    """Return a web address taken apart, webcal as https. Raises CalendarError for one that may not be used."""
    try:
        split = urlsplit(location.strip())
        host, _ = split.hostname, split.port
    except ValueError:
        host = None
    if not host:
        raise CalendarError("the address cannot be read; write it like https://calendar.example.org/family.ics")
    if split.scheme in ("webcal", "webcals"):
        split = split._replace(scheme="https")
    if split.username is not None or split.password is not None:
        raise CalendarError(
            f"the address at {host_of(split)} has a password in it; write user and password_from instead"
        )
    if split.scheme == "http" and not (access.plain_http or is_loopback(host)):
        raise CalendarError(
            f"the address at {host_of(split)} is not encrypted; write https, or allow it with plain_http = true"
        )
    if split.scheme not in ("http", "https"):
        raise CalendarError(f"an address begins with https:// or webcal://, not with {clean(split.scheme, 20)}:")
    return split._replace(fragment="")


def host_of(split: SplitResult) -> str:
    """Return the host of an address: all of it that is ever shown."""
    return clean(split.hostname or "?", 100)


def is_loopback(host: str) -> bool:
    """Whether the host is this machine."""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")


def fetch(where: SplitResult, access: Access, known: Tags = Tags(), limits: Limits = Limits()) -> Answer:
    """Return the document at an address of `address`, or that it did not change since `known`.

    Raises CalendarError and its kinds; none says more of the address than its host.
    """
    import niquests  # noqa: F401 loaded here, so that the time it takes is not counted as the server's

    user = (access.user, access.password() if access.password else "") if access.user else None
    deadline = time.monotonic() + limits.total
    return _within(limits.total, host_of(where), lambda: _follow(where, access, user, known, limits, deadline))


def in_background(work: Callable[[], T]) -> Future[T]:
    """Start the work in a thread of its own, which keeps nobody from leaving, and return what it will come to."""
    done: Future[T] = Future()

    def run() -> None:
        try:
            done.set_result(work())
        except BaseException as error:
            done.set_exception(error)

    threading.Thread(target=run, daemon=True).start()
    return done


def _within(seconds: float, host: str, work: Callable[[], T]) -> T:
    """Return what the work gives. A server that trickles its headers can hold a connection for ever, but not us."""
    try:
        return in_background(work).result(timeout=seconds + 1)
    except TimeoutError:
        raise _too_slow(host, seconds) from None


def _too_slow(host: str, seconds: float) -> CalendarError:
    return CalendarError(f"{host} did not send everything within {seconds:g} s")


def _follow(
    where: SplitResult, access: Access, user: tuple[str, str] | None, known: Tags, limits: Limits, deadline: float
) -> Answer:
    """Return the answer at the end of the redirects. A password goes to the origin it is meant for, and no other."""
    import niquests
    from niquests.packages import urllib3

    first, at = where, where
    with niquests.Session(disable_http3=True) as session:
        for _ in range(limits.redirects + 1):
            headers = {"Accept": "text/calendar, */*;q=0.5", "Accept-Encoding": "gzip", "User-Agent": "bread-rotation"}
            headers |= {"If-None-Match": known.etag} if known.etag else {}
            headers |= {"If-Modified-Since": known.modified} if known.modified else {}
            auth: Any = user if user and _origin(at) == _origin(first) else _nobody
            try:
                with session.get(
                    urlunsplit(at),
                    headers=headers,
                    auth=auth,
                    stream=True,
                    allow_redirects=False,
                    timeout=(limits.connect, limits.silence),
                ) as response:
                    if response.status_code not in _MOVED:
                        return _answer(response, host_of(at), known, limits, deadline)
                    at = _next(at, _header(response, "Location"), access)
            except (niquests.exceptions.RequestException, urllib3.exceptions.HTTPError, OSError) as error:
                raise CalendarError(f"{host_of(at)} {_why(error)}") from None
    raise UnreadableCalendar(f"{host_of(where)} redirects more than {limits.redirects} times")


def _nobody(request: T) -> T:
    """Log nobody in: without this, a password file of the user's would be looked through."""
    return request


def _origin(split: SplitResult) -> tuple[str, str | None, int | None]:
    return split.scheme, split.hostname, split.port


def _next(at: SplitResult, target: str, access: Access) -> SplitResult:
    """Return where a redirect leads. Raises UnreadableCalendar where that is nowhere one may go."""
    if not target:
        raise UnreadableCalendar(f"{host_of(at)} redirects without saying where to")
    try:
        to = address(urljoin(urlunsplit(at), target), access)
    except (CalendarError, ValueError):
        raise UnreadableCalendar(f"{host_of(at)} redirects to an address that may not be used") from None
    if at.scheme == "https" and to.scheme != "https":
        raise UnreadableCalendar(f"{host_of(at)} redirects from https to http, which is not followed")
    return to


def _answer(response: niquests.Response, host: str, known: Tags, limits: Limits, deadline: float) -> Answer:
    """Return what a server says at last. Raises for everything but a document or "not modified"."""
    status = response.status_code or 0
    tags = Tags(_header(response, "ETag"), _header(response, "Last-Modified"))
    if status == 304 and known != Tags():
        return Answer(None, tags if tags != Tags() else known)
    if status in (401, 403):
        raise Refused(f"{host} does not let us in ({status}); look at the address, user and password_from")
    if status in (404, 410):
        raise MissingCalendar(f"{host} has no such calendar ({status}); copy its address again")
    if status in (429, 503):
        after = _header(response, "Retry-After")
        raise Busy(f"{host} is busy ({status}); try again later", int(after) if after.isdecimal() else None)
    if status != 200:
        raise CalendarError(f"{host} answers with status {status} instead of a calendar")
    return Answer(b"".join(_body(response, host, limits, deadline)), tags)


def _header(response: niquests.Response, name: str) -> str:
    """Return a header on one line, "" where it is missing or absurd."""
    value = str(response.headers.get(name) or "").strip()
    return value if len(value) <= 4000 and value.isprintable() else ""


def _body(response: niquests.Response, host: str, limits: Limits, deadline: float) -> Iterator[bytes]:
    """Yield the body as it comes in, unpacked, never more than allowed at any moment."""
    encoding = _header(response, "Content-Encoding").casefold()
    if encoding not in ("", "identity", "gzip", "x-gzip", "deflate"):
        raise UnreadableCalendar(f"{host} packs its answer in a way that was not asked for")
    unpack = zlib.decompressobj(wbits=47) if encoding not in ("", "identity") else None  # 47: gzip or zlib
    left = limits.size
    raw: Any = response.raw
    try:
        for chunk in raw.stream(_CHUNK, decode_content=False):
            if time.monotonic() > deadline:
                raise _too_slow(host, limits.total)
            data = unpack.decompress(chunk, left + 1) if unpack else chunk
            left -= len(data)
            if left < 0:
                raise UnreadableCalendar(f"{host} sends more than {limits.size // 1_000_000} MB; subscribe to less")
            yield data
    except zlib.error:
        raise UnreadableCalendar(f"{host} sends an answer that cannot be unpacked") from None
    if unpack and not unpack.eof:
        raise UnreadableCalendar(f"{host} sends an answer that is cut off")


def _why(error: Exception) -> str:
    """Return in a family's words why nothing came. The library's own words hold the address."""
    kind = type(error).__name__
    if "Timeout" in kind:
        return "does not answer in time"
    if "SSL" in kind or "Certificate" in str(error):
        return "cannot prove that it is who it says (its certificate is not accepted)"
    if "IncompleteRead" in str(error) or kind in ("ProtocolError", "ChunkedEncodingError", "IncompleteRead"):
        return "broke off its answer"
    return "cannot be reached"
