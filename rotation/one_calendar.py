"""One calendar on its own: what is understood of it, and what the household's rules make of that."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from calendars.event import Reading
from calendars.store import Access, Store, open_store
from rotation.errors import BadInput, Mistake
from rotation.household.mistakes import closest, shown
from rotation.household.people import Calendar
from rotation.household.reading import Home
from rotation.intake import build, meals, people
from rotation.intake.sources import open_calendar
from rotation.intake.time import Clock
from rotation.problem import Meal


@dataclass(frozen=True)
class Read:
    """A calendar as read for a window (aware); meals and claims only where a household's rules were at hand."""

    name: str
    reading: Reading
    window: tuple[datetime, datetime]
    zone: ZoneInfo
    claims: tuple[people.Claim, ...] = ()
    meals: tuple[tuple[datetime, Meal], ...] = ()


def calendar_of(home: Home | None, source: str, kind: str | None) -> Calendar:
    """Return the household's calendar of this name, else one for a file, a folder or an address.

    Raises BadInput where it is none of these.
    """
    for calendar in home.settings.calendars if home else ():
        if calendar.name.casefold() == source.casefold():
            return calendar
    if "://" in source:
        return Calendar.model_construct(name="calendar", url=source, kind=kind)
    path = Path(source).expanduser()
    if not path.exists():
        names = [calendar.name for calendar in home.settings.calendars] if home else []
        wrong = f"there is no file or folder {shown(source)}" + (", and no calendar of that name." if names else ".")
        raise BadInput(Mistake("calendar", None, "", wrong, closest(source, names)))
    kind = kind or ("folder" if path.is_dir() else "file")
    return Calendar.model_construct(name=path.name or "calendar", path=str(path.absolute()), kind=kind)


def read(
    home: Home | None, calendar: Calendar, window: tuple[datetime, datetime], zone: ZoneInfo, now: datetime
) -> Read:
    """Return what is understood of a calendar in a window of whole local days. Raises BadInput, CalendarError."""
    reading = _store(home, calendar, now).read(window, zone)
    if home is None:
        return Read(calendar.name, reading, window, zone)
    days = (window[1].astimezone(zone).date() - window[0].astimezone(zone).date()).days
    alone = replace(home, settings=home.settings.model_copy(update={"calendars": (calendar,)}))
    readings = {calendar.name: reading}
    clock = Clock.of(window[0], zone, days)
    ruled = meals.ruled(alone.settings, readings)
    at_home = frozenset(each.event.key for each in ruled if each.rule.effect != "away")
    claims = people.claims(alone.settings, readings, at_home, clock)
    problem = build(alone, readings, (), (), (), None, window[0], days).problem
    eaten = [(problem.instant(meal.at), meal) for meal in problem.meals if meal.source == calendar.name and meal.uid]
    return Read(calendar.name, reading, window, zone, claims, tuple(eaten))


def _store(home: Home | None, calendar: Calendar, now: datetime) -> Store:
    """Return the store; copies are kept of the household's own calendars only."""
    if home is not None and calendar in home.settings.calendars:
        return open_calendar(home, calendar, now)
    return open_store(calendar.stored_as, calendar.path or calendar.url or "", calendar.name, Access(now=now))
