"""After a power cut or an open lid: what the usual guidance says of each bag, and what was done with it.

Nothing here says that bread is safe. The guidance is in `keeping.py`, with its sources.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from rotation.errors import BadInput, Mistake
from rotation.household import usual
from rotation.household.breads import Bread
from rotation.household.reading import Home
from rotation.keeping import Advice, Found, Verdict, after_outage, after_warming
from rotation.ledger import Ledger, LotState, Movement, Note
from rotation.stockroom import waited

_ACT = re.compile(r".* \d{8}T\d{4} bag ")
"""What comes before the letter in the id of what was done with a bag (`_id`)."""

FREEZE = timedelta(hours=12)
"""Until a bag is hard again whose bread no file describes."""

_FILLED: dict[str, Any] = {"kind": "filled"}
_NOBODY_KNOWS = Bread.model_construct(**_FILLED)
"""What stands in for a bread no file describes: taken to be filled, which is the graver case."""


@dataclass(frozen=True)
class Judged:
    """A bag, how it was found (None: nobody looked), and what the guidance says."""

    state: LotState
    found: Found | None
    advice: Advice

    @property
    def act(self) -> str:
        """What is recorded of it: "discard", "toast" (frozen again, for toast), "eat" (taken out, for today) or ""."""
        if self.advice.verdict is Verdict.DISCARD:
            return "discard"
        if self.advice.verdict is Verdict.EAT_SOON:
            return "eat"
        return "toast" if self.advice.toast else ""


def full_share(home: Home, lots: Sequence[LotState]) -> float:
    """Return how full the freezer is, of the room that is there for bread: 0 to 1."""
    litres, room = 0.0, home.settings.kitchen.freezer_litres
    for state in lots:
        bread = home.known.get(state.lot.bread)
        form = next((form for form in bread.forms if form == state.lot.form), None) if bread else None
        if bread is not None and form is not None:
            litres += state.left * usual.kept(bread, bread.processes[0], form).unit_litres
    return min(litres / room, 1.0) if room else 1.0


def after_cut(
    home: Home,
    lots: Sequence[LotState],
    hours: float,
    share: float,
    found: Mapping[str, Found],
    hours_warm: float | None = None,
) -> tuple[Judged, ...]:
    """Return what to do with each bag after so many hours without power, the door shut (D14).

    share: how full the freezer is; found: by letter, of the bags somebody looked at: what was felt counts before hours.
    """
    _known(lots, found)
    judged = []
    for state in lots:
        bread, seen = _bread(home, state), found.get(state.lot.letter)
        advice = after_outage(bread, hours, share) if seen is None else after_warming(bread, seen, hours_warm)
        judged.append(Judged(state, seen, advice))
    return tuple(judged)


def after_lid(
    home: Home, lots: Sequence[LotState], found: Mapping[str, Found], hours_warm: float | None = None
) -> tuple[Judged, ...]:
    """Return what to do with each bag that was looked at after a lid stood open: hours alone say nothing then.

    found: by letter; hours_warm: above 4 degC, as far as known.
    """
    _known(lots, found)
    return tuple(
        Judged(state, found[state.lot.letter], after_warming(_bread(home, state), found[state.lot.letter], hours_warm))
        for state in lots
        if state.lot.letter in found
    )


def record(home: Home, ledger: Ledger, judged: Sequence[Judged], because: str, note: Note) -> tuple[Movement, ...]:
    """Record that the guidance was followed: what was binned, taken out for today, or frozen again for toast.

    Told again of the same moment it records nothing more.
    """
    made = []
    with ledger.together():
        for one in judged:
            lot = one.state.lot.id
            told = Note(now=note.now, at=note.at, reason=because, id=_id(because, note, one.state.lot.letter))
            if one.act == "discard":
                made.append(ledger.discard(lot, None, told))
            elif one.act == "eat":
                made.append(ledger.take_from(lot, one.state.left, told))
            elif one.act == "toast":
                made.append(ledger.refreeze(lot, note.when + _freezing(home, one.state, note.when), told))
    return tuple(made)


def _id(because: str, note: Note, letter: str) -> str:
    """Return what tells this act from others, but not from its own retry."""
    return f"{because[:30].strip()} {note.when.astimezone(UTC):%Y%m%dT%H%M} bag {letter}"


def act_of(movement: str) -> str:
    """Return what the ids of all movements of one act begin with, of the id of one; "" for one of no such act."""
    found = _ACT.match(movement)
    return found[0] if found else ""


def _known(lots: Sequence[LotState], found: Mapping[str, Found]) -> None:
    letters = [state.lot.letter for state in lots]
    for letter in found:
        if letter not in letters:
            there = f"There is: {', '.join(letters) or 'none'}."
            raise BadInput(Mistake("freezer", None, "", f"there is no bag {letter[:20]!r}.", there))


def _bread(home: Home, state: LotState) -> Bread:
    return home.known.get(state.lot.bread, _NOBODY_KNOWS)


def _freezing(home: Home, state: LotState, at: datetime) -> timedelta:
    """Return until when a bag is hard again: no sooner than when it was frozen for the first time."""
    bread = home.known.get(state.lot.bread)
    form = next((form for form in bread.forms if form == state.lot.form), None) if bread else None
    if bread is None or form is None:
        return FREEZE
    bread = waited(home, state.lot.bread, at).breads[state.lot.bread]
    return timedelta(minutes=usual.kept(bread, bread.processes[0], form).freeze_minutes)
