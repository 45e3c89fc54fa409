"""What the family did to our entries since they were written, and what has to be asked before that is believed."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from calendars.content import Piece
from calendars.known import Known, all_known, is_ticked
from calendars.merge import noted
from calendars.store import Held
from calendars.sync import Edit, Question, QuestionKind, Written
from calendars.text import clean
from calendars.values import BadEvent, Zones, moment

FEW = 3
"""From this many on, entries that vanish together, or are taken away together, are asked about."""


def edits(
    written: Sequence[Written], held: Sequence[Held], *, now: datetime, zone: ZoneInfo, answered: Collection[str] = ()
) -> tuple[Edit, ...]:
    """Return what the family did, by start.

    An event is ticked off by a check mark (✓ ✔ ☑ ✅ or [x]) before or after its title, a task by its program. Deleting
    what is past is tidying, and no edit. As long as it is in doubt whether entries are gone at all, none is said to be
    deleted. zone: of times without one. answered: kinds of questions that a person said yes to.
    """
    entries = all_known(written, held, zone)
    doubtful = bool(
        {"empty", "vanished"} & {doubt.kind for doubt in doubts_about(entries, held, now, zone)} - {*answered}
    )
    found = (edit for each in entries for edit in edits_of(each, now, zone))
    return tuple(edit for edit in found if not (doubtful and edit.now is None))


def doubts(written: Sequence[Written], held: Sequence[Held], *, now: datetime, zone: ZoneInfo) -> tuple[Question, ...]:
    """Return what a person has to look at first: entries gone all together, in two places, unreadable."""
    return tuple(doubts_about(all_known(written, held, zone), held, now, zone))


def edits_of(entry: Known, now: datetime, zone: ZoneInfo) -> Iterator[Edit]:
    """Yield what the family did to one entry."""
    uid, was, there = entry.record.uid, entry.span, entry.there
    if entry.missing or (there and _cancelled(there) and not _cancelled(entry.base)):
        if was[0] >= now:
            yield Edit(uid, "deleted", was, None)
        return
    if there is None:
        return
    when, all_day = entry.when, entry.all_day
    if when != was and (was[0] >= now or when[0] >= now):
        yield Edit(uid, "resized" if when[0] == was[0] and not all_day else "moved", was, when, all_day)
    if entry.ticked_off:
        yield Edit(uid, "done", was, when, at=_completed(there, zone))
    elif is_ticked(entry.base) and not is_ticked(there):
        yield Edit(uid, "undone", was, when)
    elif noted(entry.base, there):
        yield Edit(uid, "noted", was, when)


def doubts_about(entries: Sequence[Known], held: Sequence[Held], now: datetime, zone: ZoneInfo) -> Iterator[Question]:
    """Yield the questions that follow from what is there."""
    coming = [entry for entry in entries if entry.span[0] >= now]
    missing = [entry for entry in coming if entry.missing]
    if coming and not held:
        yield question(
            "empty",
            coming,
            f"The calendar reads as empty, though {_count(coming)} of ours should be in it. "
            "Is it the right calendar, and did you delete them? Yes takes them as deleted",
        )
    elif len(missing) >= FEW and 2 * len(missing) > len(coming):
        yield question(
            "vanished",
            missing,
            f"{len(missing)} of {_count(coming)} of ours are no longer in the calendar. Did you delete them? "
            "Yes takes them as deleted",
        )
    for entry in entries:
        if len(entry.places) > 1:
            times = len(entry.places)
            text = f"{called(entry, zone)} is in the calendar {times} times. Delete the copies; yes leaves them"
            yield question("twice", [entry], text)
        elif entry.places and entry.held and entry.held.resource != entry.record.resource:
            text = f"{called(entry, zone)} was taken away and put back by another program. Yes takes it as ours again"
            yield question("elsewhere", [entry], text)
        elif entry.unreadable:
            yield question("unreadable", [entry], f"{called(entry, zone)} no longer makes sense. Yes writes over it")


def question(kind: QuestionKind, entries: Sequence[Known], text: str) -> Question:
    """Return a question about these entries."""
    return Question(kind, tuple(entry.record.uid for entry in entries), text)


def _count(entries: Sequence[Known]) -> str:
    return "1 entry" if len(entries) == 1 else f"{len(entries)} entries"


def called(entry: Known, zone: ZoneInfo) -> str:
    """Return how an entry is named to a person."""
    return f"“{clean(entry.base.text('SUMMARY'), 60)}” ({entry.span[0].astimezone(zone):%a %d %b %H:%M})"


def _cancelled(piece: Piece) -> bool:
    return piece.word("STATUS") == "CANCELLED"


def _completed(piece: Piece, zone: ZoneInfo) -> datetime | None:
    """Return when an entry was ticked off, where it says so."""
    try:
        return next((moment(line, Zones(zone, "")).instant for line in piece.all("COMPLETED")), None)
    except BadEvent:
        return None
