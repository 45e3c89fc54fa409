"""The freezer of a household as read: its ledger, opened and given the opening stock, and bags in and out of it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from rotation.errors import BadInput, Mistake, StorageError
from rotation.household.breads import FormId
from rotation.household.reading import STOCK, Home
from rotation.household.stock import Stock, StockLot
from rotation.intake.stock import Bag, opening
from rotation.ledger import Ledger, LotState, NewLot

STATE = ".rotation"
"""Folder within a household for what the program remembers; not for people to edit."""


@contextmanager
def freezer(home: Home, now: datetime, *, readonly: bool = False) -> Iterator[Ledger]:
    """Open a household's ledger; the first time, what `stock.toml` says is put into it.

    readonly: touch nothing; where no ledger is yet, an empty one. Raises StorageError.
    """
    folder = home.folder / STATE
    if not readonly:
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise StorageError(f"{folder}: cannot be made: {error.strerror or error}.") from None
    with Ledger.open(folder, readonly=readonly) as ledger:
        if not readonly:
            ledger.seed([_new(bag) for bag in opening(home.stock, home.breads, home.zone)], _digest(home), now)
        yield ledger


def in_freezer(home: Home, ledger: Ledger, now: datetime) -> tuple[Bag, ...]:
    """Return the bags with something in them. Before anything was recorded, those of `stock.toml`."""
    if not ledger.history():
        return opening(home.stock, home.breads, home.zone)
    return tuple(_bag(state) for state in ledger.lots(now))


def outdated(home: Home, ledger: Ledger) -> str:
    """Say that `stock.toml` was changed after its lots were taken over; "" if not."""
    taken = ledger.opening()
    if taken is None or taken == _digest(home) or not home.stock.lots:
        return ""
    return f"{STOCK} was changed after it was first read; the freezer's own count holds. Count: rotation freezer count"


def new_bag(home: Home, bread: str, form: str, units: int, bagged: datetime, letter: str = "") -> NewLot:
    """Return a bag with the dates its bread's form gives it. Raises BadInput for a bread or form that is not there."""
    known_form(home, bread, form)
    kind: FormId = next(known for known in home.breads[bread].forms if known == form)
    lot = StockLot.model_construct(bread=bread, form=kind, units=units, bagged=bagged, letter=letter or None)
    (bag,) = opening(Stock.model_construct(lots=(lot,), box=(), under_way=()), home.breads, home.zone)
    made = _new(bag)
    return NewLot(
        bread=made.bread,
        form=made.form,
        units=units,
        bagged=made.bagged,
        through=made.through,
        eat_first=made.eat_first,
        toast_after=made.toast_after,
        strict_until=made.strict_until,
        letter=letter,
    )


def known_form(home: Home, bread: str, form: str) -> None:
    """Raise BadInput unless the household has this bread in this form."""
    if bread not in home.breads:
        raise _unknown(f'there is no bread "{bread[:60]}".', home.breads)
    if form not in home.breads[bread].forms:
        raise _unknown(f'{bread} is not kept "{form[:60]}".', home.breads[bread].forms)


def _unknown(wrong: str, known: object) -> BadInput:
    names = ", ".join(sorted(map(str, known))) if hasattr(known, "__iter__") else ""
    return BadInput(Mistake("freezer", None, "", wrong, f"There is: {names or 'none'}."))


def _bag(state: LotState) -> Bag:
    lot = state.lot
    return Bag(
        lot.id,
        lot.letter,
        lot.bread,
        lot.form,
        state.left,
        lot.bagged,
        lot.through,
        lot.eat_first,
        lot.toast_after,
        lot.strict_until,
    )


def _new(bag: Bag) -> NewLot:
    return NewLot(
        bread=bag.bread,
        form=bag.form,
        units=bag.units,
        bagged=bag.bagged,
        through=bag.through,
        eat_first=bag.eat_first,
        toast_after=bag.toast_after,
        strict_until=bag.strict_until,
        id=bag.id,
        letter=bag.letter,
    )


def _digest(home: Home) -> str:
    """Return what tells one `stock.toml` from another: its lots, not its comments."""
    path: Path = home.folder / STOCK
    said = "\n".join(lot.model_dump_json() for lot in home.stock.lots) if path.exists() else ""
    return sha256(said.encode()).hexdigest()
