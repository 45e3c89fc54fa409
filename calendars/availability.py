"""Who an event is about, and whether it takes their time. Pure functions; the caller's settings decide the rest."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Literal

from calendars.event import Event
from calendars.intervals import union

AllDay = Literal["busy", "free", "trips"]
"""What all-day events do: take every day, none (birthdays, bin days), or only those of more than one day (trips)."""

_MORE_THAN_A_DAY = timedelta(hours=25)  # the longest local day


@dataclass(frozen=True)
class Identity:
    """How calendars speak of one person: first names or nicknames, mail addresses, categories. Case does not matter."""

    names: tuple[str, ...] = ()
    addresses: tuple[str, ...] = ()
    categories: tuple[str, ...] = ()


def is_busy(event: Event, me: frozenset[str] = frozenset(), *, all_day: AllDay = "trips") -> bool:
    """Return whether the event takes time of the person known by the addresses and names `me`.

    Not busy: a transparent, cancelled or free-marked event, one without length, one this person declined. A tentative
    event is busy: better a loaf planned around it than a loaf alone. all_day decides on opaque all-day events.
    """
    if event.cancelled or event.transparent or event.busy_status == "FREE" or event.end <= event.start:
        return False
    known = {word.casefold() for word in me}
    if any(who.declined and (who.address in known or who.name.casefold() in known) for who in event.attendees):
        return False
    if event.all_day:
        outright = event.busy_status in ("OOF", "WORKINGELSEWHERE")
        return all_day == "busy" or (all_day == "trips" and (outright or event.end - event.start > _MORE_THAN_A_DAY))
    return True


def whose(event: Event, people: Mapping[str, Identity]) -> frozenset[str]:
    """Return the ids of the people the event is about, empty where it does not say.

    The first of these that names anybody decides: its attendees (those who declined do not count, yet an event all of
    whose known attendees declined is nobody's else either), its categories, then names in its title as whole words.
    """
    asked = {
        person: [who for who in event.attendees if _is(who.address, who.name, identity)]
        for person, identity in people.items()
    }
    if any(asked.values()):
        return frozenset(person for person, who in asked.items() if who and not all(each.declined for each in who))
    categories = {category.casefold() for category in event.categories}
    filed = frozenset(
        person
        for person, identity in people.items()
        if categories & {each.casefold() for each in (*identity.categories, *identity.names)}
    )
    if filed:
        return filed
    title = event.summary.casefold()
    return frozenset(
        person
        for person, identity in people.items()
        if any(_as_word(name.casefold()).search(title) for name in identity.names if name)
    )


def busy_spans(events: Iterable[Event]) -> tuple[tuple[datetime, datetime], ...]:
    """Return the time the events cover together, as disjoint UTC spans in order."""
    return union((event.start, event.end) for event in events)


def _is(address: str, name: str, identity: Identity) -> bool:
    """Return whether an attendee is this person: by address, else by the display name as a whole or its first word.

    A mail address that is not theirs makes a namesake, once the person's own addresses are known.
    """
    names = {each.casefold() for each in identity.names}
    spoken = name.casefold()
    return address in {each.casefold() for each in identity.addresses} or (
        not (identity.addresses and "@" in address) and (spoken in names or spoken.partition(" ")[0] in names)
    )


@lru_cache(maxsize=256)
def _as_word(name: str) -> re.Pattern[str]:
    """Return a pattern for the name as a whole word: "jo" is in "jo's class", not in "join"."""
    return re.compile(rf"(?<!\w){re.escape(name)}(?!\w)")
