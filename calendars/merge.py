"""Puts what we want to say now into an entry the family may have added to, and leaves all they added.

Three-way, property by property: where our part says nothing new, what is held stays, whatever they made of it; where
they changed nothing, ours is written; where both changed, both are kept as far as that makes sense. Properties that
are not ours are never looked at. Only when an entry takes place, of what kind it is, and that it takes place at all, is
ours alone to say: what the family wants there is a wish, and comes back as what we want.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from difflib import SequenceMatcher
from zoneinfo import ZoneInfo

from icalendar.parser import split_on_unescaped_comma

from calendars.content import Piece, main_of, name_of, parse, plain, span_of
from calendars.text import clean_lines
from calendars.writing import escaped

TIMES = ("DTSTART", "DTEND", "DUE", "DURATION")
STAMPS = ("DTSTAMP", "LAST-MODIFIED", "SEQUENCE")
WORDS = ("SUMMARY", "LOCATION")
CHOICES = ("TRANSP", "COLOR", "URL")
PROGRESS = ("STATUS", "PERCENT-COMPLETE", "COMPLETED")
LISTS = ("CATEGORIES", "RELATED-TO")
OURS = (*WORDS, "DESCRIPTION", *CHOICES, *PROGRESS, *LISTS)
"""What we write besides times and stamps; all else on an entry is the family's, or their program's."""

_split: Callable[[str], list[str]] = split_on_unescaped_comma
_SECOND_DESCRIPTIONS = ("X-ALT-DESC", "STYLED-DESCRIPTION")  # the same in another form, made by a program


def merged(base: Piece, held: Piece, wanted: Piece, zone: ZoneInfo) -> Piece:
    """Return the event or task to write: `held` itself, if nothing has to be written.

    base: our part as last written; wanted: our part now; held: what is there. zone: of floating times.
    """
    result = replace(held, name=wanted.name)
    if held.name != wanted.name or span_of(held, zone) != span_of(wanted, zone):
        result = _put(result, TIMES, wanted.raw(*TIMES))
    for name in OURS:
        lines = _lines(name, base, held, wanted)
        if lines != held.raw(name):
            result = _put(result, (name,), lines)
    if result.raw("DESCRIPTION") != held.raw("DESCRIPTION"):
        result = _put(result, _SECOND_DESCRIPTIONS, ())
    if (alarms := _alarms(base, held, wanted)) != held.parts:
        result = replace(result, parts=alarms)
    return held if result == held else _stamped(result, wanted)


def same_part(one: Piece, other: Piece, zone: ZoneInfo) -> bool:
    """Whether two of our parts say the same, whenever they were written."""
    return merged(one, one, other, zone) == one


def speaks_for(old: bytes, new: bytes, there: bytes, uid: str) -> int:
    """Return whether what is there was made of a new part of ours (above 0) or is still of the old one (below 0).

    It may have been edited since: each property that we meant to change has a vote, if it says one or the other.
    """
    parts = [main_of(parse(data), uid) for data in (old, new, there)]
    before, after, now = (part or Piece("") for part in parts)
    spans = [span_of(part, ZoneInfo("UTC")) for part in (before, after, now)]
    times = (spans[2] == spans[1]) - (spans[2] == spans[0])
    return times + sum(_vote(before.text(name), after.text(name), now.text(name)) for name in OURS)


def _vote(old: str, new: str, there: str) -> int:
    """Return 1 if a text has the new one in it, -1 if the old one; of two that are in it the longer one counts."""
    if old == new:
        return 0
    has_old, has_new = (text in there if text else not there for text in (old, new))
    if has_old and has_new:
        return 1 if len(new) > len(old) else -1
    return has_new - has_old


def noted(base: Piece, held: Piece) -> bool:
    """Whether the family changed our words or choices, or added something; what programs add for themselves is not."""
    for name in (*WORDS, "DESCRIPTION", *CHOICES):
        if base.text(name) != held.text(name):
            return True
    if any(dict(_members(base, name)).keys() != dict(_members(held, name)).keys() for name in LISTS):
        return True
    names = {name_of(line) for line in held.lines} - {*OURS, *TIMES, *STAMPS, "UID", "CREATED"}
    return {_trigger(each) for each in base.parts} != {_trigger(each) for each in held.parts} or any(
        not name.startswith("X-") for name in names
    )


def _stamped(piece: Piece, wanted: Piece) -> Piece:
    """Return the piece with new stamps and a SEQUENCE above the last (RFC 5545, 3.8.7.4)."""
    number = piece.value("SEQUENCE").strip()
    following = f"SEQUENCE:{int(number[:9]) + 1 if number.isdecimal() else 1}"
    stamps = (*wanted.raw("DTSTAMP", "LAST-MODIFIED"), following)
    return _put(piece, STAMPS, stamps)


def _put(piece: Piece, names: Sequence[str], lines: Iterable[str]) -> Piece:
    """Return the piece with these lines in place of all of these names, where the first of them was."""
    rest = [line for line in piece.lines if name_of(line) not in names]
    at = next((at for at, line in enumerate(piece.lines) if name_of(line) in names), len(rest))
    return replace(piece, lines=(*rest[:at], *lines, *rest[at:]))


def _lines(name: str, base: Piece, held: Piece, wanted: Piece) -> tuple[str, ...]:
    """Return the lines one of our properties shall have."""
    if name == "STATUS" and held.word(name) == "CANCELLED" != wanted.word(name):
        return wanted.raw(name)
    if name in LISTS:
        return _list(name, base, held, wanted)
    was, there, new = (piece.text(name) for piece in (base, held, wanted))
    if new in (was, there):
        return held.raw(name)
    if there == was or name in PROGRESS:
        return wanted.raw(name)
    if name in CHOICES:
        return held.raw(name)
    both = _both_words(was, there, new) if name in WORDS else _both_lines(was, there, new)
    return (f"{name}:{escaped(clean_lines(both))}",)


def _both_words(was: str, there: str, new: str) -> str:
    """Return our new words with what they wrote around the old ones, or with all of theirs if ours are not in it."""
    if was and was in there:
        before, _, after = there.partition(was)
        return before + new + after
    return f"{new} ({there})" if there and new else new or there


def _both_lines(was: str, there: str, new: str) -> str:
    """Return our new lines without those they struck out, and theirs: in place of these, or after the line before."""
    old, theirs, result = (text.split("\n") if text else [] for text in (was, there, new))
    for change, old_from, old_to, from_, to in reversed(SequenceMatcher(None, old, theirs, False).get_opcodes()):
        if change == "equal":
            continue
        anchor = old[old_from - 1] if old_from else None
        if anchor is None and old_to < len(old):
            at = 0
        else:
            at = result.index(anchor) + 1 if anchor in result else len(result)
        for line in reversed(old[old_from:old_to]):
            if line and line in result:
                at = result.index(line)
                del result[at]
        result[at:at] = [line for line in theirs[from_:to] if not line or line not in result]
    return "\n".join(result)


def _list(name: str, base: Piece, held: Piece, wanted: Piece) -> tuple[str, ...]:
    """Return the lines of a property that stands for a set: theirs, without what we took out, with what we put in."""
    was, there, new = (dict(_members(piece, name)) for piece in (base, held, wanted))
    gone, come = was.keys() - new.keys(), [key for key in new if key not in was and key not in there]
    if not come and not gone & there.keys():
        return held.raw(name)
    return (*(line for key, line in there.items() if key not in gone), *(new[key] for key in come))


def _members(piece: Piece, name: str) -> Iterable[tuple[tuple[str, str], str]]:
    """Yield every member of a set and a line that says it alone."""
    if name == "CATEGORIES":
        for line in piece.all(name):
            for member in filter(None, map(plain, _split(line.value))):
                yield ("", member), f"{name}:{escaped(member)}"
        return
    for raw in piece.raw(name):
        alone = Piece("", (raw,))
        for line in alone.all(name):
            yield (line.params.get("RELTYPE", "PARENT").upper(), plain(line.value)), raw


def _alarms(base: Piece, held: Piece, wanted: Piece) -> tuple[Piece, ...]:
    """Return the parts of the entry: theirs; of our alarms those they left, as they left them; and our new ones."""
    was, new = ({_alarm_key(each): each for each in piece.parts} for piece in (base, wanted))
    triggers = {_trigger(each): key for key, each in was.items()}
    kept: list[Piece] = []
    for each in held.parts:
        key = _alarm_key(each) if _alarm_key(each) in was else triggers.get(_trigger(each), "")
        if each.name != "VALARM" or not key:
            kept.append(each)
        elif key in new:
            kept.append(_described(each, was[key], new[key]))
        elif _trigger(each) != _trigger(was[key]):
            kept.append(each)
    there = {_trigger(each) for each in kept}
    come = (each for key, each in new.items() if key not in was and _trigger(each) not in there)
    return (*kept, *come)


def _described(alarm: Piece, was: Piece, new: Piece) -> Piece:
    """Return an alarm with our new words, unless they chose their own."""
    lines = _lines("DESCRIPTION", was, alarm, new)
    theirs = alarm.text("DESCRIPTION") != was.text("DESCRIPTION")
    return alarm if theirs or lines == alarm.raw("DESCRIPTION") else _put(alarm, ("DESCRIPTION",), lines)


def _alarm_key(alarm: Piece) -> str:
    """Return what names an alarm: its UID (RFC 9074), or the one a program gave it, or when it rings."""
    return alarm.value("UID") or alarm.value("X-WR-ALARMUID") or _trigger(alarm)


def _trigger(alarm: Piece) -> str:
    """Return when an alarm rings, as written."""
    return " ".join(sorted(line.value.strip().upper() for line in alarm.all("TRIGGER")))
