"""What to buy, for the screen, as JSON, and as tasks for a calendar."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from hashlib import sha256
from itertools import groupby
from typing import Any

from calendars.text import clean
from calendars.writing import Entry
from rotation.buying import Ingredient, Loaves, Shopping
from rotation.household.reading import Home
from rotation.show.fit import fit
from rotation.words import clock, count, date_words, listed, weekday

SCHEMA = "rotation/buy/1"
"""Name and version of what `rotation buy --json` prints."""

MORNING = timedelta(hours=2)
"""How long before the shop shuts a task begins."""


def lines(shopping: Shopping, home: Home, width: int) -> Iterator[str]:
    """Yield what to buy, the soonest first."""
    said = _Words(home)
    if not shopping.ingredients and not shopping.loaves:
        yield f"Nothing to buy until {said.moment(shopping.until)}."
    for day, what in said.all(shopping):
        yield from fit(f"{day:<22} {what}", 23, width)
    if shopping.unknown:
        yield from fit(f"Not weighed: {listed(map(said.bread, shopping.unknown))}.", 2, width)
    there = listed(f"{said.weight(one.grams)} of {clean(one.name, 60)}" for one in shopping.there)
    if there:
        yield from fit(f'There, we think: {there}. Not so? rotation buy --there "salt=500 g"', 2, width)


def recorded(what: str, grams: Mapping[str, float], home: Home) -> str:
    """Return that ingredients were bought, counted, or that this is taken back."""
    said = _Words(home)
    each = listed(f"{said.weight(one)} of {clean(name, 60)}" for name, one in grams.items())
    return f"{what}: {each or 'nothing'}."


def buy_json(shopping: Shopping, home: Home, now: datetime) -> dict[str, Any]:
    """Return the same as plain JSON values; masses in grams."""
    return {
        "schema": SCHEMA,
        "household": clean(home.settings.name),
        "now": now.astimezone(home.zone).isoformat(timespec="minutes"),
        "until": shopping.until.isoformat(timespec="minutes"),
        "ingredients": [
            {
                "name": one.name,
                "needed_grams": round(one.needed, 1),
                "there_grams": round(one.there, 1),
                "buy_grams": round(one.buy, 1),
                "packs": one.packs or None,
                "pack_grams": one.pack_grams or None,
                "first": {"bread": one.first.bread, "at": one.first.at.isoformat(timespec="minutes")},
                "by": None if one.by is None else one.by.isoformat(timespec="minutes"),
            }
            for one in shopping.ingredients
        ],
        "loaves": [
            {"id": one.id, "loaves": one.loaves, "by": one.by.isoformat(timespec="minutes"), "meals": list(one.meals)}
            for one in shopping.loaves
        ],
        "not_weighed": list(shopping.unknown),
        "there": [
            {
                "name": one.name,
                "grams": round(one.grams, 1),
                "since": None if one.since is None else one.since.astimezone(home.zone).isoformat(timespec="minutes"),
            }
            for one in shopping.there
        ],
    }


def tasks(shopping: Shopping, home: Home, now: datetime) -> list[Entry]:
    """Return a task for each thing to buy, due when the shop shuts, or when it is wanted; at once, where it is shut."""
    said = _Words(home)
    made = []
    for one in shopping.ingredients:
        due = one.by or (one.first.at if one.open and not one.due else now)
        made.append(_task(f"{one.name} {one.first.at.isoformat()}", said.amount(one), said.why(one), due))
    for loaves in shopping.loaves:
        made.append(_task(loaves.id, said.loaves(loaves), said.meals(loaves), loaves.by))
    return made


def _task(about: str, what: str, why: str, due: datetime) -> Entry:
    uid = f"buy-{sha256(about.encode()).hexdigest()[:20]}@bread-rotation"
    return Entry(uid, f"Buy {what}", why, due - MORNING, due, categories=("Bread",), task=True)


def by_deadline(shopping: Shopping, home: Home) -> Iterator[tuple[str, str]]:
    """Yield by when, and all to buy by then, the soonest first: "by Tue 2 Mar 20:00" and "500 g of milk, 1 loaf"."""
    said = _Words(home)
    told = [(one.first.at if one.by is None else one.by, said.when(one), said.amount(one))
            for one in shopping.ingredients]  # fmt: skip
    told += [(one.by, said.by(one.by), said.loaves(one)) for one in shopping.loaves]
    for by, several in groupby(sorted(told), key=lambda one: one[1]):
        yield by, listed(what for _, _, what in several)


class _Words:
    def __init__(self, home: Home) -> None:
        self.home = home

    def all(self, shopping: Shopping) -> Iterator[tuple[str, str]]:
        """Yield "by Tue 2 Mar 20:00" and what to buy by then."""
        told = [(one.first.at if one.by is None else one.by, self.when(one), f"{self.amount(one)}. {self.why(one)}")
                for one in shopping.ingredients]  # fmt: skip
        told += [(one.by, self.by(one.by), f"{self.loaves(one)}. {self.meals(one)}") for one in shopping.loaves]
        yield from ((by, what.strip()) for _, by, what in sorted(told))

    def when(self, one: Ingredient) -> str:
        """Return "by Tue 2 Mar 20:00"; where the shop shuts no more before it is wanted, whether it is shut by now."""
        if one.by is not None:
            return self.by(one.by)
        if not one.open:
            return "now, the shop is shut"
        return "now" if one.due else f"today, before {clock(one.first.at.astimezone(self.home.zone))}"

    def by(self, at: datetime) -> str:
        return f"by {self.moment(at)}"

    def moment(self, at: datetime) -> str:
        local = at.astimezone(self.home.zone)
        return f"{weekday(local)[:3]} {date_words(local)} {clock(local)}"

    def amount(self, one: Ingredient) -> str:
        """Return "2 packs of 1 kg of strong wheat flour"."""
        if one.packs:
            return f"{count(one.packs, 'pack')} of {self.weight(one.pack_grams)} of {clean(one.name, 60)}"
        return f"{self.weight(one.buy)} of {clean(one.name, 60)}"

    def weight(self, grams: float) -> str:
        return self.home.settings.shown.display.weight(grams)

    def why(self, one: Ingredient) -> str:
        there = f", {self.weight(one.there)} there" if one.there else ""
        first = f"{self.bread(one.first.bread)}, {self.moment(one.first.at)}"
        return f"{self.weight(one.needed)} wanted{there}; first for {first}."

    def loaves(self, one: Loaves) -> str:
        return f"{count(one.loaves, 'loaf', 'loaves')} of bread"

    def meals(self, one: Loaves) -> str:
        return f"For {listed(map(clean, one.meals))}." if one.meals else ""

    def bread(self, id_: str) -> str:
        known = self.home.known.get(id_)
        return clean(known.name if known else id_, 40)
