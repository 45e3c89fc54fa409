"""Who asks: a signed cookie, whether its phone was paired, and the token that each form carries back."""

from __future__ import annotations

import hmac
import secrets
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from http.cookies import CookieError, SimpleCookie

from itsdangerous import BadSignature, URLSafeSerializer

from rotation.keys import Keys

COOKIE = "rotation"
KEPT = timedelta(days=365)
"""How long a phone is remembered that does not come back."""
RENEWED = timedelta(days=30)
"""How old a cookie gets before a phone that comes back is given a new one."""


@dataclass(frozen=True)
class Session:
    """One browser. paired: it was let in with a code; since: when its cookie was made; new: it has to be sent one."""

    id: str
    paired: bool
    since: datetime
    new: bool = False


class Sessions:
    """Signs cookies and tokens with the household's key, and tells its own from others."""

    def __init__(self, keys: Keys) -> None:
        self._keys = keys

    def of(self, header: str, now: datetime) -> Session:
        """Return whose cookie came with a request; a new session where there is none that holds."""
        try:
            morsel = SimpleCookie(header).get(COOKIE)
            id_, paired, since = self._signer().loads(morsel.value) if morsel is not None else ("", False, 0)
            begun = datetime.fromtimestamp(since, UTC)
        except (BadSignature, CookieError, ValueError, TypeError, OverflowError, OSError):
            return self.made(now)
        if not id_ or not begun - timedelta(days=2) <= now < begun + KEPT:
            return self.made(now)
        known = Session(id_, paired is True, begun)
        return known if now < begun + RENEWED else Session(id_, known.paired, now, new=True)

    def made(self, now: datetime, *, paired: bool = False) -> Session:
        """Return a session nobody had before."""
        return Session(secrets.token_urlsafe(16), paired, now, new=True)

    def cookie(self, session: Session, *, secure: bool) -> str:
        """Return the header that gives a browser its session. secure: it came by TLS, so it is to come back so."""
        value = self._signer().dumps([session.id, session.paired, int(session.since.timestamp())])
        more = "; Secure" if secure else ""
        text = value if isinstance(value, str) else value.decode()
        return f"{COOKIE}={text}; Path=/; Max-Age={int(KEPT.total_seconds())}; HttpOnly; SameSite=Lax{more}"

    def csrf(self, session: Session) -> str:
        """Return the token that shows that a form was sent from a page of ours to this browser."""
        return hmac.new(self._keys.signing(), f"form of {session.id}".encode(), sha256).hexdigest()

    def is_csrf(self, session: Session, token: str) -> bool:
        """Say whether a form's token is that of its browser."""
        return hmac.compare_digest(self.csrf(session).encode(), token.encode())

    def _signer(self) -> URLSafeSerializer:
        return URLSafeSerializer(self._keys.signing(), salt="session", signer_kwargs={"digest_method": sha256})
