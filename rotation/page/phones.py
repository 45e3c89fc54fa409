"""Phones that may use this page, and calendars that subscribe: pairing, forgetting, the addresses of feeds."""

from __future__ import annotations

import re
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Form, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from rotation import feed, pairing
from rotation.page.feed import TOO_OFTEN
from rotation.page.forms import Once, Short
from rotation.page.kitchen import Kitchen, KitchenOf
from rotation.page.rendering import page
from rotation.page.view import OWN_PATH

router = APIRouter()

NOT_THE_CODE = "That is not the code, or it is used up. Look at it again, or have a new one made."


@router.get("/pair")
def pair(request: Request, kitchen: KitchenOf, to: str = "/") -> Response:
    """Ask for the code that lets a phone in. to: what it asked for, as the page of a bag by the code on its label."""
    if request.state.session.paired or not request.app.state.access.network:
        return RedirectResponse(quote(_own(to)), 303)
    return _pair(request, kitchen, _own(to))


@router.post("/pair")
def paired(
    request: Request, kitchen: KitchenOf, once: Once, code: Annotated[str, Form(max_length=40)], to: Short = "/"
) -> Response:
    """Let a phone in, if it brings the code."""
    state, now = request.app.state, kitchen.clock()
    if not state.wrong.allow(request.client.host if request.client else ""):
        raise HTTPException(429, "Too often. Wait a minute.", TOO_OFTEN)
    if not pairing.accepts(kitchen.keys, code, now):
        return _pair(request, kitchen, _own(to), NOT_THE_CODE, 403)
    return _let_in(request, kitchen, _own(to))


def _own(path: str) -> str:
    """Return a path that leads to a page of ours; that of today for any other."""
    return path if re.fullmatch(OWN_PATH, path) else "/"


def _pair(request: Request, kitchen: Kitchen, to: str, wrong: str = "", status: int = 200) -> HTMLResponse:
    open_ = pairing.is_open(kitchen.keys, kitchen.clock())
    return page(request, "pair.html", status, title="Pair this phone", wrong=wrong, open=open_, to=to)


def _let_in(request: Request, kitchen: Kitchen, to: str) -> Response:
    """Send a browser on with a cookie that says it is paired."""
    sessions = request.app.state.sessions
    answer = RedirectResponse(quote(to), 303)
    session = sessions.made(kitchen.clock(), paired=True)
    answer.headers["Set-Cookie"] = sessions.cookie(session, secure=request.url.scheme == "https")
    return answer


@router.get("/phones")
def phones(request: Request, kitchen: KitchenOf) -> HTMLResponse:
    """Show who may use this page, and the addresses that calendar programs subscribe to."""
    return _phones(request, kitchen)


def _phones(request: Request, kitchen: Kitchen, code: str = "") -> HTMLResponse:
    known, host = feed.addresses(kitchen.keys), request.headers["host"]
    feeds = [
        (who, called, f"{host}{feed.path(known[who])}" if who in known else "")
        for who, called in feed.names(kitchen.home()).items()
    ]
    published = kitchen.feeds()[0] is not None
    network = request.app.state.access.network
    minutes = int(pairing.GOOD_FOR.total_seconds() // 60)
    return page(
        request, "phones.html", title="Phones and calendars", feeds=feeds, code=code, minutes=minutes, network=network,
        published=published, scheme=request.url.scheme,
    )  # fmt: skip


@router.post("/phones/code")
def code(request: Request, kitchen: KitchenOf, once: Once) -> HTMLResponse:
    """Show a new code, to pair another phone with."""
    return _phones(request, kitchen, pairing.new_code(kitchen.keys, kitchen.clock()))


@router.post("/phones/forget")
def forget(request: Request, kitchen: KitchenOf, once: Once) -> Response:
    """Forget every phone but the one that asks."""
    kitchen.keys.renew_signing()
    return _let_in(request, kitchen, "/phones") if request.state.session.paired else RedirectResponse("/phones", 303)


@router.post("/phones/feed")
def renew(request: Request, kitchen: KitchenOf, once: Once, who: Annotated[str, Form(max_length=100)]) -> Response:
    """Give a feed a new address, or its first; the one before leads nowhere from now on."""
    _known(kitchen, who)
    feed.renew(kitchen.keys, who)
    return RedirectResponse("/phones", 303)


@router.post("/phones/feed/close")
def close(request: Request, kitchen: KitchenOf, once: Once, who: Annotated[str, Form(max_length=100)]) -> Response:
    """Take a feed's address away."""
    _known(kitchen, who)
    feed.close(kitchen.keys, who)
    return RedirectResponse("/phones", 303)


def _known(kitchen: Kitchen, who: str) -> None:
    if who not in feed.names(kitchen.home()):
        raise HTTPException(404)
