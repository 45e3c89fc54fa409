"""Finds the entries of our journal among what a calendar holds, and reads both."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from calendars.canonical import uids
from calendars.content import Piece, main_of, parse, span_of
from calendars.store import Held, UnreadableCalendar
from calendars.sync import Span, Written

_FOLD = re.compile(rb"\r?\n[ \t]")
_UID = re.compile(rb"^UID(?:;[^\r\n:]*)?:([^\r\n]*)", re.IGNORECASE | re.MULTILINE)
_TICK = r"(?:[✓✔☑✅🗸]\ufe0f?|\[[xX✓✔]\])"
_TICKED = re.compile(rf"\s*{_TICK}.*|.*{_TICK}\s*", re.DOTALL)


@dataclass(frozen=True)
class Known:
    """One entry of the journal. base: our part. span: of our part. when: as it is there, else as of our part.

    all_day: it is there for whole days. places: every resource it is in; held: the one that counts, None if there is
    none. root, there: that resource and the entry in it; None if the resource cannot be read, too.
    """

    record: Written
    base: Piece
    span: Span
    when: Span
    all_day: bool
    places: tuple[Held, ...]
    held: Held | None
    root: Piece | None
    there: Piece | None

    @property
    def unreadable(self) -> bool:
        """Whether something is there that makes no sense."""
        return self.held is not None and self.there is None

    @property
    def missing(self) -> bool:
        """Whether nothing is there."""
        return self.held is None

    @property
    def ticked_off(self) -> bool:
        """Whether the family marked it as done."""
        return self.there is not None and is_ticked(self.there) and not is_ticked(self.base)


def known(record: Written, places: Sequence[Held], home: Held | None, zone: ZoneInfo) -> Known:
    """Return the entry of a record. places: the resources it is in; home: what is where it was written to."""
    base, span = part_of(record, zone)
    held = home if home in places else places[0] if places else None
    if held is None:
        broken = home if home and _root(home.data) is None else None
        return Known(record, base, span, span, False, (), broken, None, None)
    root = _root(held.data)
    there = main_of(root, record.uid) if root else None
    when, all_day = (span_of(there, zone) if there else None) or (span, False)
    return Known(record, base, span, when, all_day, tuple(places), held, root, there)


def is_ticked(piece: Piece) -> bool:
    """Whether an entry is marked as done: a task by its program, an event by a check mark before or after its title."""
    if piece.word("STATUS") == "COMPLETED" or piece.value("COMPLETED") or piece.word("PERCENT-COMPLETE") == "100":
        return True
    return piece.name == "VEVENT" and _TICKED.fullmatch(piece.text("SUMMARY")) is not None


def part_of(record: Written, zone: ZoneInfo) -> tuple[Piece, Span]:
    """Return our part of an entry, and when it is. Raises UnreadableCalendar where the journal is damaged."""
    found = main_of(parse(record.data), record.uid)
    span = span_of(found, zone) if found else None
    if found is None or span is None:
        raise UnreadableCalendar(f"The record of the entry {record.uid} is damaged")
    return found, span[0]


def all_known(written: Sequence[Written], held: Sequence[Held], zone: ZoneInfo) -> tuple[Known, ...]:
    """Return every entry of the journal with what is there of it, by start."""
    places = places_of({record.uid for record in written}, held)
    at = {each.resource: each for each in held}
    found = [known(record, places.get(record.uid, []), at.get(record.resource), zone) for record in written]
    return tuple(sorted(found, key=lambda each: (each.span, each.record.uid)))


def places_of(wanted: Collection[str], held: Sequence[Held]) -> dict[str, list[Held]]:
    """Return the resources in which each UID is. Most of a calendar may be others': only likely ones are read."""
    names = {uid.encode(): uid for uid in wanted}
    places: dict[str, list[Held]] = {}
    for each in held:
        found = (re.sub(rb"\\(.)", rb"\1", value.strip()) for value in _UID.findall(_FOLD.sub(b"", each.data)))
        if not names.keys().isdisjoint(found):
            for uid in uids(each.data) & set(wanted):
                places.setdefault(uid, []).append(each)
    return places


def _root(data: bytes) -> Piece | None:
    """Return what the data says, None where it makes no sense."""
    try:
        return parse(data)
    except UnreadableCalendar:
        return None
