"""Bread put into the freezer, taken out and counted by hand, each told by a person and noted as a movement.

What the kept plan says of the time before comes first: what was to thaw in the morning is not taken off what was
counted at night. The id of a note counts once. Nothing is printed here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from rotation.assuming import LATE, settle
from rotation.errors import BadInput, Mistake
from rotation.household.reading import Home
from rotation.ledger import Happenings, Kind, Ledger, Movement, Note, Requests
from rotation.ledger.book import is_opening
from rotation.outage import act_of
from rotation.recording import past
from rotation.stockroom import form_meant, freezer, known_bread, new_bag
from rotation.stockroom import take as take_bag


@dataclass(frozen=True)
class Told:
    """The movement recorded, or recorded before with the same id; asked: what the family is asked by the way."""

    movement: Movement
    asked: tuple[str, ...] = ()


def add(
    home: Home, bread: str, units: int, note: Note, form: str = "", bagged: datetime | None = None, letter: str = ""
) -> Movement:
    """Record a bag put in. form: may be left out where its bread has one; bagged: when, else now.

    letter: on the bag, else the lowest free one. Raises BadInput and StorageError, as all here.
    """
    bread = home.bread_id(bread)
    known_bread(home, bread)
    forms = list(home.known[bread].forms)
    if not form and len(forms) > 1:
        raise BadInput(Mistake("--form", None, "", f"{bread} is kept {' or '.join(forms)}.", "Say which."))
    bag = new_bag(home, bread, form or next(iter(forms), ""), units, bagged or note.now, letter)
    with freezer(home, note.now, moving=True) as ledger:
        return ledger.add(bag, note)


def take(home: Home, what: str, units: int, note: Note, form: str = "") -> Told:
    """Record units taken out to be eaten. what: a bread, then of its oldest bags, or a bag's letter or id.

    Where a thaw of the same bread and form was planned a short while ago, that is what was taken.
    """
    note = _over(home, note)
    what, asked = home.bread_id(what), settle(home, note.now, note.when - LATE)
    with freezer(home, note.now, moving=True) as ledger, ledger.together():
        if (first := _known(ledger, note, Kind.TAKEN)) is not None:
            return Told(first, asked)
        if what in home.known:
            return Told(ledger.take(what, form_meant(home, ledger, what, form, note.now), units, note), asked)
        return Told(take_bag(ledger, what, units, note), asked)


def count(home: Home, what: str, units: int, note: Note, form: str = "") -> Told:
    """Record how many units of a bread or a bag really are there."""
    what, asked = home.bread_id(what), settle(home, note.now)
    with freezer(home, note.now, moving=True) as ledger, ledger.together():
        if (first := _known(ledger, note, Kind.COUNTED)) is not None:
            return Told(first, asked)
        if what in home.known:
            return Told(ledger.count(what, form_meant(home, ledger, what, form, note.now), units, note), asked)
        return Told(ledger.count_lot(what, units, note), asked)


def discard(home: Home, bag: str, units: int | None, note: Note) -> Movement:
    """Record units of a bag thrown away or used for crumbs, with the reason; None: all that is left."""
    note = _over(home, note)
    with freezer(home, note.now, moving=True) as ledger:
        return ledger.discard(bag, units, note)


def undo(home: Home, movement: str, note: Note) -> Movement:
    """Take back a movement by its id; "": the last that stands. Once, however often it is asked for with its id.

    What a step moved is taken back with the step, not here.
    """
    return _undo(home, note, lambda ledger: [movement or _last(ledger)])[0]


def undo_last(home: Home, note: Note) -> tuple[Movement, ...]:
    """Take back what was done last: after a power cut or an open lid with all bags at once. Else as `undo`."""

    def last(ledger: Ledger) -> list[str]:
        meant = _last(ledger)
        act = act_of(meant)
        return [meant, *(one for one in reversed(_standing(ledger)) if act and one != meant and act_of(one) == act)]

    return _undo(home, note, last)


def _undo(home: Home, note: Note, wanted: Callable[[Ledger], list[str]]) -> tuple[Movement, ...]:
    """Take back movements, together or not at all; of a request known by its id what it took back then."""
    with freezer(home, note.now, moving=True) as ledger, ledger.together():
        known = Requests(ledger).answer(note.id, "freezer undo")
        meant = list(known) if known else wanted(ledger)
        if any(is_opening(one) for one in meant):
            wrong = "the opening stock is what was there before anything was recorded."
            raise BadInput(Mistake("freezer", None, "", wrong, "Count what is really there: rotation freezer count"))
        for row in Happenings(ledger).standing():
            if row.name and not set(meant).isdisjoint(row.movements):
                wrong = f"that is what {row.name} moved."
                instead = f"Say: rotation done {row.name} --undo; if it was not done: rotation skip {row.name}"
                raise BadInput(Mistake("freezer", None, "", wrong, instead))
        if known is None:
            Requests(ledger).record(note.id, "freezer undo", meant, note.now)
        return tuple(ledger.undo(one, note) for one in meant)


def _over(home: Home, note: Note) -> Note:
    """Return a note of what is over: bread that is still to be taken is the plan's. Raises BadInput."""
    if note.at is None:
        return note
    instead = "Say it once it is out. Without a time it is now; what is to come stands in the plan: rotation plan"
    return replace(note, at=past(note.at.astimezone(home.zone), note.now, instead))


def _known(ledger: Ledger, note: Note, kind: Kind) -> Movement | None:
    """Return what was recorded for a request before, whatever bags there are by now."""
    first = ledger.recorded(note.id) if note.id else None
    return first if first is not None and first.kind is kind else None


def _last(ledger: Ledger) -> str:
    known = _standing(ledger)
    if not known:
        raise BadInput(Mistake("freezer", None, "", "there is nothing to take back.", "See: rotation freezer list"))
    return known[-1]


def _standing(ledger: Ledger) -> list[str]:
    """Return the ids of the movements that can be taken back, in the order they were recorded."""
    return [one.id for one in ledger.history() if not one.undone and not one.undoes and not is_opening(one.id)]
