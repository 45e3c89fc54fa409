"""The feed for calendar programs that subscribe: its address is the key, no cookie is asked for."""

from __future__ import annotations

from hashlib import sha256

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from rotation import feed
from rotation.page.kitchen import KitchenOf
from rotation.page.rates import Rate

router = APIRouter()

OF_ONE_FEED = Rate(at_once=60, a_minute=20)
"""How often one feed may be asked for, by all who have its address."""
WRONG = Rate(at_once=10, a_minute=2)
"""How often one device may be wrong about a secret."""
TOO_OFTEN = {"Retry-After": "60"}


@router.head("/feed/{secret}.ics", response_class=Response, include_in_schema=False)
@router.get("/feed/{secret}.ics", response_class=Response)
def calendar(request: Request, secret: str, kitchen: KitchenOf) -> Response:
    """Answer with the published entries as iCalendar, or that nothing changed since the subscriber last asked."""
    state = request.app.state
    whose = feed.whose(kitchen.keys, secret)
    if whose is None:
        address = request.client.host if request.client else ""
        wrong = 404 if state.wrong.allow(address) else 429
        raise HTTPException(wrong, "Too often. Wait a minute.", TOO_OFTEN if wrong == 429 else None)
    if not state.feeds.allow(whose):
        raise HTTPException(429, "Too often. Wait a minute.", TOO_OFTEN)
    data, tag = kitchen.remembered(f"feed {whose}", lambda: _document(kitchen, whose))
    headers = {"ETag": tag, "Cache-Control": "private, no-cache"}
    if _is_known(request.headers.get("if-none-match", ""), tag):
        return Response(status_code=304, headers=headers)
    return Response(data, media_type="text/calendar; charset=utf-8", headers=headers)


def _document(kitchen: KitchenOf, whose: str) -> tuple[bytes, str]:
    kept, since = kitchen.feeds()
    data = feed.document(kept, whose, since)
    return data, f'"{sha256(data).hexdigest()[:32]}"'


def _is_known(said: str, tag: str) -> bool:
    """Say whether a subscriber has this version (RFC 9110, 13.1.2: compared weakly)."""
    return said.strip() == "*" or tag in (one.strip().removeprefix("W/") for one in said.split(","))
