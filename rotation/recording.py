"""One step of the plan written into the ledger as done, with what it moves in the freezer, and taken back again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from rotation.carried import from_text
from rotation.errors import BadInput, Mistake
from rotation.happened import Happened, What, thaws_of
from rotation.household.reading import Home
from rotation.intake.course import left
from rotation.ledger import Happenings, Ledger, Movement, Note, Told
from rotation.life import MOVES, State
from rotation.naming import FINISH, OUT, THAW
from rotation.pantry import notice
from rotation.problem import TABLE
from rotation.steps import Target
from rotation.stockroom import new_bag
from rotation.units import time_of_day

COUNTED = (OUT, "bag", THAW)
"""Steps at which it matters how many there were."""

CLOCKS = timedelta(minutes=5)
"""How far two clocks of a household may be apart."""


@dataclass(frozen=True)
class Noted:
    """What came of saying that something happened. moved: what it put into the freezer, or took out of it.

    known: it had been said before, and nothing was recorded.
    """

    target: Target
    row: Happened
    moved: tuple[Movement, ...] = ()
    known: bool = False


def record_step(
    home: Home, ledger: Ledger, target: Target, start: datetime, end: datetime, count: int | None, now: datetime,
    *, sure: bool = True,
) -> Noted:  # fmt: skip
    """Record one step with what it moves, after the steps of its bake that come before it."""
    known = standing(ledger)
    rows = [row for row in known if row.thing == target.thing]
    thaws = thaws_of(target.thing, target.alone.plan) if target.step == FINISH else ()
    left_in = next((x for x in known if x.what is What.SKIPPED and x.step == THAW and x.thing in thaws), None)
    if left_in is not None:
        wrong = f"{left_in.name or 'its thaw'} was skipped, so there is nothing to finish."
        instead = f"Was it taken out after all? rotation done {left_in.name}"
        raise BadInput(Mistake("done", None, "", wrong, instead))
    if any(row.what is What.SKIPPED and row.step not in COUNTED for row in rows):
        wrong = f"{target.name} was skipped."
        raise BadInput(Mistake("done", None, "", wrong, f"Take that back first: rotation done {target.name} --undo"))
    _sensible(target, count, rows)
    row = Happened(
        id=f"done {target.thing} {target.step}", thing=target.thing, step=target.step, what=What.DONE,
        name=target.name, start=start, end=end, count=count, planned=target.text, sure=sure,
    )  # fmt: skip
    before = next((one for one in rows if one.id == row.id), None)
    if before is not None and (before.sure or not sure):
        _same(target, before, row, count)
        return Noted(target, before, known=True)
    if before is not None:
        take_back(ledger, [before], now)
    if target.step == THAW:  # it was taken out after all
        take_back(ledger, [one for one in rows if one.what is What.SKIPPED], now)
    if target.out is None:
        notice(home, ledger, start, now)  # what is written in the pantry is there before this is mixed
    number = Happenings(ledger).again(row.id) + 1
    moved = tuple(_moves(home, ledger, target, row, rows, now, number))
    row = replace(row, movements=tuple(movement.id for movement in moved))
    Happenings(ledger).record([*_passed_over(target, row, rows), row], now)
    _live(ledger, target, rows, row, now)
    return Noted(target, row, moved)


def assume(home: Home, ledger: Ledger, target: Target, now: datetime) -> Noted:
    """Record that a step went as planned, though nobody said so."""
    with ledger.together():
        return record_step(home, ledger, target, target.start, min(target.end, now), None, now, sure=False)


def out_of_freezer(ledger: Ledger, target: Target) -> bool:
    """Say whether what a finish browns was taken out, as far as is recorded; True of every other step."""
    if target.step != FINISH:
        return True
    out = {row.thing for row in standing(ledger) if row.what is What.DONE and row.step == THAW}
    return out.issuperset(thaws_of(target.thing, target.alone.plan))


def finishes_of(rows: Iterable[Happened], thaw: str) -> tuple[Happened, ...]:
    """Return the records of finishes done of what a thaw took out."""
    done = (row for row in rows if row.what is What.DONE and row.step == FINISH and row.planned)
    return tuple(row for row in done if thaw in thaws_of(row.thing, from_text(row.planned).plan))


def _same(target: Target, before: Happened, row: Happened, count: int | None) -> None:
    """Raise BadInput if what was said before is now said otherwise."""
    if count is not None and before.count is not None and count != before.count:
        wrong = f"{target.name} is done already, with {before.count}."
        raise BadInput(Mistake("done", None, "", wrong, f"Take that back first: rotation done {target.name} --undo"))


def _sensible(target: Target, count: int | None, rows: Iterable[Happened]) -> None:
    """Raise BadInput for a count that cannot be."""
    if count is None:
        return
    if target.step not in COUNTED:
        raise BadInput(Mistake("--count", None, "", f"{target.name} counts nothing.", "Leave it out."))
    if target.bake is None:
        return
    out = next((row.count for row in rows if row.step == OUT and row.count is not None), target.bake.total)
    most = target.bake.total if target.step == OUT else out
    if not 0 <= count <= most:
        raise BadInput(Mistake("--count", None, "", f"{count} cannot be: there were {most}.", f"Write 0 to {most}."))


def when_done(target: Target, now: datetime, at: datetime | None) -> tuple[datetime, datetime]:
    """Return when a step began and ended: at the moment given, or just now."""
    minutes = target.end - target.start if target.step != FINISH else timedelta(0)
    if at is None:
        return now - minutes, now
    return past(at, now), min(at + minutes, now)


def past(at: datetime, now: datetime, instead: str = "Write when it began.") -> datetime:
    """Return a moment that is not to come; as now where two clocks differ a little.

    Raises BadInput for a later one. instead: what to write.
    """
    if at > now + CLOCKS:
        wrong = f"{at:%a} {at.day} {at:%b} {time_of_day(at)} is still to come."
        raise BadInput(Mistake("--at", None, "", wrong, instead))
    return min(at, now)


def _passed_over(target: Target, row: Happened, rows: Iterable[Happened]) -> Iterator[Happened]:
    """Yield the steps of a bake before this one of which nothing was said: as planned, but not after it."""
    said = {one.step for one in rows if one.what is What.DONE}
    assert row.start is not None
    for step in target.order[: target.order.index(target.step)]:
        if step not in said and step != OUT:
            start, end = (min(at, row.start) for at in target.planned(step))
            yield Happened(
                id=f"done {target.thing} {step}", thing=target.thing, step=step, what=What.DONE, start=start, end=end,
                planned=target.text, said=begun_with(row.id), sure=False,
            )  # fmt: skip


def begun_with(id_: str) -> str:
    """Return what is noted of a step that was only taken to be done because a later one was said to be."""
    return f"with {id_}"


def _moves(
    home: Home, ledger: Ledger, target: Target, row: Happened, rows: Iterable[Happened], now: datetime, number: int
) -> Iterator[Movement]:
    """Move in the freezer what a step moves: bagged loaves in, what is to thaw out."""
    bake, out, at = target.bake, target.out, row.end or now
    if bake is not None and target.step == "bag":
        out_of_oven = next((one.count for one in rows if one.step == OUT and one.what is What.DONE), None)
        meant = [(id_, count) for id_, count in left(bake, out_of_oven) if id_ != TABLE]
        if row.count is not None and not meant:
            meant = [(id_, 0) for id_, _ in bake.lots]  # bagged, though all that came out was for the table
        bagged = sum(count for _, count in meant) if row.count is None else row.count
        for form_id, count in meant:
            pieces = min(count, bagged) if form_id != meant[-1][0] else bagged
            bagged -= pieces
            per_piece = home.known[bake.bread].portions if form_id == "sliced" else 1
            if pieces:
                lot = new_bag(home, bake.bread, form_id, pieces * per_piece, min(at, now))
                id_ = f"{target.thing}:{form_id}" + (f" {number}" if number > 1 else "")
                note = Note(now=now, at=at, reason="baked", id=f"{row.id} {form_id} {number}"[:100])
                yield ledger.add(replace(lot, id=id_[:100]), note, baked=True)
    elif out is not None and target.step == THAW:
        yield from _taken(
            ledger, target, row.count or out.units, Note(now=now, at=min(at, now), id=f"{row.id} {number}")
        )


def _taken(ledger: Ledger, target: Target, units: int, note: Note) -> Iterator[Movement]:
    """Take units out of the bags planned for it; where those are not there, out of the oldest."""
    assert target.out is not None
    held = {state.lot.id: state.left for state in ledger.lots(note.now)}
    planned = [(lot, count) for lot, count in target.out.lots if held.get(lot, 0) >= count]
    if sum(count for _, count in planned) != units:
        yield ledger.take(target.out.bread, target.out.form, units, note)
        return
    for number, (lot, count) in enumerate(planned):
        yield ledger.take_from(lot, count, replace(note, id=f"{note.id} {number}"[:100]))


def _live(ledger: Ledger, target: Target, rows: Iterable[Happened], row: Happened, now: datetime) -> None:
    """Say in the ledger how far a published thing has come."""
    over = target.bake is None or target.step == "bag"
    at_oven = {"oven": State.IN_OVEN, OUT: State.COOLING}
    come_to(ledger, target.thing, State.CLOSED if over else at_oven.get(target.step, State.BEGUN), row.end or now, now)


def come_to(ledger: Ledger, thing: str, to: State, at: datetime, now: datetime | None = None) -> None:
    """Say in the ledger that a published thing came to a state, where that is a move."""
    told = Told(ledger)
    state = told.states().get(thing)
    if state is not None and to in MOVES[state]:
        told.move([thing], to, at, now or at)


def take_back(ledger: Ledger, rows: Iterable[Happened], now: datetime) -> None:
    """Take records back, and what they moved."""
    for row in rows:
        for movement in row.movements:
            ledger.undo(movement, Note(now=now))
        Happenings(ledger).take_back([row.id], now)


def standing(ledger: Ledger) -> tuple[Happened, ...]:
    """Return all that was recorded and not taken back."""
    return Happenings(ledger).standing()
