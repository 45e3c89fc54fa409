"""The freezer of a household as read: its ledger, opened and given the opening stock, and bags in and out of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import fields, replace
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any, TypeVar

from rotation.errors import BadInput, Mistake, StorageError
from rotation.happened import What
from rotation.household.breads import FormId
from rotation.household.reading import STOCK, Home
from rotation.household.stock import Stock, StockLot
from rotation.intake.stock import Bag, opening
from rotation.intended import Use, document, planned_id, uses
from rotation.ledger import Happenings, Ledger, Lot, LotState, Movement, NewLot, Note, Standing
from rotation.ledger import Kind as LedgerKind
from rotation.ledger.book import is_opening
from rotation.ledger.csv_file import Written

Kind = TypeVar("Kind", Bag, Lot, NewLot)

STATE = ".rotation"
"""Folder within a household for what the program remembers; not for people to edit."""


@contextmanager
def freezer(home: Home, now: datetime, *, readonly: bool = False, moving: bool = False) -> Iterator[Ledger]:
    """Open a household's ledger.

    readonly: touch nothing; where no ledger is yet, an empty one. moving: something is to be moved, so what
    `stock.toml` says is put into it first if nothing ever was; until then that file counts. Raises StorageError.
    """
    folder = home.folder / STATE
    if not readonly:
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise StorageError(f"{folder}: cannot be made: {error.strerror or error}.") from None
    with Ledger.open(folder, readonly=readonly) as ledger:
        if moving:
            _seed(home, ledger, now)
        yield ledger


def _seed(home: Home, ledger: Ledger, now: datetime) -> None:
    try:
        ledger.seed([_new(bag) for bag in _bags(home, home.stock)], _digest(home), now)
    except BadInput as bad:
        wrong = [f"{mistake.setting}: {mistake.wrong}" for mistake in bad.mistakes]
        file = str(home.folder / STOCK)
        instead = "Write what was true by then, or say which moment is meant: --now, --from."
        raise BadInput(*(Mistake(file, None, "", one, instead) for one in wrong)) from None


def held(home: Home, ledger: Ledger, now: datetime) -> tuple[LotState, ...]:
    """Return the lots with something left, oldest first. Before anything was recorded, those of `stock.toml`."""
    if ledger.begun():
        return ledger.lots(now)
    written = [(_lot(bag), bag.units) for bag in _bags(home, home.stock)]
    return tuple(LotState(lot, left, lot.standing(now), lot.days_left(now)) for lot, left in written)


def in_freezer(home: Home, ledger: Ledger, now: datetime) -> tuple[Bag, ...]:
    """Return what `held` does, as the intake takes it.

    What steps moved that began after `now` is as before them: in a plan that is understood anew from its first minute
    they are still to come, and would be counted twice.
    """
    bags = {state.lot.id: _bag(state) for state in held(home, ledger, now)}
    begun = now + timedelta(minutes=1)  # a minute that has begun is over
    done = [row for row in Happenings(ledger).standing() if row.what is What.DONE]
    later = {id_ for row in done if row.start is not None and row.start >= begun for id_ in row.movements}
    if not later:
        return tuple(bags.values())
    for share in (share for movement in ledger.history() if movement.id in later for share in movement.shares):
        bag = bags.get(share.lot.id) or _like(share.lot, Bag, units=0)
        bags[share.lot.id] = replace(bag, units=bag.units - share.units)
    there = [bag for bag in bags.values() if bag.units > 0]
    return tuple(sorted(there, key=lambda bag: (bag.eat_first, bag.bagged, bag.id)))


def then_in_freezer(ledger: Ledger, at: datetime) -> tuple[Bag, ...]:
    """Return what was in the freezer at a moment that is over, by what is recorded of it today.

    Where nothing was recorded yet, what was there at the first record, as old as it was then; () where there is none.
    """
    history = [one for one in ledger.history() if one.kind is not LedgerKind.UNDONE and not one.undone]
    if not history:
        return ()
    first = min(one.at for one in history)
    units: Counter[str] = Counter()
    lots: dict[str, Lot] = {}
    for movement in history:
        if movement.at <= max(at, first):
            for share in movement.shares:
                lots[share.lot.id] = share.lot
                units[share.lot.id] += share.units
    earlier = min(at - first, timedelta(0))
    bags = (_like(lot, Bag, units=units[id_]) for id_, lot in lots.items() if units[id_] > 0)
    return tuple(older(bag, earlier) for bag in bags)


def older(bag: Bag, by: timedelta) -> Bag:
    """Return a bag all of whose dates lie elsewhere; by: below zero, earlier."""
    return replace(
        bag,
        bagged=bag.bagged + by,
        through=bag.through + by,
        eat_first=bag.eat_first + by,
        toast_after=bag.toast_after + by,
        strict_until=None if bag.strict_until is None else bag.strict_until + by,
    )


def take(ledger: Ledger, bag: str, units: int, note: Note) -> Movement:
    """Record units taken out of one bag to be eaten. Past an older bag of its kind only with a word in the note.

    Raises BadInput, as the ledger does.
    """
    lots = ledger.lots(note.now)
    meant = next((state.lot for state in lots if bag.upper() == state.lot.letter or bag == state.lot.id), None)
    kind = None if meant is None else (meant.bread, meant.form)
    alike = [state.lot for state in lots if (state.lot.bread, state.lot.form) == kind]
    oldest = next((lot for lot in alike if lot.standing(note.when) is not Standing.PAST_DATE), meant)
    if meant is not None and oldest is not None and _age(oldest) < _age(meant) and not note.reason.strip():
        bagged = oldest.bagged.astimezone(note.now.tzinfo)
        wrong = f"bag {oldest.letter} of {oldest.bread}, bagged {bagged.day} {bagged:%b}, is older."
        instead = f'Take that one, or say why: rotation freezer take {meant.letter} --because "the last for guests"'
        raise BadInput(Mistake("freezer", None, "", wrong, instead))
    return ledger.take_from(bag, units, note)


def _age(lot: Lot) -> tuple[datetime, datetime]:
    """Return what bags of one bread and form are used up in order of."""
    return lot.eat_first, lot.bagged


def planned(ledger: Ledger, now: datetime) -> dict[str, tuple[Use, ...]]:
    """Return what the kept plan still takes out of each bag, by the bag's id; also of bags baked since."""
    meant = uses(document(ledger.kept_plan()), now)
    baked = {state.lot.id: planned_id(state.lot.id) for state in ledger.lots(now)}
    return meant | {id_: meant[known] for id_, known in baked.items() if known in meant}


def begins_with_opening(written: Sequence[Written]) -> bool:
    """Say whether a history from elsewhere begins with an opening stock of its own, so that `stock.toml` is none."""
    return bool(written) and is_opening(written[0].movement.id)


def outdated(home: Home, ledger: Ledger) -> str:
    """Say that `stock.toml` was changed after its lots were taken over; "" if not."""
    taken = ledger.opening()
    if taken is None or taken == _digest(home) or not home.stock.lots:
        return ""
    return f"{STOCK} was changed after it was first read; the freezer's own count holds. Count: rotation freezer count"


def new_bag(home: Home, bread: str, form: str, units: int, bagged: datetime, letter: str = "") -> NewLot:
    """Return a bag with the dates its bread's form gives it, frozen through after the wait that the planner has.

    Raises BadInput for a bread or form that is not there.
    """
    known_form(home, bread, form)
    home = waited(home, bread, bagged)
    kind: FormId = next(known for known in home.known[bread].forms if known == form)
    lot = StockLot.model_construct(bread=bread, form=kind, units=units, bagged=bagged, letter=letter or None)
    (bag,) = _bags(home, Stock.model_construct(lots=(lot,), box=(), under_way=()))
    return replace(_new(bag), id="", letter=letter)


def waited(home: Home, bread: str, at: datetime) -> Home:
    """Return the home with this bread alone, and the waits nobody wrote for it, as a plan of that day has them."""
    from rotation.intake.heat import with_waits

    alone = replace(home, breads={bread: home.known[bread]})
    return with_waits(alone, at, home.settings.plan.days, home.folder / STATE)[0]


def form_meant(home: Home, ledger: Ledger, bread: str, form: str, now: datetime) -> str:
    """Return the form a person means: the one said, else the only one in the freezer. Raises BadInput for two."""
    held_forms = sorted({state.lot.form for state in ledger.lots(now) if state.lot.bread == bread})
    if not form and len(held_forms) > 1:
        raise BadInput(Mistake("--form", None, "", f"{bread} is there {' and '.join(held_forms)}.", "Say which."))
    known_bread(home, bread)
    meant = form or next(iter(held_forms), "") or next(iter(home.known[bread].forms), "")
    known_form(home, bread, meant)
    return meant


def known_bread(home: Home, bread: str) -> None:
    """Raise BadInput unless the household has this bread."""
    if bread not in home.known:
        raise _unknown(f'there is no bread "{bread[:60]}".', home.breads)


def known_form(home: Home, bread: str, form: str) -> None:
    """Raise BadInput unless the household has this bread in this form."""
    known_bread(home, bread)
    if form not in home.known[bread].forms:
        raise _unknown(f'{bread} is not kept "{form[:60]}".', home.known[bread].forms)


def _bags(home: Home, stock: Stock) -> tuple[Bag, ...]:
    """Return the bags of a stock, with the dates that this home's freezer gives them."""
    return opening(stock, home.known, home.zone, home.settings.kitchen.freezer_degc)


def _unknown(wrong: str, known: Iterable[str]) -> BadInput:
    return BadInput(Mistake("freezer", None, "", wrong, f"There is: {', '.join(sorted(known)) or 'none'}."))


def _bag(state: LotState) -> Bag:
    return _like(state.lot, Bag, units=state.left)


def _lot(bag: Bag) -> Lot:
    return _like(bag, Lot)


def _new(bag: Bag) -> NewLot:
    return _like(bag, NewLot)


def _like(one: Bag | Lot, kind: type[Kind], **more: int) -> Kind:
    """Return the same bag as another kind of record: what both call alike, and more."""
    values: dict[str, Any] = {f.name: more[f.name] if f.name in more else getattr(one, f.name) for f in fields(kind)}
    return kind(**values)


def _digest(home: Home) -> str:
    """Return what tells one `stock.toml` from another: its lots, not its comments."""
    said = "\n".join(lot.model_dump_json() for lot in home.stock.lots)
    return sha256(said.encode()).hexdigest()
