"""What stands on the label of a bag, in words: what it is, its dates, its ways to the table, what it contains."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import quote

from calendars.text import clean
from rotation.bench import Contents, Way
from rotation.household.reading import Home
from rotation.keeping import FILLED, GOLDEN, MOULD
from rotation.ledger import Lot
from rotation.problem import THAWED, TOAST, kept_as
from rotation.show.bench_notes import hours_words
from rotation.words import FORM_WORDS, contents, count, date_words, listed, named_pieces, weekday

UNKNOWN = "Not looked up: serve it to nobody with an allergy."


@dataclass(frozen=True)
class Label:
    """One label. letter: "" where the bag has none yet; dates: eat first, toast or strict; ways: a line for each.

    contains: the allergens, to be set in bold, or ""; beside: what the same kitchen holds; warning: what must be read
    before anybody eats of it, or ""; caution: what to mind; code: what the QR code holds, "" for none.
    """

    letter: str
    bread: str
    amount: str
    frozen: str
    dates: str
    ways: tuple[str, ...]
    contains: str
    beside: str
    warning: str
    caution: str
    code: str


def label(home: Home, lot: Lot, units: int, ways: Sequence[Way], holds: Contents | None, *, planned: bool) -> Label:
    """Return the label of a bag. units: in it, slices where it is sliced; planned: it is still to be baked.

    ways, holds: of its bread (rotation/bench); none where the household has that bread no more.
    """
    recipe, form = home.known.get(lot.bread), kept_as(lot.form)
    name = clean(recipe.name if recipe else lot.bread, 40)
    filled = [FILLED] if recipe is not None and recipe.kind == "filled" else []
    bagged = lot.bagged.astimezone(home.zone)
    mine = tuple(_way(way, home) for way in ways if way.form == form)
    return Label(
        letter=clean(lot.letter, 3),
        bread=name,
        amount=_amount(name, form, units),
        frozen=f"{'To be frozen' if planned else 'Frozen'} {weekday(bagged)[:3]} {date_words(bagged)} {bagged.year}",
        dates=_dates(lot, home),
        ways=mine if recipe else ("The household has this bread no more.",),
        contains=contents(holds.found) if holds else "",
        beside=_beside(holds) if holds else "",
        warning=" ".join([*_unknown(holds), *filled]),
        caution=f"{GOLDEN} {MOULD}" if any(" min at " in way for way in mine) else MOULD,
        code="" if planned or not home.settings.labels.code else code(home.settings.labels.address, lot.id),
    )


def code(address: str, lot: str) -> str:
    """Return what a QR code of a bag holds: its own page under the kitchen page's address, else the bag's id alone."""
    return f"{address.rstrip('/')}/freezer/bag/{quote(lot, '')}" if address else lot


def _amount(name: str, form: str, units: int) -> str:
    """Return "2 loaves, part-baked", or "16 slices": the bread's own name stands above it."""
    if form == "sliced":
        return count(units, "slice")
    *_, last = named_pieces(name, units).split(" ")
    return f"{units} {last.lower()}, {FORM_WORDS.get(form, clean(form, 40))}"


def _dates(lot: Lot, home: Home) -> str:
    """Return "Eat first from Sat 3 Apr. For toast from Sat 29 May.", with the year where it is another."""
    said = f"Eat first from {_day(lot.eat_first, lot, home)}."
    if lot.strict_until is not None:
        return f"{said} Not after {_day(lot.strict_until - timedelta(minutes=1), lot, home)}."
    return f"{said} For toast from {_day(lot.toast_after, lot, home)}."


def _day(at: datetime, lot: Lot, home: Home) -> str:
    local, bagged = at.astimezone(home.zone), lot.bagged.astimezone(home.zone)
    return f"{date_words(local)}{f' {local.year}' if local.year != bagged.year else ''}"


def _way(way: Way, home: Home) -> str:
    """Return one way to the table: "Worktop 5 h to 16 h, 18 min at 220 (fan 200), stand 15 min"."""
    if way.gives == TOAST:
        return "Frozen: toaster or lunchbox."
    baked = ", ".join(f"{minutes} min at {_heat(degc, home)}" for degc, minutes in way.oven)
    start = {"worktop": "Worktop ", "fridge": "Fridge "}.get(way.place, "Frozen: ")
    thawed = f"{hours_words(way.thaw[0])} to {hours_words(way.thaw[1])}"
    parts = [*([thawed] if way.place else []), *([baked] if baked else [])]
    stand = f", stand {way.stand} min" if way.stand else ""
    return f"{start}{', '.join(parts)}{stand}{', eat' if way.gives == THAWED and not baked else ''}."


def _heat(degc: int, home: Home) -> str:
    oven, display = home.settings.ovens[0], home.settings.shown.display
    unit = " degF" if display.temperature == "degF" else ""
    fan = f" (fan {display.oven(degc - oven.fan_lower_degc)})" if oven.fan else ""
    return f"{display.oven(degc)}{unit}{fan}"


def _unknown(holds: Contents | None) -> list[str]:
    """Return that an ingredient, or the whole bread, is one that nobody looked up."""
    if holds is None:
        return [UNKNOWN]
    names = [clean(name, 40) for name in holds.unknown[:3]]
    return [f"{listed(names)}: {UNKNOWN[0].lower()}{UNKNOWN[1:]}"] if names else []


def _beside(holds: Contents) -> str:
    others = sorted({kind for _, kinds in holds.beside for kind in kinds})
    return f"Same kitchen: {contents(others)}." if others else ""
