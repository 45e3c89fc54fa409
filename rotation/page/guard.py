"""What stands before every view: who may ask, by which name, how much, how often; and what every answer says."""

from __future__ import annotations

import socket
from asyncio import timeout
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from ipaddress import ip_address
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from rotation.page.rates import Rate, Rates
from rotation.page.session import Sessions

MOST_BYTES = 64 * 1024
"""The longest form that is read."""

OF_ONE_ADDRESS = Rate(at_once=240, a_minute=600)
"""How often one device of the network may ask; a page with all that belongs to it is four requests."""

OPEN = ("/pair", "/static/", "/feed/")
"""What a phone may ask for before it is paired. A feed's address is a key of its own."""

SAID_ALWAYS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; "
    "connect-src 'self'; "
    "manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
TOO_LONG = PlainTextResponse("That is more than is read here.\n", 413)
SECONDS_FOR_A_FORM = 20
"""Long enough for a form from the end of the garden."""


@dataclass(frozen=True)
class Access:
    """Who may ask. network: others than this machine too, once they are paired; names: it is known by, besides."""

    network: bool = False
    names: tuple[str, ...] = ()

    def known(self, host: str) -> bool:
        """Say whether a Host header names this program: by figures, as this machine, or by a name that was given.

        A page elsewhere whose name was made to lead here sends its own name, and is refused.
        """
        name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
        name = name.strip("[]").rstrip(".").casefold()
        if not self.network:
            return name in ("localhost", "127.0.0.1", "::1") or name in self.names
        try:
            ip_address(name)
        except ValueError:
            here = socket.gethostname().casefold()
            return name in ("localhost", here, f"{here.split('.')[0]}.local", *self.names)
        return True


FaultPage = Callable[[Scope, Exception], Response]
"""Tells of an error nobody foresaw, and returns what is shown of it."""


class Guard:
    """The outermost layer of the app; nothing gets past it, no error shows what is inside."""

    def __init__(
        self,
        app: ASGIApp,
        *,
        access: Access,
        sessions: Sessions,
        clock: Callable[[], datetime],
        ticks: Callable[[], float],
        fault_page: FaultPage,
    ) -> None:
        self._app, self._access, self._sessions, self._clock = app, access, sessions, clock
        self._rates = Rates(OF_ONE_ADDRESS, ticks)
        self._fault_page = fault_page

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        begun, cookie = False, ""

        async def answer(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in SAID_ALWAYS.items():
                    headers.setdefault(name, value)
                if cookie and "set-cookie" not in headers:
                    headers.append("Set-Cookie", cookie)
            await send(message)

        refused = self._refused(scope)
        if refused is not None:
            await refused(scope, receive, answer)
            return
        body = await _whole(receive)
        if body is None:
            await TOO_LONG(scope, receive, answer)
            return
        try:
            session = self._sessions.of(Headers(scope=scope).get("cookie", ""), self._clock())
            scope.setdefault("state", {}).update(session=session, posted=body)
            if session.new and not scope["path"].startswith(("/static/", "/feed/")):
                cookie = self._sessions.cookie(session, secure=scope["scheme"] == "https")
            unknown = self._access.network and not session.paired and not scope["path"].startswith(OPEN)
            await (_to_pair(scope) if unknown else self._app)(scope, _again(body, receive), answer)
        except Exception as error:
            shown = self._fault_page(scope, error)
            if not begun:
                await shown(scope, receive, answer)

    def _refused(self, scope: Scope) -> Response | None:
        """Return the answer to a request that no view is to see."""
        headers = Headers(scope=scope)
        if not self._access.known(headers.get("host", "")):
            return PlainTextResponse("This page is not known by that name. Say it: rotation serve --name NAME\n", 421)
        client = scope["client"][0] if scope.get("client") else ""
        if client not in ("127.0.0.1", "::1") and not self._rates.allow(client):
            return PlainTextResponse("Too often. Wait a minute.\n", 429, {"Retry-After": "60"})
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdigit()) or int(length) > MOST_BYTES:
            return TOO_LONG
        if scope["method"] in ("GET", "HEAD"):
            return None
        if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return PlainTextResponse("That form came from another page.\n", 403)
        kind = headers.get("content-type", "").split(";")[0].strip().casefold()
        if scope["method"] == "POST" and kind != "application/x-www-form-urlencoded":
            return PlainTextResponse("Only forms are read here.\n", 415)
        return None


def _to_pair(scope: Scope) -> Response:
    """Return the way to the page for pairing, and from there to what was asked for."""
    if scope["method"] in ("GET", "HEAD"):
        path = scope["path"]
        return RedirectResponse("/pair" if path == "/" else f"/pair?to={quote(path[:200])}", 303)
    return PlainTextResponse("This phone is not paired any more. Pair it again: /pair\n", 403)


async def _whole(receive: Receive) -> bytes | None:
    """Return what was sent; None where it is more than is read, or comes too slowly."""
    body, more = b"", True
    try:
        async with timeout(SECONDS_FOR_A_FORM):
            while more and len(body) <= MOST_BYTES:
                message = await receive()
                body += message.get("body", b"")
                more = message.get("more_body", False)
    except TimeoutError:
        return None
    return body if len(body) <= MOST_BYTES else None


def _again(body: bytes, receive: Receive) -> Receive:
    """Return what gives a body that was read to whoever reads it next, and then goes on."""
    read = False

    async def again() -> Message:
        nonlocal read
        if read:
            return await receive()
        read = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again
