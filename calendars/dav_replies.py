"""What comes back from a CalDAV server, or does not, and the words for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from email.utils import parsedate_to_datetime
from urllib.parse import urljoin, urlsplit

import niquests

from calendars.store import Busy, CalendarError, MissingCalendar, Refused
from calendars.text import clean


class NoReply(Exception):
    """There was no whole answer. sent: whether the server may have got the request; late: it may still be at work."""

    def __init__(self, reason: str, *, sent: bool = True, late: bool = False) -> None:
        super().__init__(reason)
        self.sent = sent
        self.late = late


@dataclass(frozen=True)
class Answer:
    """What the server said: status, headers, the whole body, and the address that answered in the end."""

    status: int
    headers: Mapping[str, str]
    body: bytes = field(repr=False)
    url: str = field(repr=False)
    reason: str = ""

    # What the package's own answer asks of an answer.
    @property
    def status_code(self) -> int:
        """Return the status."""
        return self.status

    @property
    def content(self) -> bytes:
        """Return the body."""
        return self.body

    @property
    def text(self) -> str:
        """Return the body as text."""
        return self.body.decode(errors="replace")


def refusal(answer: Answer, place: str, *, known: bool, doing: str = "read") -> CalendarError:
    """Return the error that an answer other than 2xx means.

    place: how messages call the calendar. known: whether a password was there to be sent. doing: what was not done,
    "read" or "written".
    """
    status, cannot = answer.status, f"{place} cannot be {doing}"
    if status == 401:
        what = "does not accept this user and password" if known else "asks for a user and a password"
        return Refused(f"{cannot}: it {what}")
    if status == 403:
        return Refused(f"{cannot}: the server does not allow it (403)")
    if status in (404, 410):
        return MissingCalendar(f"{cannot}: there is nothing at its address, or nothing any more; check the address")
    if status in (423, 429, 503):
        wait = retry_after_s(answer.headers)
        when = "later" if wait is None else f"in {wait} s"
        return Busy(f"{cannot}: the server is busy; try again {when}", wait)
    if 300 <= status < 400:
        target = urlsplit(urljoin(answer.url, answer.headers.get("Location", "")))
        where = f"{target.scheme}://{target.netloc}" if target.netloc and "@" not in target.netloc else "elsewhere"
        return Refused(f"{cannot}: it has moved to {clean(where, 100)}; ask there and write the new address")
    if status == 507:
        return Refused(f"{cannot}: the server has no room left")
    if status >= 500:
        return CalendarError(f"{cannot}: the server has a fault of its own ({status}); try again later")
    return Refused(f"{cannot}: the server refuses it ({status})")


def no_reply(error: Exception) -> NoReply:
    """Return what an error of the network means, without the address that such errors carry."""
    if isinstance(error, niquests.exceptions.SSLError):
        return NoReply("its certificate cannot be trusted, or it does not speak TLS; is the address right?", sent=False)
    if isinstance(error, niquests.exceptions.ConnectTimeout):
        return NoReply("it cannot be reached (no connection in time)", sent=False)
    if isinstance(error, niquests.exceptions.Timeout):
        return NoReply("it does not answer in time", late=True)
    cause = error.args[0] if error.args else None
    if type(cause).__name__ == "MaxRetryError":  # whichever urllib3 stands behind it; with no retries: never connected
        return NoReply("it cannot be reached; is the address right, and is there a network?", sent=False)
    if isinstance(error, niquests.exceptions.InvalidURL | niquests.exceptions.InvalidSchema):
        return NoReply("its address is not one that can be asked", sent=False)
    return NoReply("the connection dropped before the answer was whole")


def retry_after_s(headers: Mapping[str, str]) -> int | None:
    """Return how many seconds a server asks to wait (RFC 9110, 10.2.3); dates are taken against its own clock."""
    said = headers.get("Retry-After", "").strip()
    if said.isdecimal():
        return int(said[:9])
    try:
        wait = parsedate_to_datetime(said) - parsedate_to_datetime(headers.get("Date", ""))
    except (TypeError, ValueError):
        return None
    return max(0, round(wait.total_seconds()))
