"""Movements brought in from elsewhere: all of them or none, each counted once."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from rotation.errors import BadInput, Mistake
from rotation.ledger import checks, rows
from rotation.ledger.book import Ledger
from rotation.ledger.csv_file import MOST_MISTAKES, Written
from rotation.ledger.records import Kind, Lot, Movement, NewLot, Share


@dataclass(frozen=True)
class Imported:
    """How many movements were new, and how many were recorded before."""

    new: int
    known: int


def bring_in(ledger: Ledger, written: Sequence[Written], file: str, now: datetime) -> Imported:
    """Record movements in their order, if all of them can be; those whose id is known count no second time.

    Raises BadInput that names every line of `file` that cannot be, and nothing is recorded.
    """
    with ledger.writing() as connection:
        state = _State.of(connection)
        mistakes: list[Mistake] = []
        new = 0
        for one in written:
            try:
                if state.take_in(one.movement, now):
                    new += 1
            except BadInput as bad:
                mistakes += [Mistake(file, one.line, said.setting, said.wrong, said.instead) for said in bad.mistakes]
        if mistakes:
            raise BadInput(*mistakes[:MOST_MISTAKES])
        for lot in state.new_lots:
            rows.insert_lot(connection, lot)
        for movement in state.new:
            rows.insert_movement(connection, movement)
    return Imported(new, len(written) - new)


@dataclass
class _State:
    """What is recorded, and what a file would add to it."""

    movements: dict[str, Movement]
    lots: dict[str, Lot]
    held: dict[str, int]
    undone: set[str]
    new: list[Movement] = field(default_factory=list)
    new_lots: list[NewLot] = field(default_factory=list)

    @classmethod
    def of(cls, connection: sqlite3.Connection) -> _State:
        stock, known = rows.stock(connection, empty_too=True), rows.movements(connection)
        return cls(
            {movement.id: movement for movement in known},
            {share.lot.id: share.lot for share in stock},
            {share.lot.id: share.units for share in stock},
            {movement.undoes for movement in known if movement.undoes},
        )

    def take_in(self, movement: Movement, now: datetime) -> bool:
        """Add a movement, unless it is known; return whether it was new."""
        if movement.id in self.movements:
            if _told(self.movements[movement.id]) != _told(movement):
                wrong = f"{movement.id!r} was recorded already, and otherwise."
                raise checks.refused("movement", wrong, "Give what is new an id of its own.")
            return False
        for at in (movement.at, movement.noted):
            checks.happened("at", at, now)
        if movement.undoes:
            self._undoes(movement)
        before = dict(self.held), dict(self.lots), len(self.new_lots)
        try:
            for share in sorted(movement.shares, key=lambda share: share.units):  # a bag is emptied before its next use
                self._share(movement, share, now)
        except BadInput:
            self.held, self.lots, fewer = before
            del self.new_lots[fewer:]
            raise
        self.movements[movement.id] = movement
        self.undone.add(movement.undoes)
        self.new.append(movement)
        return True

    def _undoes(self, movement: Movement) -> None:
        taken_back = self.movements.get(movement.undoes)
        if taken_back is None or movement.undoes in self.undone or taken_back.kind is Kind.UNDONE:
            wrong = f"{movement.undoes!r} is not there to be taken back."
            raise checks.refused("undoes", wrong, "Name a movement that stands, here or above.")
        back = {share.lot.id: -share.units for share in movement.shares}
        if back != {share.lot.id: share.units for share in taken_back.shares}:
            raise checks.refused("units", "they do not reverse what is taken back.", "Give the same, with other signs.")

    def _share(self, movement: Movement, share: Share, now: datetime) -> None:
        lot, left = share.lot, self.held.get(share.lot.id, 0)
        if self.lots.get(lot.id, lot) != lot:
            raise checks.refused("lot", f"{lot.id!r} is known with other dates or names.", "Leave those as they were.")
        checks.dated(_new(share), now)
        checks.possible(lot, movement.at)
        _right_way(movement.kind, share.units)
        if left + share.units < 0:
            wrong = f"{-share.units} would have to leave bag {lot.letter}, and {left} are in it."
            raise checks.refused("units", wrong, "Give the movements that filled it first.")
        others = (self.lots[id_] for id_, units in self.held.items() if units and id_ != lot.id)
        if not left and any(other.letter == lot.letter for other in others):
            raise checks.refused("letter", f"{lot.letter} is on another bag then.", "Give one of them another letter.")
        if lot.id not in self.lots:
            self.lots[lot.id] = lot
            self.new_lots.append(_new(share))
        self.held[lot.id] = left + share.units


def _new(share: Share) -> NewLot:
    """Return the lot of a share as one to be recorded."""
    return NewLot(units=abs(share.units), **{name: getattr(share.lot, name) for name in Lot.__dataclass_fields__})


def _told(movement: Movement) -> tuple[object, ...]:
    """Return what two records of one movement have to agree in."""
    shares = frozenset((share.lot, share.units) for share in movement.shares)
    return movement.kind, movement.at, movement.undoes, shares


def _right_way(kind: Kind, units: int) -> None:
    """Refuse what is baked but goes out, or is eaten but comes in."""
    if (kind is Kind.BAKED and units < 0) or (kind in (Kind.TAKEN, Kind.DISCARDED) and units > 0):
        raise checks.refused("units", f"{units} does not go with {kind}.", "Above zero is in, below zero is out.")
