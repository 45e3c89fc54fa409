"""The household's calendars, read for the days of a plan."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path

from calendars.event import Reading
from calendars.fetch import in_background
from calendars.secrets import secret
from calendars.store import Access, CalendarError, Store, open_store
from rotation.errors import BadInput, Mistake
from rotation.household.people import Calendar, Place
from rotation.household.reading import SETTINGS, Home

BEFORE, AFTER = timedelta(days=2), timedelta(days=9)
"""How far the readings reach beyond the days shown: the tail, and what began before and still lasts."""
COPIES = Path(".rotation", "calendars")
"""Where in the household the last good copies of calendars on the web are kept."""


def location(home: Home, place: Place, name: str) -> str:
    """Return the path or the web address of a calendar. Raises CalendarError for a secret address that is not there."""
    if place.path is not None:
        return str(home.folder / Path(place.path).expanduser())
    if place.url_from is not None:
        return secret(place.url_from, calendar=name)
    return place.url or ""


def access(home: Home, place: Place, name: str, now: datetime | None = None) -> Access:
    """Return how a calendar on a server is reached. Its password is asked for when it is needed, not here."""
    password: Callable[[], str] | None = None
    if (source := place.password_from) is not None:
        user = place.user or ""

        def password() -> str:
            return secret(source, calendar=name, user=user)

    return Access(place.user or "", password, place.plain_http, home.folder / COPIES, now)


def open_calendar(home: Home, calendar: Calendar, now: datetime | None = None) -> Store:
    """Return the store of a calendar of the household. Raises CalendarError."""
    name = calendar.name
    return open_store(calendar.stored_as, location(home, calendar, name), name, access(home, calendar, name, now))


def read_calendars(home: Home, zero: datetime, days: int, now: datetime | None = None) -> dict[str, Reading]:
    """Return what each calendar says about a plan of `days` days from `zero`, by the name the household gives it.

    now: to tell how old the copy of a calendar is whose server is down. Raises BadInput with all calendars that cannot
    be read: a plan never takes one for empty.
    """
    window = (zero - BEFORE, zero + timedelta(days=days) + AFTER)

    def read(calendar: Calendar) -> Reading | CalendarError:
        try:
            return open_calendar(home, calendar, now).read(window, home.zone)
        except CalendarError as error:
            return error

    readings: dict[str, Reading] = {}
    mistakes: list[Mistake] = []
    calendars = home.settings.calendars
    coming = [in_background(partial(read, calendar)) for calendar in calendars]  # all servers are waited for at once
    for number, (calendar, future) in enumerate(zip(calendars, coming, strict=True)):
        got = future.result()
        if isinstance(got, Reading):
            readings[calendar.name] = got
        else:
            mistakes.append(_unread(home, number, calendar, got))
    if mistakes:
        raise BadInput(*mistakes)
    return readings


def _unread(home: Home, number: int, calendar: Calendar, error: CalendarError) -> Mistake:
    """Return which setting leads to a calendar that cannot be read, and why not."""
    key = next((key for key in ("path", "url", "url_from") if getattr(calendar, key) is not None), "path")
    wrong = str(error) if str(error).endswith((".", "?")) else f"{error}."
    return Mistake(str(home.folder / SETTINGS), None, f"calendars.{number}.{key}", wrong, "")
