"""The calendars that entries are written into: where they are, whose, and what they take."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Protocol, runtime_checkable

from calendars.store import CalendarError, Writable, open_writable
from rotation.household.people import Written
from rotation.household.reading import Home
from rotation.household.settings import OvenEntries, PersonEntries
from rotation.intake.sources import access, location


@runtime_checkable
class Picky(Protocol):
    """A calendar that says which components it takes."""

    def components(self) -> frozenset[str]:
        """Return them, as {"VEVENT", "VTODO"}."""
        ...


@dataclass(frozen=True)
class Target:
    """A calendar that is written.

    place: what tells it from others; person, oven: whose it is, "" for bread's own; folder: where it is, if in files.
    """

    name: str
    place: str
    store: Writable
    person: str = ""
    oven: str = ""
    folder: Path | None = None

    def make(self) -> None:
        """Make the folder of a calendar that is to be written for the first time. Raises CalendarError."""
        try:
            if self.folder is not None:
                self.folder.mkdir(exist_ok=True)
        except OSError as error:
            raise CalendarError(f"{self.folder} cannot be made: {error.strerror}") from error

    @property
    def warnings(self) -> tuple[str, ...]:
        """What the family should know of how it is reached."""
        said: tuple[str, ...] = getattr(self.store, "warnings", ())
        return said

    @property
    def takes_tasks(self) -> bool:
        """Whether entries may be tasks: anything goes in files; a server says what it takes. Raises CalendarError."""
        return not isinstance(self.store, Picky) or "VTODO" in self.store.components()

    @property
    def new(self) -> bool:
        """Whether it is a folder still to be made."""
        return self.folder is not None and not self.folder.exists() and self.folder.parent.is_dir()


def targets(home: Home) -> tuple[Target, ...]:
    """Return the calendars to be written, bread's own first. Nothing is read yet. Raises CalendarError."""
    return tuple(_target(home, place, name) for name, place in named(home))


def named(home: Home) -> tuple[tuple[str, Written], ...]:
    """Return the calendars that are written as the settings say: what each is called, and where it is."""
    settings = home.settings.entries
    people = {person.id: person.called for person in home.settings.people}
    ovens = {oven.id: oven.name for oven in home.settings.ovens}
    found: list[tuple[str, Written]] = [(settings.calendar, settings)] if settings.somewhere else []
    found += [(f"{settings.calendar}, {people[own.person]}", own) for own in settings.people]
    found += [
        (f"{settings.calendar}, {ovens[kept.oven or home.settings.ovens[0].id]}", kept) for kept in settings.ovens
    ]
    return tuple(found)


def _target(home: Home, place: Written, name: str) -> Target:
    where = location(home, place, name)
    store = open_writable(place.stored_as, where, name, access(home, place, name))
    known_as = (place.path or where).rstrip("/")  # a path as written: the household's folder may be moved
    digest = sha256(f"{place.stored_as} {known_as}".encode()).hexdigest()[:20]  # an address may be a secret
    person = place.person if isinstance(place, PersonEntries) else ""
    oven = (place.oven or home.settings.ovens[0].id) if isinstance(place, OvenEntries) else ""
    return Target(name, digest, store, person, oven, Path(where) if place.path else None)
