"""The line to a CalDAV server: one request, one answer, and words for whatever goes wrong on the way.

A client of the `caldav` package whose way of sending is replaced. The package sends a write again after a 5xx,
follows a redirected PUT with a GET and takes that for success, has no timeouts of its own and lets the errors of three
libraries through. Here nothing is sent twice but after a 401 that asks who we are; only questions follow redirects, and
only on the same host; what comes back is limited in size and time. Discovery by the package goes over this line too.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Mapping
from dataclasses import replace
from urllib.parse import urljoin, urlsplit

import niquests
from caldav.davclient import DAVClient
from caldav.lib.error import DAVError
from caldav.response import DAVResponse

from calendars.dav_answers import members
from calendars.dav_replies import Answer, NoReply, no_reply, refusal
from calendars.fetch import address, host_of, is_loopback
from calendars.scan import LARGEST_FILE_BYTES
from calendars.store import Access, CalendarError, UnreadableCalendar
from calendars.text import clean

TIMEOUTS_S = (10.0, 30.0)
"""Seconds until a connection stands, and between two pieces of an answer."""
LONGEST_ANSWER_S = 120.0
"""Seconds for a whole answer, however steadily it drips."""
IDLE_S = 15.0
"""Seconds after which a new connection is made: routers forget old ones without a word, and a write would be lost."""
MOST_REDIRECTS = 5

_OURS = {"User-Agent": "bread-rotation", "Accept-Encoding": "identity"}  # servers that compress weaken their tags

logging.getLogger("caldav").addHandler(logging.NullHandler())  # what it finds odd is checked and told here
logging.getLogger("caldav").propagate = False


class Line(DAVClient):
    """A connection to one server, on behalf of one calendar, made when first needed."""

    def __init__(self, location: str, name: str, access: Access) -> None:
        try:
            self._home = address(location, access)
        except CalendarError as error:
            raise CalendarError(f"{name}: {error}") from None
        super().__init__(url=self._home.geturl(), enable_rfc6764=False)
        self.host = host_of(self._home)
        self.name = name
        self._access = access
        self._used = float("-inf")

    def __repr__(self) -> str:
        """Return which line this is, without address or password."""
        return f"Line({self.name!r}, {self.host!r})"

    @property
    def place(self) -> str:
        """How messages call the calendar."""
        return f"{self.name} on {self.host}"

    def send(self, method: str, url: str, body: bytes = b"", headers: Mapping[str, str] | None = None) -> Answer:
        """Send one request and return the answer, whatever its status. Raises NoReply."""
        answer = self._once(method, url, body, headers)
        if answer.status == 401 and self._can_say_who(answer):
            answer = self._once(method, url, body, headers)
        return answer

    def ask(self, method: str, url: str, body: bytes = b"", headers: Mapping[str, str] | None = None) -> Answer:
        """Send what changes nothing, also where the host redirects to. Raises CalendarError where there is no reply."""
        try:
            for _ in range(MOST_REDIRECTS):
                answer = self._asked(method, url, body, headers)
                target = urljoin(url, answer.headers.get("Location", ""))
                if answer.status not in (301, 302, 303, 307, 308) or not self._same_host(url, target) or target == url:
                    return answer
                url = target
        except NoReply as reason:
            raise CalendarError(f"{self.place} cannot be read: {reason}") from None
        raise UnreadableCalendar(f"{self.place} sends us from address to address; check the address")

    def request(
        self,
        url: str,
        method: str = "GET",
        body: str | bytes | None = "",
        headers: Mapping[str, str] | None = None,
        rate_limit_time_slept: float = 0,
    ) -> DAVResponse:
        """Send on behalf of the package, which only asks over this line, but for making a calendar."""
        combined = {str(key): str(value) for key, value in (*self.headers.items(), *(headers or {}).items())}
        send = self.ask if method in ("GET", "PROPFIND", "REPORT", "OPTIONS") else self.send
        answer = send(method, str(url), body.encode() if isinstance(body, str) else body or b"", combined)
        if answer.status >= 300:
            raise self.refusal(answer)
        if method == "PROPFIND" and not self._speaks(answer):
            raise UnreadableCalendar(f"{self.place} answers, but says nothing of what was asked")
        return DAVResponse(answer if answer.status != 201 else replace(answer, body=b""), self)

    def refusal(self, answer: Answer, *, doing: str = "read") -> CalendarError:
        """Return the error that an answer other than 2xx means. doing: what was not done, "read" or "written"."""
        return refusal(answer, self.place, known=self._access.password is not None, doing=doing)

    def _speaks(self, answer: Answer) -> bool:
        """Whether an answer names at least one resource; the package takes one that names none for "no calendars"."""
        try:
            return bool(members(answer.body, answer.url))
        except UnreadableCalendar as error:
            raise UnreadableCalendar(f"{self.place} {error}") from None

    def _asked(self, method: str, url: str, body: bytes, headers: Mapping[str, str] | None) -> Answer:
        """Ask, and once more where the line dropped: a question asked twice harms nobody."""
        try:
            return self.send(method, url, body, headers)
        except NoReply as reason:
            if not reason.sent or reason.late:
                raise
            self._used = float("-inf")
            return self.send(method, url, body, headers)

    def _once(self, method: str, url: str, body: bytes, headers: Mapping[str, str] | None) -> Answer:
        """Send one request once."""
        if not self._may_speak_to(url):
            raise NoReply(f"it sends us on to {clean(urlsplit(url).netloc, 100)}; is that its address?", sent=False)
        begun = time.monotonic()
        if begun - self._used > IDLE_S:
            self.session.close()
            self.session = niquests.Session(
                retries=0, disable_http2=True, disable_http3=True, allow_incoming_cookies=False
            )
            self.session.trust_env = not is_loopback(self._home.hostname or "")
        try:
            response = self.session.request(
                method,
                url,
                data=body or None,
                headers={**_OURS, **(headers or {})},
                auth=self.auth or _nobody,
                timeout=TIMEOUTS_S,
                allow_redirects=False,
                stream=True,
            )
            pieces, size = [], 0
            for piece in response.iter_content(65_536):
                pieces.append(piece)
                size += len(piece)
                if size > LARGEST_FILE_BYTES:
                    raise NoReply(f"it answers with more than {LARGEST_FILE_BYTES // 1_000_000} MB")
                if time.monotonic() - begun > LONGEST_ANSWER_S:
                    raise NoReply(f"its answer takes more than {LONGEST_ANSWER_S:.0f} s", late=True)
        except NoReply:
            self._used = float("-inf")
            raise
        except (OSError, ValueError, DAVError) as error:  # niquests' own are OSErrors
            self._used = float("-inf")
            raise no_reply(error) from None
        self._used = time.monotonic()
        return Answer(response.status_code or 0, response.headers, b"".join(pieces), url, str(response.reason or ""))

    def _can_say_who(self, answer: Answer) -> bool:
        """Build what the server asks for from user and password; False where there is none or it was refused."""
        asked = answer.headers.get("WWW-Authenticate", "")
        if self.auth is not None or self._access.password is None:
            return False
        self.username, self.password = self._access.user or None, self._access.password()
        try:
            self.build_auth_object(sorted(self.extract_auth_types(asked)) if asked else ["basic"])
        except DAVError:
            return False
        finally:
            self.password = None
        return self.auth is not None

    def _may_speak_to(self, url: str) -> bool:
        """Whether the password may go there: the same server, or a sister of it over TLS where a server names one.

        Large services spread their users over p01.example.org, p02.example.org. Short names, as in co.uk, are none.
        """
        target, host = urlsplit(url), self._home.hostname or ""
        if (target.scheme, target.netloc) == (self._home.scheme, self._home.netloc):
            return True
        parent = host.partition(".")[2]
        related = "." in parent and len(parent.partition(".")[0]) > 3 and f".{target.hostname}".endswith(f".{parent}")
        return target.scheme == "https" and (related or target.hostname == host)

    def _same_host(self, url: str, target: str) -> bool:
        """Whether a redirect may be followed: to the same host, and not from https to http."""
        one, other = urlsplit(url), urlsplit(target)
        return one.hostname == other.hostname and (one.scheme, one.port) in ((other.scheme, other.port), ("http", None))


def _nobody(request: niquests.PreparedRequest) -> niquests.PreparedRequest:
    """Sign in as nobody: without this, niquests would look for a password in a .netrc."""
    return request
