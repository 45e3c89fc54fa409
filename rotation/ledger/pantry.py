"""What was said of the ingredients there: counted, written in the settings, bought. Rows are append-only."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from math import isfinite
from typing import TYPE_CHECKING

from rotation.ledger import checks

if TYPE_CHECKING:
    from rotation.ledger.book import Ledger

MOST_GRAMS = 1_000_000
"""More of one ingredient is a slip of the finger."""

_STANDS = """kind <> 'undone' AND NOT EXISTS (
    SELECT * FROM pantry AS later WHERE later.act = 'undo ' || pantry.act AND later.name = pantry.name)"""


class Said(StrEnum):
    """How it is known: so much is there, counted; so much is there, in the settings; so much more was bought."""

    THERE = "there"
    WRITTEN = "written"
    BOUGHT = "bought"


@dataclass(frozen=True)
class Stated:
    """Grams of one ingredient, said at a moment as a part of an act. number: in the order of recording."""

    act: str
    name: str
    said: Said
    grams: float
    at: datetime
    number: int = 0


class Pantry:
    """What a ledger remembers of ingredients. Every write is one transaction."""

    def __init__(self, ledger: Ledger) -> None:
        self._ledger = ledger

    def standing(self) -> tuple[Stated, ...]:
        """Return all that was said and not taken back, in the order of its moments."""
        with self._ledger.reading() as connection:
            rows = connection.execute(f"SELECT * FROM pantry WHERE {_STANDS} ORDER BY at, seq").fetchall()
            return tuple(map(_stated, rows))

    def record(self, act: str, said: Said, grams: Mapping[str, float], at: datetime, now: datetime) -> None:
        """Record grams by ingredient. act: an id of its own. Raises BadInput for what cannot be."""
        moment, noted = checks.happened("at", at, now).isoformat(), checks.instant("now", now).isoformat()
        with self._ledger.writing() as connection:
            for name, each in grams.items():
                if not (isfinite(each) and 0 <= each <= MOST_GRAMS):
                    raise checks.refused("grams", f"{each:g} g cannot be.", f"Write 0 to {MOST_GRAMS} g.")
                row = (checks.name("act", act), checks.name("ingredient", name), str(said), float(each), moment, noted)
                _insert(connection, row)

    def undo(self, act: str, now: datetime) -> tuple[Stated, ...]:
        """Record that an act was said in error; return what it had said that stood."""
        noted = checks.instant("now", now).isoformat()
        with self._ledger.writing() as connection:
            query = f"SELECT * FROM pantry WHERE act = ? AND {_STANDS} ORDER BY seq"
            stood = tuple(map(_stated, connection.execute(query, (act,)).fetchall()))
            for one in stood:
                _insert(connection, (f"undo {act}", one.name, "undone", 0.0, noted, noted))
        return stood


def _insert(connection: sqlite3.Connection, row: tuple[object, ...]) -> None:
    connection.execute("INSERT INTO pantry (act, name, kind, grams, at, noted) VALUES (?, ?, ?, ?, ?, ?)", row)


def _stated(row: sqlite3.Row) -> Stated:
    return Stated(
        row["act"], row["name"], Said(row["kind"]), row["grams"], datetime.fromisoformat(row["at"]), row["seq"]
    )
