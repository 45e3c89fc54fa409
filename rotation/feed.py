"""The feed: the published entries, for phones that only subscribe. One for all, and one for each person's hands."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pydantic import TypeAdapter, ValidationError

from calendars.writing import Entry, to_ics
from rotation.entries import PRODUCT
from rotation.entries.wanted import for_another
from rotation.household.reading import Home
from rotation.keys import FEEDS, Keys
from rotation.plan import Plan
from rotation.problem import Problem

ALL = "all"
"""Whose feed it is that has everything."""

KEPT_FOR = timedelta(days=14)
"""How long after its end an entry stays in the feed that no later plan has."""


@dataclass(frozen=True)
class Feed:
    """What one feed holds. name: what calendar programs call it; entries: by start."""

    name: str
    entries: tuple[Entry, ...] = ()


Feeds = dict[str, Feed]
"""By ALL, or the id of a person."""
_AS_TEXT = TypeAdapter(Feeds)


def feeds_of(home: Home, problem: Problem, plan: Plan, own: Iterable[Entry]) -> Feeds:
    """Return what the feeds are to hold of a plan. own: the entries of the calendar for bread alone."""
    name = home.settings.entries.calendar
    found = {ALL: Feed(name, _events(own))}
    for person in home.settings.people:
        if person.bakes or person.finishes:
            steps = (one.entry for one in for_another(home, problem, plan, person.id, ""))
            found[f"of {person.id}"] = Feed(f"{name}, {person.called}", _events(steps))
    return found


def names(home: Home) -> dict[str, str]:
    """Return who may have a feed, and what a person calls it."""
    people = {f"of {one.id}": f"{one.called}'s own steps" for one in home.settings.people if one.bakes or one.finishes}
    return {ALL: "Everything", **people}


def carried_on(before: str | None, wanted: Feeds, now: datetime) -> str:
    """Return the feeds as text to be kept, with what stays of those before: numbers of changes, and what is over."""
    known = _read(before)
    feeds = {who: replace(feed, entries=_carried_on(known.get(who), feed, now)) for who, feed in wanted.items()}
    return _AS_TEXT.dump_json(feeds).decode()


def news(before: str | None, after: str) -> int:
    """Return how many entries of the feed for all are new, changed or gone."""
    old, new = ({(one.uid, one.sequence) for one in _read(kept).get(ALL, Feed("")).entries} for kept in (before, after))
    return len({uid for uid, _ in old ^ new})


def document(kept: str | None, who: str, stamp: datetime) -> bytes:
    """Return one feed as iCalendar; an empty one where nothing was published. stamp: when it was kept."""
    feed = _read(kept).get(who, Feed("Bread"))
    return to_ics(feed.entries, name=feed.name, stamp=stamp, product_id=PRODUCT)


def addresses(keys: Keys) -> dict[str, str]:
    """Return the secret of each feed that somebody asked for, by whose it is."""
    held = keys.read(FEEDS).items()
    return {who: secret for who, secret in held if isinstance(secret, str) and len(secret) >= 32}


def renew(keys: Keys, who: str) -> str:
    """Return a new secret for a feed. The one before, if any, leads nowhere from now on."""
    secret = secrets.token_urlsafe(24)
    keys.write(FEEDS, {**addresses(keys), who: secret})
    return secret


def close(keys: Keys, who: str) -> None:
    """Take a feed away: its address leads nowhere from now on."""
    keys.write(FEEDS, {known: secret for known, secret in addresses(keys).items() if known != who})


def whose(keys: Keys, secret: str) -> str | None:
    """Return whose feed this is the secret of, or None. Takes as long whichever it is."""
    found = None
    for who, known in addresses(keys).items():
        if hmac.compare_digest(known.encode(), secret.encode()):
            found = who
    return found


def path(secret: str) -> str:
    """Return where a feed is, below the address of the page."""
    return f"/feed/{secret}.ics"


def _events(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return entries as a subscription can show them: nobody can tick off what cannot be written."""
    return tuple(replace(entry, task=False) for entry in entries)


def _carried_on(before: Feed | None, wanted: Feed, now: datetime) -> tuple[Entry, ...]:
    known = {} if before is None else {entry.uid: entry for entry in before.entries}
    entries = [_numbered(known.get(entry.uid), entry, now) for entry in wanted.entries]
    there = {entry.uid for entry in entries}
    over = [old for old in known.values() if old.uid not in there and old.start <= now < old.end + KEPT_FOR]
    return tuple(sorted((*over, *entries), key=lambda entry: (entry.start, entry.uid)))


def _numbered(before: Entry | None, entry: Entry, now: datetime) -> Entry:
    """Return an entry with how often it was changed, and when last."""
    if before is None:
        return replace(entry, last_modified=now)
    if replace(entry, sequence=before.sequence, last_modified=before.last_modified) == before:
        return before
    return replace(entry, sequence=before.sequence + 1, last_modified=now)


def _read(kept: str | None) -> Mapping[str, Feed]:
    """Return feeds that were kept; none where they are of another version of the program."""
    try:
        return {} if kept is None else _AS_TEXT.validate_json(kept)
    except ValidationError:
        return {}
