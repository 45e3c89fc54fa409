"""What makes no sense in how a household's calendars are reached, and whose they are. No secret is repeated."""

from __future__ import annotations

from collections.abc import Iterator

from calendars.fetch import address
from calendars.secrets import HOW, is_source
from calendars.store import KINDS, WRITABLE, Access, CalendarError
from rotation.household.lines import Path
from rotation.household.mistakes import Wrong, closest, repeated, shown
from rotation.household.people import Place, Written
from rotation.household.settings import Household

LOCAL = frozenset({"file", "folder"})
"""Kinds of calendar that lie at a path; all others have a web address."""


def calendars_wrong(home: Household) -> Iterator[Wrong]:
    """Yield what makes no sense in the settings of the calendars."""
    people, ovens = {person.id for person in home.people}, {oven.id for oven in home.ovens}
    yield from repeated((("calendars", i, "name"), calendar.name) for i, calendar in enumerate(home.calendars))
    for index, calendar in enumerate(home.calendars):
        at: Path = ("calendars", index)
        for key, words in (("whose", {"by event", "everyone", "nobody"}), ("otherwise", {"everyone", "nobody"})):
            said = getattr(calendar, key)
            if said not in people | words:
                yield Wrong((*at, key), f"nobody is called {shown(said)}.", closest(said, people | words))
        if calendar.stored_as not in KINDS:
            wrong = f"{shown(calendar.stored_as)} is not a kind of calendar."
            yield Wrong((*at, "kind"), wrong, closest(calendar.stored_as, KINDS))
        elif calendar.path is not None and "://" in calendar.path:
            yield Wrong((*at, "path"), "that is a web address.", "Write it as url, or where it is as url_from.")
        else:
            yield from _place(calendar, at)
        yield from _secrets(calendar, at)
        if calendar.oven is not None and calendar.oven not in ovens:
            yield Wrong((*at, "oven"), f"no oven is called {shown(calendar.oven)}.", closest(calendar.oven, ovens))
    yield from _entries(home)


def _entries(home: Household) -> Iterator[Wrong]:
    """Yield what makes no sense in where entries are written."""
    people, ovens = {person.id for person in home.people}, {oven.id for oven in home.ovens}
    yield from _written(home.entries, ("entries",)) if home.entries.somewhere else ()
    for index, own in enumerate(home.entries.people):
        at: Path = ("entries", "people", index)
        yield from _written(own, at)
        if own.person not in people:
            yield Wrong((*at, "person"), f"nobody is called {shown(own.person)}.", closest(own.person, people))
    for index, reserved in enumerate(home.entries.ovens):
        at = ("entries", "ovens", index)
        yield from _written(reserved, at)
        if reserved.oven is not None and reserved.oven not in ovens:
            yield Wrong((*at, "oven"), f"no oven is called {shown(reserved.oven)}.", closest(reserved.oven, ovens))


def _written(place: Written, at: Path) -> Iterator[Wrong]:
    """Yield what is wrong with a calendar that is to be written."""
    if place.somewhere and place.stored_as not in WRITABLE:
        wrong = f"a calendar of the kind {shown(place.stored_as)} cannot be written."
        yield Wrong((*at, "kind"), wrong, closest(place.stored_as, WRITABLE))
    elif place.path is not None and (place.path.lower().endswith(".ics") or "://" in place.path):
        yield Wrong((*at, "path"), "entries go into a folder, or to a web address.", 'Write path = "calendars/bread"')
    else:
        yield from _place(place, at)
    yield from _secrets(place, at)


def _place(calendar: Place, at: Path) -> Iterator[Wrong]:
    """Yield what is wrong with where the calendar is."""
    given = [key for key in ("path", "url", "url_from") if getattr(calendar, key) is not None]
    local = calendar.stored_as in LOCAL
    instead = 'Write path = "calendars/family.ics"' if local else 'Write url = "https://..." or url_from = "keyring"'
    if not given:
        instead = 'Write path = "calendars/family.ics", or url = "https://..."'
        yield Wrong(at, "does not say where the calendar is.", instead)
    elif len(given) > 1:
        yield Wrong((*at, given[1]), f"the calendar is at one place, and {given[0]} says it already.", "Leave one out.")
    elif local != (given == ["path"]):
        yield Wrong((*at, given[0]), f"a calendar of the kind {shown(calendar.stored_as)} has no {given[0]}.", instead)
    elif calendar.url is not None:
        try:
            address(calendar.url, Access(plain_http=calendar.plain_http))
        except CalendarError as error:
            yield Wrong((*at, "url"), f"{error}.")


def _secrets(calendar: Place, at: Path) -> Iterator[Wrong]:
    """Yield sources of secrets that are none: as a rule the password itself."""
    for key in ("url_from", "password_from"):
        source = getattr(calendar, key)
        if source is not None and not is_source(source):
            wrong = "does not say where the secret is. A secret is never written into a file."
            yield Wrong((*at, key), wrong, f"{HOW[0].upper()}{HOW[1:]}.")
    if calendar.password_from is not None and calendar.user is None:
        yield Wrong((*at, "password_from"), "it is not said whose password that is.", 'Write user = "jo"')
