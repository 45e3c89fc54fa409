"""The household's calendars, read for the days of a plan."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from calendars.event import Reading
from calendars.store import CalendarError, open_store
from rotation.errors import BadInput, Mistake
from rotation.household.reading import SETTINGS, Home

BEFORE, AFTER = timedelta(days=2), timedelta(days=9)
"""How far the readings reach beyond the days shown: the tail, and what began before and still lasts."""


def read_calendars(home: Home, zero: datetime, days: int) -> dict[str, Reading]:
    """Return what each calendar says about a plan of `days` days from `zero`, by the name the household gives it.

    Raises BadInput with all calendars that cannot be read: a plan never takes one for empty.
    """
    window = (zero - BEFORE, zero + timedelta(days=days) + AFTER)
    readings: dict[str, Reading] = {}
    mistakes: list[Mistake] = []
    for number, calendar in enumerate(home.settings.calendars):
        where = calendar.path if "://" in calendar.path else str(home.folder / Path(calendar.path).expanduser())
        try:
            readings[calendar.name] = open_store(calendar.stored_as, where, calendar.name).read(window, home.zone)
        except CalendarError as error:
            setting = f"calendars.{number}.path"
            mistakes.append(Mistake(str(home.folder / SETTINGS), None, setting, f"{error}.".replace("..", "."), ""))
    if mistakes:
        raise BadInput(*mistakes)
    return readings
