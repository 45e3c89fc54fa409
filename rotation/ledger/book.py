"""The ledger itself: what may be recorded, from which lots, and what is left."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self
from uuid import uuid4

from rotation.asked import Asked
from rotation.ledger import checks, choose, rows, storage, told
from rotation.ledger.checks import refused
from rotation.ledger.records import Kind, LotState, Movement, NewLot, Note, Share

_OPENING = "opening "
"""Begins the id of the movement that records the opening stock; the digest of its source follows."""


def is_opening(identity: str) -> bool:
    """Say whether a movement of this id records an opening stock."""
    return identity.startswith(_OPENING)


class Ledger:
    """A household's freezer as an append-only list of movements; every count is derived from it.

    Every write is one transaction and returns the movement it recorded; a second call with the same `Note.id` records
    nothing and returns what the first one did. Refused with BadInput, and nothing recorded: times that are naive or
    more than a day ahead, counts that are not whole numbers in reason, more than is there. Whatever is wrong with the
    file or its disk is a StorageError. Lots are named by their bag's letter or by id.
    """

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self._path = path

    @classmethod
    def open(cls, folder: Path, *, readonly: bool = False, busy_seconds: float = 10) -> Self:
        """Open the ledger in a household's folder of state, made or brought up to date as needed.

        readonly: for disks that may only be read. Where no ledger is there yet it is empty, and forgotten when closed.
        busy_seconds: how long to wait for another program that is writing.
        """
        path = folder / storage.FILE
        return cls(storage.connect(path, readonly=readonly, busy_seconds=busy_seconds), path)

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def lots(self, now: datetime) -> tuple[LotState, ...]:
        """Return every lot with something left, oldest first."""
        checks.instant("now", now)
        with storage.plain_words(self._path):
            held = rows.stock(self._connection)
        return tuple(LotState(s.lot, s.units, s.lot.standing(now), s.lot.days_left(now)) for s in held)

    def history(self, last: int | None = None) -> tuple[Movement, ...]:
        """Return every movement, or only the `last` so many, in the order they were recorded."""
        with storage.plain_words(self._path):
            return rows.movements(self._connection, last=last)

    def begun(self) -> bool:
        """Say whether anything was ever recorded."""
        with storage.plain_words(self._path):
            return rows.first_movement(self._connection) is not None

    def recorded(self, identity: str) -> Movement | None:
        """Return the movement with an id, or None."""
        with storage.plain_words(self._path):
            return next(iter(rows.movements(self._connection, identity)), None)

    def opening(self) -> str | None:
        """Return the digest of the text the opening stock was read from, or None if there was none."""
        with storage.plain_words(self._path):
            first = rows.first_movement(self._connection)
        return first.removeprefix(_OPENING) if first is not None and is_opening(first) else None

    def seed(self, lots: Sequence[NewLot], source_digest: str, now: datetime) -> bool:
        """Record the opening stock, if nothing was ever recorded; return whether this call did."""
        at = checks.instant("now", now)
        identity = _OPENING + checks.name("digest", source_digest)
        with storage.plain_words(self._path):
            if not lots or rows.first_movement(self._connection) is not None:
                return False  # every run asks, so that most must not wait for the right to write
        with self.writing():
            if rows.first_movement(self._connection) is not None:
                return False
            self._write(Movement(identity, Kind.ADDED, at, at, "opening stock", "", False, self._bag(lots, now)))
        return True

    def add(self, lot: NewLot, note: Note, *, baked: bool = False) -> Movement:
        """Record a new lot, from a bake or, by default, simply there. Its letter is in the movement's only share."""
        return self._record(Kind.BAKED if baked else Kind.ADDED, note, lambda: self._bag([lot], note.now))

    def take(self, bread: str, form: str, units: int, note: Note) -> Movement:
        """Record units taken out to be eaten, oldest lot first. A lot past its strict date refuses: discard it."""
        checks.whole(units, 1)

        def shares() -> tuple[Share, ...]:
            held = choose.alike(self._connection, bread, form)
            out = choose.oldest_first(held, units, rows.stock(self._connection))
            for share in out:
                checks.edible(share.lot, note.when)
            return out

        return self._record(Kind.TAKEN, note, shares)

    def take_from(self, lot: str, units: int, note: Note) -> Movement:
        """Record units taken out of one lot to be eaten, whatever else is older."""
        checks.whole(units, 1)

        def shares() -> tuple[Share, ...]:
            held = choose.lot(self._connection, lot)
            checks.edible(held.lot, note.when)
            return choose.oldest_first([held], units, [held])

        return self._record(Kind.TAKEN, note, shares)

    def discard(self, lot: str, units: int | None, note: Note) -> Movement:
        """Record units of a lot thrown away or used for crumbs, with the reason; None: all that is left."""
        if units is not None:
            checks.whole(units, 1)
        if not checks.remark(note.reason):
            raise refused("reason", "it is empty.", 'Say why in a few words: "freezer burn".')

        def shares() -> tuple[Share, ...]:
            held = choose.lot(self._connection, lot)
            return choose.oldest_first([held], held.units if units is None else units, [held])

        return self._record(Kind.DISCARDED, note, shares)

    def refreeze(self, lot: str, through: datetime, note: Note) -> Movement:
        """Record that what a lot holds softened and is frozen again, for toast: a lot of its own in the same bag.

        through: when it is hard again. Its strict date stays.
        """

        def shares() -> tuple[Share, ...]:
            held = choose.lot(self._connection, lot)
            dates = {"through": through, "eat_first": note.when, "toast_after": note.when}
            again = {**{name: getattr(held.lot, name) for name in held.lot.__dataclass_fields__}, **dates}
            dated = checks.dated(NewLot(units=held.units, **again | {"id": f"again-{uuid4()}"}), note.now)
            both = Share(held.lot, -held.units), Share(rows.insert_lot(self._connection, dated), held.units)
            return tuple(sorted(both, key=lambda share: (share.lot.eat_first, share.lot.bagged, share.lot.id)))

        return self._record(Kind.ADDED, note, shares)

    def count(self, bread: str, form: str, units: int, note: Note) -> Movement:
        """Record how many units of a bread and form really are there; the difference is the movement.

        What is missing is gone from the oldest lots; what is found is back in the lot last taken from, or, if none was
        or its letter is on another bag by now, in the oldest.
        """
        checks.whole(units, 0)

        def shares() -> tuple[Share, ...]:
            held = choose.alike(self._connection, bread, form)
            found = units - sum(share.units for share in held)
            if found > 0:
                return (Share(choose.back_into(self._connection, bread, form), found),)
            return choose.oldest_first(held, -found, held)

        return self._record(Kind.COUNTED, note, shares)

    def count_lot(self, lot: str, units: int, note: Note) -> Movement:
        """Record how many units really are in one lot; it may be one thought empty."""
        checks.whole(units, 0)

        def shares() -> tuple[Share, ...]:
            held = choose.lot(self._connection, lot, empty_too=True)
            return (Share(held.lot, units - held.units),) if units != held.units else ()

        return self._record(Kind.COUNTED, note, shares)

    def undo(self, movement_id: str, note: Note) -> Movement:
        """Record the reverse of a movement, once however often it is asked for (`note.id` is not used)."""

        def shares() -> tuple[Share, ...]:
            found = rows.movements(self._connection, movement_id)
            if not found:
                raise refused("undo", f"there is no movement {movement_id[:100]!r}.", "Take an id from the history.")
            if found[0].kind is Kind.UNDONE:
                raise refused("undo", "that movement is itself an undo.", "Record what happened again instead.")
            return tuple(replace(share, units=-share.units) for share in found[0].shares)

        return self._record(Kind.UNDONE, note, shares, undoes=movement_id)

    def keep_plan(self, plan_json: str, at: datetime, whole: str = "", asked: Sequence[Asked] = ()) -> None:
        """Keep a proven plan in place of the one before, with the wishes it took in: wholly or not at all.

        plan_json: as it is shown; whole: as it can be read again (rotation/carried.py). ValueError if not JSON.
        """
        json.loads(plan_json)
        when = checks.instant("at", at).isoformat()
        with self.writing() as connection:
            told.keep(connection, "plan", plan_json, when)
            told.keep(connection, "whole plan", whole, when)
            for wish in asked:
                told.record_wish(connection, wish, when)

    def kept_plan(self) -> str | None:
        """Return the plan last kept, as it is shown, or None."""
        with self.reading() as connection:
            return told.kept(connection, "plan")

    def whole_plan(self) -> str | None:
        """Return the plan last kept, as it can be read again, or None."""
        with self.reading() as connection:
            return told.kept(connection, "whole plan") or None

    @contextmanager
    def together(self) -> Iterator[None]:
        """Make one transaction of all that is recorded within: all of it or nothing, and nobody else writes meanwhile.

        What is refused within and goes on from there takes back itself alone.
        """
        with self.writing():
            yield

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Hold the only right to write; all that is done within is recorded, or nothing. For this package alone."""
        with storage.plain_words(self._path), storage.transaction(self._connection):
            yield self._connection

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Give what is read from. For this package alone."""
        with storage.plain_words(self._path):
            yield self._connection

    def _record(self, kind: Kind, note: Note, shares: Callable[[], tuple[Share, ...]], *, undoes: str = "") -> Movement:
        """Record one movement, unless its id was recorded before; `shares` is called inside the transaction."""
        noted = checks.instant("now", note.now)
        at = checks.happened("at", note.when, note.now)
        identity = f"undo {undoes}" if undoes else checks.name("id", note.id or str(uuid4()))
        with self.writing():
            for first in rows.movements(self._connection, identity):
                if first.kind is not kind:
                    raise refused("id", f"{identity!r} was recorded as {first.kind}, not {kind}.", "Use a new id.")
                return first
            movement = Movement(identity, kind, at, noted, checks.remark(note.reason), undoes, False, shares())
            self._write(movement)
        return movement

    def _write(self, movement: Movement) -> None:
        """Write a movement, if every lot keeps to what is possible: nothing below zero, no letter on two bags."""
        stock = rows.stock(self._connection)
        held = {share.lot.id: share.units for share in stock}
        letters = {share.lot.letter: share.lot.id for share in stock}
        for lot, units in ((share.lot, share.units) for share in sorted(movement.shares, key=lambda one: one.units)):
            checks.possible(lot, movement.at)
            left = held.get(lot.id, 0)
            if left + units < 0:
                wrong = f"{-units} would have to leave bag {lot.letter}, and {left} are in it."
                raise refused("units", wrong, "Undo first what was taken since, or count the bag.")
            if letters.get(lot.letter, lot.id) != lot.id:
                raise refused("lot", f"{lot.letter} is on another bag by now.", "Add what you found as a new bag.")
            if not left + units:
                letters.pop(lot.letter, None)  # what was in it may be in a bag of that letter again
        rows.insert_movement(self._connection, movement)

    def _bag(self, lots: Sequence[NewLot], now: datetime) -> tuple[Share, ...]:
        """Write new lots, with ids and letters where they have none; return them with what goes in."""
        dated = [checks.dated(lot, now) for lot in lots]
        used = {share.lot.letter for share in rows.stock(self._connection)}
        given = {lot.letter for lot in dated if lot.letter}
        resting = rows.resting_letters(self._connection, checks.instant("now", now))
        shares = []
        for lot in dated:
            if lot.letter in used:
                raise refused("letter", f"there is a bag {lot.letter} already.", "Write another, or leave it out.")
            if rows.known_lot(self._connection, lot.id):
                raise refused("id", f"there was a lot {lot.id!r} already.", "Use a new id, or leave it out.")
            letter = lot.letter or checks.lowest_letter(used | given | resting)
            used.add(letter)
            made = rows.insert_lot(self._connection, replace(lot, letter=letter, id=lot.id or f"lot-{uuid4()}"))
            shares.append(Share(made, lot.units))
        return tuple(shares)
