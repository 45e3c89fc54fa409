"""The bags of the freezer in words, by bread and form, and what went in and out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from calendars.text import clean
from rotation.errors import BadInput, Mistake
from rotation.ledger import LotState
from rotation.ledger.book import is_opening
from rotation.page.plain import plain
from rotation.page.sight import Sight
from rotation.show.movements import reason
from rotation.show.stock import meant_for, moved, standing
from rotation.stockroom import freezer
from rotation.words import FORM_WORDS, clock, count, date_words, named_pieces, weekday

LATEST = 8
"""Movements that are listed."""


@dataclass(frozen=True)
class Bag:
    """One bag in words. urgent: it is to be eaten first, or more than that; oldest: of its bread and form."""

    id: str
    letter: str
    left: int
    units: str
    bagged: str
    standing: str
    urgent: bool
    meant: str
    oldest: bool


@dataclass(frozen=True)
class Kind:
    """The bags of one bread and form, the oldest first."""

    bread: str
    form: str
    name: str
    form_words: str
    units: str
    left: int
    bags: tuple[Bag, ...]
    edible: bool


def kinds(sight: Sight) -> Iterator[Kind]:
    """Yield the bags by bread and form: the kind whose oldest bag presses most comes first."""
    by_kind: dict[tuple[str, str], list[LotState]] = {}
    for state in sight.held:
        by_kind.setdefault((state.lot.bread, state.lot.form), []).append(state)
    for (bread, form), states in by_kind.items():
        recipe = sight.home.known.get(bread)
        name = clean(recipe.name if recipe else bread, 60)
        bags = tuple(_in_words(sight, state, name, first=not place) for place, state in enumerate(states))
        left = sum(state.left for state in states)
        words = _units(name, form, left)
        if form == "sliced":
            words += f" ({count(len(states), 'bag')})"
        edible = any(state.standing.value != "past its date" for state in states)
        yield Kind(bread, form, name, FORM_WORDS.get(form, form), words, left, bags, edible)


def _in_words(sight: Sight, state: LotState, name: str, *, first: bool) -> Bag:
    lot, zone = state.lot, sight.home.zone
    meant = meant_for(state, sight.meant.get(lot.id, ()), zone, sight.now) if sight.meant.get(lot.id) else ""
    urgent = state.standing.value in ("past its date", "for toast", "eat first")
    return Bag(
        lot.id, lot.letter, state.left, _units(name, lot.form, state.left), day_words(lot.bagged.astimezone(zone)),
        standing(state), urgent, meant, first,
    )  # fmt: skip


def _units(name: str, form: str, number: int) -> str:
    return f"{count(number, 'slice')} of {name}" if form == "sliced" else named_pieces(name, number)


def bag_named(sight: Sight, named: str) -> LotState:
    """Return a bag by its letter or its id. Raises BadInput."""
    for state in sight.held:
        if named in (state.lot.id, state.lot.letter) or named.upper() == state.lot.letter:
            return state
    wrong = f"there is no bag {clean(named, 20)} in the freezer, as far as we know."
    raise BadInput(Mistake("freezer", None, "", wrong, "Is it there? Put it in: Freezer, “Put a bag in”."))


def history(sight: Sight, letter: str = "") -> list[dict[str, str]]:
    """Return the last movements, the latest first, each with the id it is taken back by, or "": what
    a step moved is taken back with the step.
    """
    with freezer(sight.home, sight.now, readonly=True) as ledger:
        all_ = ledger.history(None if letter else LATEST)
    of_steps = {id_ for row in sight.happened for id_ in row.movements}
    found = []
    for one in reversed(all_):
        if letter and not any(share.lot.letter == letter for share in one.shares):
            continue
        at = one.at.astimezone(sight.home.zone)
        when = f"{weekday(at)[:3]} {date_words(at)} {clock(at)}"
        done = " Taken back." if one.undone else " Takes another back." if one.undoes else ""
        back = "" if one.undone or one.undoes or is_opening(one.id) or one.id in of_steps else one.id
        found.append({"when": when, "said": plain(f"{moved(one)}{reason(one)}{done}"), "id": back})
        if len(found) == LATEST:
            break
    return found


def day_words(at: datetime) -> str:
    """Return "Sat 6 Mar"."""
    return f"{weekday(at)[:3]} {date_words(at)}"
