"""What has to be written so that a calendar says what we want: nothing is sent here, nothing is remembered."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from calendars.content import Piece, to_bytes, uid_of
from calendars.edits import FEW, called, doubts_about, edits_of, question
from calendars.known import Known, all_known, known, part_of, places_of
from calendars.merge import merged, same_part
from calendars.store import Held, resource_for
from calendars.sync import Changes, Edit, Question, Span, Write, Written
from calendars.text import clean
from calendars.writing import Entry, to_resource

KEPT = timedelta(days=60)
"""An entry that ended so long ago is no longer looked at: nothing about it can be a wish."""

Verdict = Write | Written | str | None
"""What one entry asks for: a write; a record without one; a UID to be forgotten; nothing at all."""


@dataclass(frozen=True)
class Terms:
    """What all entries of a run share. now: aware, the stamp of what is written. zone: of times without one."""

    now: datetime
    zone: ZoneInfo
    product_id: str


def difference(
    written: Sequence[Written],
    held: Sequence[Held],
    wanted: Sequence[Entry],
    *,
    now: datetime,
    zone: ZoneInfo,
    product_id: str,
    answered: Collection[str] = (),
) -> Changes:
    """Return the changes that make the calendar say what is wanted, three-way; see `merge` for what is kept.

    wanted: every entry this calendar shall have from now on; one of the journal that is not among them is taken away.
    What began before now, or was ticked off, is neither written nor removed. answered: kinds of questions a person said
    yes to; the others are asked again. Raises ValueError for a UID that could not be found again, or is there twice.
    """
    terms = Terms(now, zone, product_id)
    entries = all_known(written, held, zone)
    edits = tuple(edit for entry in entries for edit in edits_of(entry, now, zone))
    questions = list(doubts_about(entries, held, now, zone))
    by_uid = {entry.uid: entry for entry in wanted}
    if len(by_uid) < len(wanted) or any(not uid or uid != clean(uid, 1000) for uid in by_uid):
        raise ValueError("an entry has a UID with blanks or controls in it, or that of another")
    verdicts = [(entry.record.uid, decide(entry, by_uid.pop(entry.record.uid, None), terms)) for entry in entries]
    new = {uid: entry for uid, entry in by_uid.items() if entry.start >= now}
    places, taken = places_of(new, held), {each.resource for each in held}
    for entry in new.values():
        verdict, asked = _new(entry, places.get(entry.uid, []), taken, terms)
        verdicts.append((entry.uid, verdict))
        questions += asked
    writes = sorted(
        (verdict for _, verdict in verdicts if isinstance(verdict, Write)),
        key=lambda write: (write.now or write.was or (now, now), write.uid),
    )
    remove = tuple(write for write in writes if write.wanted is None)
    questions += _many_removed(entries, remove, terms)
    return Changes(
        add=tuple(write for write in writes if write.etag is None),
        change=tuple(write for write in writes if write.etag is not None and write.wanted is not None),
        remove=remove,
        same=tuple(uid for uid, verdict in verdicts if verdict is None),
        record=tuple(verdict for _, verdict in verdicts if isinstance(verdict, Written)),
        forget=tuple(verdict for _, verdict in verdicts if isinstance(verdict, str)),
        edits=edits,
        overruled=tuple(edit for edit in edits if _overruled(edit, writes)),
        questions=tuple(asked for asked in questions if asked.kind not in answered),
    )


def decide(entry: Known, wanted: Entry | None, terms: Terms) -> Verdict:
    """Return what one entry of the journal asks for."""
    if wanted is None:
        return _unwanted(entry, terms)
    if entry.ticked_off and not wanted.completed:
        return None
    if wanted.start < terms.now:
        return entry.record.uid if entry.missing else None
    ours = to_resource(wanted, stamp=terms.now, product_id=terms.product_id)
    if entry.held is None:
        return _write(entry.record.uid, entry.record.resource, ours, None, ours, wanted, None)
    part, _ = part_of(Written(wanted.uid, entry.held.resource, "", ours), terms.zone)
    if entry.root is None or entry.there is None:
        return _write(entry.record.uid, entry.held.resource, ours, entry.held.etag, ours, wanted, entry.when)
    result = merged(entry.base, entry.there, part, terms.zone)
    if result is entry.there:
        recorded = Written(entry.record.uid, entry.held.resource, entry.held.etag, ours)
        unchanged = same_part(entry.base, part, terms.zone)
        return None if unchanged and replace(recorded, data=entry.record.data) == entry.record else recorded
    data = to_bytes(_replaced(entry.root, entry.there, result))
    return _write(entry.record.uid, entry.held.resource, data, entry.held.etag, ours, wanted, entry.when)


def _unwanted(entry: Known, terms: Terms) -> Verdict:
    """Return what becomes of an entry that is no longer wanted."""
    uid = entry.record.uid
    if entry.held is None or entry.when[1] < terms.now - KEPT:
        return uid
    if entry.ticked_off or entry.when[0] < terms.now:
        return None
    title = clean((entry.there or entry.base).text("SUMMARY"))
    data = to_bytes(left) if entry.root and (left := _without(entry.root, uid)) else None
    return Write(uid, entry.held.resource, data, entry.held.etag, b"", title, entry.when, None, None)


def _new(entry: Entry, places: Sequence[Held], taken: Collection[str], terms: Terms) -> tuple[Verdict, list[Question]]:
    """Return what an entry the journal does not know asks for, and what has to be asked first.

    places: where it is all the same; taken: every name of a resource there is.
    """
    ours = to_resource(entry, stamp=terms.now, product_id=terms.product_id)
    title = f"“{clean(entry.summary, 60)}” ({entry.start.astimezone(terms.zone):%a %d %b %H:%M})"
    if places:
        asked = f"{title} is in the calendar already, but not in our record of it. Yes takes it as ours"
        adopted = known(Written(entry.uid, places[0].resource, "", ours), places, places[0], terms.zone)
        return decide(adopted, entry, terms), [Question("unrecorded", (entry.uid,), asked)]
    names = [resource_for(entry.uid + again) for again in ("", "#2", "#3")]
    free = next((name for name in names if name not in taken), names[-1])
    write = _write(entry.uid, free, ours, None, ours, entry, None)
    if free == names[0]:
        return write, []
    asked = f"Where {title} should go, the calendar has something that is not ours. Yes uses another place"
    return write, [Question("occupied", (entry.uid,), asked)]


def _many_removed(entries: Sequence[Known], remove: Sequence[Write], terms: Terms) -> list[Question]:
    """Return the question whether most of our entries to come shall go."""
    going = {write.uid for write in remove}
    coming = [entry for entry in entries if entry.held and (entry.span[0] >= terms.now or entry.record.uid in going)]
    if len(going) < FEW or 2 * len(going) <= len(coming):
        return []
    named = [entry for entry in coming if entry.record.uid in going]
    first = called(named[0], terms.zone)
    text = f"{len(going)} of our {len(coming)} entries to come would be taken away, {first} first. Yes takes them away"
    return [question("removed", named, text)]


def _overruled(edit: Edit, writes: Sequence[Write]) -> bool:
    """Whether the writes undo what the family did."""
    write = next((write for write in writes if write.uid == edit.uid), None)
    if write is None or write.now is None:
        return False
    if edit.kind == "moved":
        return edit.now is not None and (edit.all_day or write.now[0] != edit.now[0])
    return edit.kind == "deleted" or (edit.kind == "resized" and write.now != edit.now)


def _write(
    uid: str,
    resource: str,
    data: bytes,
    etag: str | None,
    ours: bytes,
    wanted: Entry,
    was: Span | None,
) -> Write:
    return Write(uid, resource, data, etag, ours, clean(wanted.summary), was, (wanted.start, wanted.end), wanted)


def _replaced(root: Piece, old: Piece, new: Piece) -> Piece:
    """Return the resource with the entry in its new form, all else as it was."""
    if root is old:
        return new
    return replace(root, parts=tuple(_replaced(part, old, new) for part in root.parts))


def _without(root: Piece, uid: str) -> Piece | None:
    """Return the resource without our entry, None if nobody else's is in it."""
    calendars = [replace(part, parts=tuple(each for each in part.parts if uid_of(each) != uid)) for part in root.parts]
    others = any(uid_of(each) for calendar in calendars for each in calendar.parts)
    return replace(root, parts=tuple(calendars)) if others else None
