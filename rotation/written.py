"""What stands in the calendars that we wrote, and what the family did to it since."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from itertools import islice

from pydantic import TypeAdapter

from calendars.apply import recover
from calendars.canonical import uids
from calendars.edits import doubts, edits
from calendars.store import CalendarError, Held
from calendars.sync import Edit, Question
from calendars.text import clean
from rotation import doing
from rotation.asked import Asked, Meant
from rotation.household.reading import Home
from rotation.intake.wishes import Ticked, Understood, finished, overtaken, seconds, taken_back, understood
from rotation.ledger import Ledger, Told
from rotation.ledger.journal import EntryJournal
from rotation.life import MOVES, State
from rotation.stockroom import freezer
from rotation.targets import Target, targets

GONE = frozenset({"empty", "vanished"})
"""Questions to which yes means that the family deleted entries on purpose."""


AFTER = {"oven": State.COOLING, "bag": State.PUT_AWAY}
"""How far a bake has come when one of its steps is done; after the others it has begun."""

REMEMBERED = 60
"""Publications looked through for what an edited entry stands for."""


@dataclass(frozen=True)
class Seen:
    """A calendar as found: what it holds, what the family did to our entries, and what makes one doubt that.

    answered: kinds of questions that are answered, by a person now, or by wishes on record.
    """

    target: Target
    held: tuple[Held, ...]
    edits: tuple[Edit, ...]
    doubts: tuple[Question, ...]
    answered: frozenset[str]

    @property
    def there(self) -> set[str]:
        """UIDs of the resources' entries about which there is no doubt."""
        doubtful = {uid for doubt in self.doubts for uid in doubt.uids}
        return {uid for one in self.held for uid in uids(one.data)} - doubtful


def seen(ledger: Ledger, target: Target, home: Home, now: datetime, answered: Collection[str] = ()) -> Seen:
    """Look at a calendar, once what an earlier run left open in it is settled. Raises CalendarError."""
    journal = EntryJournal(ledger, target.place, now)
    recover(target.store, journal)
    written = journal.written()
    held = () if target.new and not written else target.store.held()
    asked = doubts(written, held, now=now, zone=home.zone)
    wishes = Told(ledger).last_words().values()
    deleted = {wish.id.partition("/")[0] for wish in wishes if wish.kind.startswith("no ") and not wish.over}
    known = {one.kind for one in asked if one.kind in GONE and deleted.issuperset(one.uids)}
    settled = frozenset({*answered, *known})
    done = edits(written, held, now=now, zone=home.zone, answered=settled)
    return Seen(target, held, done, tuple(one for one in asked if one.kind not in settled), settled)


@dataclass(frozen=True)
class TakenIn:
    """What the family's edits came to: its wishes, those to be recorded with the plan, and notes for the family."""

    asked: tuple[Asked, ...] = ()
    changed: tuple[Asked, ...] = ()
    said: tuple[str, ...] = ()


def take_in(home: Home, now: datetime) -> TakenIn:
    """Read the calendars we wrote, and return what the family asked for; what it ticked off is recorded as done.

    A calendar that cannot be reached is noted, and its edits wait. Raises StorageError.
    """
    with freezer(home, now, readonly=True) as ledger:
        if Told(ledger).last() is None:
            return TakenIn()
    with freezer(home, now) as ledger:
        found: list[Edit] = []
        there: list[str] = []
        said: list[str] = []
        for look in _looks(ledger, home, now, said):
            found += look.edits
            there += look.there
            said += [_doubt(look.target, one) for one in look.doubts]
        return _taken_in(ledger, home, found, there, said, now)


def _doubt(target: Target, doubt: Question) -> str:
    """Say what is odd in a calendar, as far as a plan is concerned."""
    if doubt.kind in GONE:
        gone = f"{len(doubt.uids)} of our entries are gone all at once" if len(doubt.uids) > 1 else "our entry is gone"
        return f"{target.name}: {gone}, so nothing is taken as deleted. Did you? Say so to: rotation publish"
    return f"{target.name}: {doubt.text}; rotation publish asks."


def _looks(ledger: Ledger, home: Home, now: datetime, said: list[str]) -> Iterator[Seen]:
    """Yield what the calendars hold; those that cannot be reached are said."""
    try:
        known = targets(home)
    except CalendarError as error:
        said.append(_unread(error))
        return
    for target in known:
        try:
            yield seen(ledger, target, home, now)
        except CalendarError as error:
            said.append(_unread(error))


def _unread(error: CalendarError) -> str:
    why = str(error)
    return f"{why}{'' if why.endswith(('.', '?')) else '.'} What you changed in our entries there is not counted."


def _taken_in(
    ledger: Ledger, home: Home, found: Sequence[Edit], there: Sequence[str], said: Sequence[str], now: datetime
) -> TakenIn:
    told = Told(ledger)
    last = told.last()
    assert last is not None
    read = understand_edits(ledger, home, found, now)
    over = (*taken_back(told.wishes(now), found, there, last.number), *finished(told.wishes(now), found))
    new = {wish.id: wish for wish in (*told.wishes(now), *over, *read.asked)}
    ended = seconds([wish for wish in new.values() if not wish.over], {wish.id for wish in read.asked})
    new |= {wish.id: wish for wish in ended}
    new |= {wish.id: wish for wish in overtaken([wish for wish in new.values() if not wish.over])}
    asked = tuple(wish for wish in new.values() if not wish.over and wish.until > now)
    done = tick_off(ledger, home, read.ticked, now)
    ticks = [f"Done, as ticked off: “{clean(one.title, 80)}”." for one in done]
    second = [f"{wish.said}: of one bread one hour is held, so that floats with the other you moved." for wish in ended]
    return TakenIn(asked, tuple(new.values()), (*said, *read.said, *second, *ticks))


def understand_edits(ledger: Ledger, home: Home, found: Sequence[Edit], now: datetime) -> Understood:
    """Return what edits mean, by what our entries stand for."""
    return understood(found, meant_by(ledger, {edit.uid for edit in found}), now, home.zone)


def tick_off(ledger: Ledger, home: Home, ticked: Sequence[Ticked], now: datetime) -> tuple[Ticked, ...]:
    """Record as done what was ticked off and is not done yet, with what it moves in the freezer; return that."""
    told, new = Told(ledger), []
    for one in ticked:
        state = told.states().get(one.thing)
        to = State.CLOSED if one.whole else AFTER.get(one.step, State.BEGUN)
        if state is not None and to in MOVES[state]:
            doing.ticked(home, one.thing, one.step, now, whole=one.whole)
            if to in MOVES[told.states()[one.thing]]:
                told.move([one.thing], to, one.at, now)
            new.append(one)
    return tuple(new)


def meant_by(ledger: Ledger, wanted: Collection[str]) -> dict[str, Meant]:
    """Return what entries stand for, by UID, as the last plan says in which they were published."""
    found: dict[str, Meant] = {}
    for publication in islice(Told(ledger).publications(), REMEMBERED) if wanted else ():
        found = {one.uid: one for one in meant_from_text(publication.meant)} | found
        if found.keys() >= {*wanted}:
            break
    return {uid: found[uid] for uid in wanted if uid in found}


@cache
def _form() -> TypeAdapter[tuple[Meant, ...]]:
    return TypeAdapter(tuple[Meant, ...])


def meant_to_text(meant: Sequence[Meant]) -> str:
    """Return as JSON what entries stand for."""
    return _form().dump_json(tuple(meant)).decode()


def meant_from_text(text: str) -> tuple[Meant, ...]:
    """Return what entries stand for, of a text this program wrote."""
    return _form().validate_json(text)
