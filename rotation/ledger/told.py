"""What the family was told: plans published, how far each bake and thaw has come since, and what it asked for.

All rows are append-only; the last one about a thing or a wish counts.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from rotation.asked import Asked
from rotation.ledger import checks
from rotation.ledger.records import Publication
from rotation.life import State, moved

if TYPE_CHECKING:
    from rotation.ledger.book import Ledger

_LAST_WISHES = """SELECT * FROM wish WHERE seq IN (SELECT MAX(seq) FROM wish GROUP BY id) ORDER BY seq"""


class Told:
    """What a ledger remembers of published plans. Every write is one transaction."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger

    def last(self) -> Publication | None:
        """Return the plan published last, or None."""
        return next(self.publications(), None)

    def publications(self) -> Iterator[Publication]:
        """Yield the plans published, the last one first."""
        with self._ledger.reading() as connection:
            rows = connection.execute("SELECT seq FROM publication ORDER BY seq DESC").fetchall()
            for row in rows:
                found = connection.execute("SELECT * FROM publication WHERE seq = ?", (row["seq"],)).fetchone()
                at = datetime.fromisoformat(found["at"])
                yield Publication(found["seq"], found["plan"], found["meant"], at)

    def states(self) -> dict[str, State]:
        """Return how far each thing ever published has come, by id."""
        with self._ledger.reading() as connection:
            return _states(connection)

    def publish(
        self,
        plan: str,
        plan_json: str,
        meant: str,
        things: Mapping[str, str],
        at: datetime,
        given_up: Iterable[str] = (),
        feeds: str = "",
    ) -> None:
        """Record a plan as published, and keep it as the current one.

        plan, plan_json: whole and as shown, with the ids that things keep from now on; meant: what its entries mean.
        things: id to kind ("bake", "thaw", "finish", "feed", "stay") of all that is in it; given_up: what was
        published, was still to come and is in it no more. feeds: what those read that only subscribe.
        """
        when = checks.instant("at", at).isoformat()
        with self._ledger.writing() as connection:
            row = (plan, meant, when)
            made = connection.execute("INSERT INTO publication (plan, meant, at) VALUES (?, ?, ?)", row).lastrowid
            keep(connection, "plan", plan_json, when)
            keep(connection, "whole plan", plan, when)
            keep(connection, "feeds", feeds, when)
            states = _states(connection)
            for id_, kind in things.items():
                if id_ not in states:
                    connection.execute("INSERT INTO thing (id, kind, publication) VALUES (?, ?, ?)", (id_, kind, made))
                    _come_to(connection, id_, State.PUBLISHED, when, when)
            for id_ in given_up:
                if states.get(id_) is State.PUBLISHED:
                    _come_to(connection, id_, State.ABANDONED, when, when)

    def feeds(self) -> tuple[str, datetime] | None:
        """Return what those read that only subscribe, and since when; None where nothing was published."""
        with self._ledger.reading() as connection:
            row = connection.execute("SELECT json, at FROM kept WHERE name = 'feeds' AND json <> ''").fetchone()
            return None if row is None else (row["json"], datetime.fromisoformat(row["at"]))

    def keep_feeds(self, feeds: str, at: datetime) -> None:
        """Keep what those read that only subscribe, where the plan published stays the same."""
        when = checks.instant("at", at).isoformat()
        with self._ledger.writing() as connection:
            keep(connection, "feeds", feeds, when)

    def move(self, things: Iterable[str], to: State, at: datetime, now: datetime) -> None:
        """Record that things came to a state at a moment; those already there stay. BadInput for what is no move."""
        happened, noted = checks.happened("at", at, now).isoformat(), checks.instant("now", now).isoformat()
        with self._ledger.writing() as connection:
            states = _states(connection)
            for id_ in things:
                if moved(id_, states[id_], to) is not states[id_]:
                    _come_to(connection, id_, to, happened, noted)

    def wishes(self, now: datetime) -> tuple[Asked, ...]:
        """Return what the family asked for by its edits and is not over yet, in the order it was asked."""
        return tuple(wish for wish in self.last_words().values() if not wish.over and wish.until > now)

    def last_words(self) -> dict[str, Asked]:
        """Return the last record of every wish by its id, also of those that are over."""
        with self._ledger.reading() as connection:
            return {row["id"]: _asked(row) for row in connection.execute(_LAST_WISHES)}

    def record_wishes(self, wishes: Iterable[Asked], now: datetime) -> None:
        """Record wishes, or, with `over`, that they are no longer asked for."""
        when = checks.instant("now", now).isoformat()
        with self._ledger.writing() as connection:
            for wish in wishes:
                record_wish(connection, wish, when)


def keep(connection: sqlite3.Connection, name: str, text: str, when: str) -> None:
    """Keep a text under a name, in place of the one before."""
    connection.execute("INSERT OR REPLACE INTO kept (name, json, at) VALUES (?, ?, ?)", (name, text, when))


def kept(connection: sqlite3.Connection, name: str) -> str | None:
    """Return the text kept under a name, or None."""
    row = connection.execute("SELECT json FROM kept WHERE name = ?", (name,)).fetchone()
    return None if row is None else str(row["json"])


def record_wish(connection: sqlite3.Connection, wish: Asked, when: str) -> None:
    """Write a wish, unless it stands there already."""
    last = connection.execute("SELECT * FROM wish WHERE id = ? ORDER BY seq DESC LIMIT 1", (wish.id,)).fetchone()
    if last is not None and _asked(last) == wish:
        return
    what = (wish.id, wish.thing, wish.belongs, wish.kind, wish.bread, wish.step)
    connection.execute(
        """INSERT INTO wish (id, thing, belongs, kind, bread, step, since, until, said, over, at, publication)
        VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, (SELECT MAX(seq) FROM publication))""",
        (*what, wish.since.isoformat(), wish.until.isoformat(), wish.said, wish.over, when),
    )


def _asked(row: sqlite3.Row) -> Asked:
    return Asked(
        id=row["id"],
        thing=row["thing"],
        belongs=row["belongs"],
        kind=row["kind"],
        bread=row["bread"],
        step=row["step"],
        since=datetime.fromisoformat(row["since"]),
        until=datetime.fromisoformat(row["until"]),
        said=row["said"],
        over=row["over"],
        after=row["publication"],
    )


def _states(connection: sqlite3.Connection) -> dict[str, State]:
    rows = connection.execute("SELECT thing, state FROM life WHERE seq IN (SELECT MAX(seq) FROM life GROUP BY thing)")
    return {row["thing"]: State(row["state"]) for row in rows}


def _come_to(connection: sqlite3.Connection, thing: str, state: State, at: str, noted: str) -> None:
    connection.execute("INSERT INTO life (thing, state, at, noted) VALUES (?, ?, ?, ?)", (thing, str(state), at, noted))
