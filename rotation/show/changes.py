"""What publishing changes in a calendar, as a family reads it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from zoneinfo import ZoneInfo

from calendars.apply import Done
from calendars.sync import Changes, Edit, Span, Write
from calendars.text import clean
from rotation.problem import GRID
from rotation.words import clock, count, date_words, listed, weekday

MOST_LINES = 20
"""Changes of one calendar that are listed one by one."""


def ahead(name: str, changes: Changes, zone: ZoneInfo) -> Iterator[str]:
    """Yield what would be done to a calendar: how much, then entry by entry, by time."""
    if not changes.writes:
        yield f"{clean(name)}: nothing to write."
        return
    kinds = ((changes.add, "to add"), (changes.change, "to change"), (changes.remove, "to take away"))
    yield f"{clean(name)}: {listed(f'{len(writes)} {word}' for writes, word in kinds if writes)}."
    found = [(_place(write), word.removeprefix("to "), write) for writes, word in kinds for write in writes]
    for _, word, write in sorted(found, key=lambda each: each[:2])[:MOST_LINES]:
        yield f"  {word:<9} {_when(write, zone)}  {clean(write.title, 70)}"
    if len(found) > MOST_LINES:
        yield f"  and {len(found) - MOST_LINES} more."


def overruled(changes: Changes, zone: ZoneInfo) -> Iterator[str]:
    """Yield the edits of the family that the writes undo."""
    writes = {write.uid: write for write in changes.writes}
    for edit in changes.overruled:
        write = writes[edit.uid]
        if not _as_good_as(write, edit, zone):
            was = f"you had put it at {_time(edit.now, zone)}" if edit.now else "you had deleted it"
            yield f"  Against your change: {clean(write.title, 70)}; {was}."


def _as_good_as(write: Write, edit: Edit, zone: ZoneInfo) -> bool:
    """Say whether a write keeps an edit but for the planning grid, the hour of a whole day, or its length."""
    if write.now is None or edit.now is None:
        return False
    new, asked = write.now[0].astimezone(zone), edit.now[0].astimezone(zone)
    return new.date() == asked.date() if edit.all_day else abs(new - asked) < timedelta(minutes=GRID)


def became(name: str, done: Done) -> str:
    """Return what was done to a calendar, in one line."""
    kinds = ((done.added, "added"), (done.changed, "changed"), (done.removed, "taken away"))
    said = listed(f"{len(uids)} {word}" for uids, word in kinds if uids)
    return f"{clean(name)}: {said or 'nothing written'}."


def left(done: Done) -> Iterator[str]:
    """Yield what could not be written, and why."""
    for one in done.left[:MOST_LINES]:
        yield f"Not written: {clean(one.title, 70)}: {clean(one.why)}."
    if len(done.left) > MOST_LINES:
        yield f"And {count(len(done.left) - MOST_LINES, 'entry', 'entries')} more not written."


def _place(write: Write) -> tuple[Span | tuple[()], str]:
    return write.now or write.was or (), write.uid


def _when(write: Write, zone: ZoneInfo) -> str:
    """Return when an entry is, with where it was if it moves."""
    if write.now is None or write.was is None or write.was[0] == write.now[0]:
        return _time(write.now or write.was, zone)
    return f"{_time(write.was, zone)} to {_time(write.now, zone)}"


def _time(span: Span | None, zone: ZoneInfo) -> str:
    if span is None:
        return ""
    at = span[0].astimezone(zone)
    return f"{weekday(at)[:3]} {date_words(at)} {clock(at)}"


def fed(entries: int) -> str:
    """Return what publishing into the feed alone changes there."""
    return f"Feed: {entries} {'entry' if entries == 1 else 'entries'} new, changed or gone."
