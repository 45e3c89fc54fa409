"""What is said of each bag after a power cut or an open lid, for the screen and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any
from zoneinfo import ZoneInfo

from calendars.text import clean
from rotation.keeping import FULL_HOURS, HALF_HOURS, RULES, holds_cold_hours
from rotation.outage import Judged
from rotation.show.fit import fit
from rotation.words import date_words

SCHEMA = "rotation/freezer-guidance/1"
"""Name and version of what `rotation freezer power-cut --json` and `open-lid --json` print."""

LID = "A lid that stood open: hours say nothing, each bag has to be felt."

CAUTION = f"This is the usual guidance, no promise of safety: {RULES}. When in doubt, throw it out."


def cut_words(hours: float, share: float, *, measured: bool) -> str:
    """Return what the hours mean. share: how full the freezer is; measured: somebody said so."""
    cold, full = holds_cold_hours(share), f"{100 * share:.0f} % full"
    known = full if measured else f"{full}, as far as bread goes (--full says better)"
    usual = f"usual guidance: {FULL_HOURS:g} h full, {HALF_HOURS:g} h half full"
    return f"{hours:g} h without power, door shut; {known}: it keeps cold for about {cold:.0f} h ({usual})."


def lines(judged: Sequence[Judged], words: str, zone: ZoneInfo, width: int) -> Iterator[str]:
    """Yield the words, a line or two for each bag, and the caution."""
    yield from fit(words, 0, width)
    for one in judged:
        lot = one.state.lot
        what = f"{one.state.left} {clean(lot.bread, 40)}, {lot.form}, {date_words(lot.bagged.astimezone(zone))}"
        found = f" ({one.found.value})" if one.found else ""
        yield from fit(f"bag {lot.letter:<3} {what}{found}: {one.advice.words}", 8, width)
    if not judged:
        yield "No bag to say anything of."
    yield from fit(CAUTION, 0, width)


def judged_json(judged: Sequence[Judged], words: str, household: str) -> dict[str, Any]:
    """Return the same as plain JSON values; `act` is what --record records: discard, toast, eat or ""."""
    return {
        "schema": SCHEMA,
        "household": clean(household),
        "says": words,
        "bags": [
            {
                "id": one.state.lot.id,
                "letter": one.state.lot.letter,
                "bread": one.state.lot.bread,
                "form": one.state.lot.form,
                "pieces": one.state.left,
                "found": None if one.found is None else one.found.value,
                "verdict": one.advice.verdict.value,
                "act": one.act,
                "says": one.advice.words,
            }
            for one in judged
        ],
        "caution": CAUTION,
    }
