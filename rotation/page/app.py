"""The kitchen page as an ASGI app: the views, and what stands before them."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import datetime
from pathlib import Path
from time import monotonic

from fastapi import FastAPI
from fastapi.responses import HTMLResponse, Response

from rotation.page import (
    appetite,
    failures,
    feed,
    freezer,
    guests,
    outage,
    phones,
    plans,
    shopping,
    steps,
    today,
    week,
    working,
)
from rotation.page.guard import Access, Guard
from rotation.page.jobs import Jobs
from rotation.page.kitchen import Kitchen
from rotation.page.rates import Rates
from rotation.page.rendering import asset
from rotation.page.said import Taps
from rotation.page.session import Sessions

VIEWS = (
    today.router,
    steps.router,
    outage.router,
    freezer.router,
    week.router,
    guests.router,
    shopping.router,
    appetite.router,
    plans.router,
    working.router,
    phones.router,
    feed.router,
)
"""One module for each group of views."""


def create_app(
    home: Path,
    clock: Callable[[], datetime],
    access: Access | None = None,
    ticks: Callable[[], float] = monotonic,
) -> FastAPI:
    """Return the app of one household's page.

    home: its folder; clock: the moment it is, aware; access: who may ask, else only this machine; ticks: seconds that
    only ever rise. Nothing is read before the first request: a household that is broken says so on its pages.
    """
    access = access or Access()
    kitchen = Kitchen(home, clock)
    sessions = Sessions(kitchen.keys)

    @asynccontextmanager
    async def open_(app: FastAPI) -> AsyncIterator[None]:
        yield
        app.state.jobs.close()
        kitchen.close()

    app = FastAPI(title="Bread Rotation", openapi_url=None, docs_url=None, redoc_url=None, lifespan=open_)
    app.state.kitchen, app.state.sessions, app.state.access = kitchen, sessions, access
    app.state.feeds, app.state.wrong = Rates(feed.OF_ONE_FEED, ticks), Rates(feed.WRONG, ticks)
    app.state.taps, app.state.jobs = Taps(), Jobs()
    for router in VIEWS:
        app.include_router(router, default_response_class=HTMLResponse)
    app.add_api_route("/static/{digest}/{name}", asset, response_class=Response, include_in_schema=False)
    failures.told(app)
    app.add_middleware(
        Guard,
        access=access,
        sessions=sessions,
        clock=clock,
        ticks=ticks,
        fault_page=failures.fault_page,
    )
    return app
