"""The checks each value passes on its way into the ledger, and the words in which it is refused."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count, product
from string import ascii_uppercase

from rotation.errors import BadInput, Mistake
from rotation.ledger.records import Lot, NewLot, Standing

MOST_UNITS = 9_999
"""The largest count a movement may carry; more is a slip of the finger."""

CLOCK_SLACK = timedelta(days=1)
"""How far a movement may lie in the future, or before its bag was closed: clocks are set wrong, zones mistaken."""


def refused(setting: str, wrong: str, instead: str) -> BadInput:
    """Return the error for something the ledger cannot record. Nothing is recorded."""
    return BadInput(Mistake("freezer", None, setting, wrong, instead))


def day(moment: datetime) -> str:
    """Return a date as people write it, in the moment's own zone: 1 Mar 2027."""
    return f"{moment.day} {moment:%b %Y}"


def instant(name: str, moment: datetime) -> datetime:
    """Return an aware moment in UTC, to the second; refuse naive and absurd ones."""
    if moment.tzinfo is None or moment.utcoffset() is None:
        raise refused(
            name, f"{moment.isoformat()} has no time zone.", "Write it with its offset, 2027-03-01T17:30+01:00."
        )
    if not 2000 <= moment.year < 9999:
        raise refused(name, f"the year {moment.year} cannot be right.", "Write a date like 2027-03-01.")
    return moment.astimezone(UTC).replace(microsecond=0)


def happened(name: str, moment: datetime, now: datetime) -> datetime:
    """Return a moment that is not in the future of `now`, but for wrong clocks, in UTC."""
    utc = instant(name, moment)
    if utc > instant("now", now) + CLOCK_SLACK:
        raise refused(name, f"{day(moment)} is still to come.", f"Today is {day(now)}; write when it happened.")
    return utc


def whole(units: int, least: int) -> int:
    """Return a count within bounds."""
    if type(units) is not int or not least <= units <= MOST_UNITS:
        raise refused("units", f"{units!r} is not a count.", f"Write a whole number from {least} to {MOST_UNITS}.")
    return units


def name(setting: str, text: str) -> str:
    """Return an id that can be shown anywhere: 1 to 100 printable characters, no space at either end."""
    if not (0 < len(text) <= 100 and text.isprintable() and text == text.strip()):
        raise refused(setting, f"{text[:100]!r} is not a name.", "Write 1 to 100 printable characters.")
    return text


def remark(text: str) -> str:
    """Return what a person said, on one line of at most 200 characters, without anything a screen would obey."""
    return "".join(c for c in " ".join(text.split()) if c.isprintable())[:200].strip()


def lot_id(text: str) -> str:
    """Return a lot id: a name that nobody can take for a bag's letter."""
    if re.fullmatch(r"[A-Za-z]{1,3}", text):
        raise refused("id", f"{text!r} reads like a bag's letter.", "Write four characters or more.")
    return name("id", text)


def bag_letter(text: str) -> str:
    """Return a bag's letter, in capitals."""
    if not re.fullmatch(r"[A-Za-z]{1,3}", text):
        raise refused("letter", f"{text[:100]!r} is not a bag's letter.", "Write A to Z, then AA, AB.")
    return text.upper()


def lowest_letter(used: Iterable[str]) -> str:
    """Return the first of A to Z, AA, AB, ... that is not used."""
    taken = set(used)
    letters = ("".join(letters) for length in count(1) for letters in product(ascii_uppercase, repeat=length))
    return next(letter for letter in letters if letter not in taken)


def dated(new: NewLot, now: datetime) -> NewLot:
    """Return a new lot with every value checked and its times in UTC; id and letter may still be empty."""
    bagged = happened("bagged", new.bagged, now)
    later = {field: instant(field, getattr(new, field)) for field in ("through", "eat_first", "toast_after")}
    strict = None if new.strict_until is None else instant("strict_until", new.strict_until)
    for field, moment in (*later.items(), ("strict_until", strict)):
        if moment is not None and moment < bagged:
            raise refused(field, f"{day(moment)} is before it was bagged, {day(bagged)}.", "Write a later date.")
    return replace(
        new,
        bread=name("bread", new.bread),
        form=name("form", new.form),
        units=whole(new.units, 1),
        bagged=bagged,
        strict_until=strict,
        id=lot_id(new.id) if new.id else "",
        letter=bag_letter(new.letter) if new.letter else "",
        **later,
    )


def possible(lot: Lot, at: datetime) -> None:
    """Refuse a movement of a lot long before it was bagged."""
    if at < lot.bagged - CLOCK_SLACK:
        wrong = f"bag {lot.letter} was bagged only on {day(lot.bagged)}, after {day(at)}."
        raise refused("at", wrong, "Look at the date, and at the clock.")


def edible(lot: Lot, at: datetime) -> None:
    """Refuse to have a lot eaten past its strict date."""
    if lot.strict_until is not None and lot.standing(at) is Standing.PAST_DATE:
        wrong = f"bag {lot.letter}, {lot.bread}, was to be eaten by {day(lot.strict_until.astimezone(at.tzinfo))}."
        raise refused("lot", wrong, "Do not eat it: discard it, then take another.")
