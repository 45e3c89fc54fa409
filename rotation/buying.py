"""What to buy for the kept plan: ingredients of the bakes to come less what is there, in packs, and loaves; by when."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from math import ceil
from typing import Any

from calendars.zones import instant
from rotation.at_hand import still_open
from rotation.bakers_math import Impossible, weigh
from rotation.bench.weights import masses
from rotation.happened import Happened
from rotation.household import usual
from rotation.household.reading import Home

EXACT = 0.05
"""Grams below which nothing is missing."""

DAYS_BACK = 8
"""How far before a step is looked for a day on which the shop is open."""


@dataclass(frozen=True)
class Need:
    """Grams of one ingredient that one step of a bake wants. at: when the step begins; bread: its id."""

    name: str
    grams: float
    at: datetime
    bread: str


@dataclass(frozen=True)
class Ingredient:
    """One ingredient to buy, in grams. packs: how many of `pack_grams`, 0 where no size is known.

    first: the step at which what is there runs out; by: the shop's last closing before it, None where it shuts no more
    before then. needed: for all bakes to come.
    """

    name: str
    needed: float
    there: float
    buy: float
    packs: int
    pack_grams: float
    first: Need
    by: datetime | None


@dataclass(frozen=True)
class Loaves:
    """Loaves to buy, by when, and for which meals."""

    id: str
    loaves: int
    by: datetime
    meals: tuple[str, ...]


@dataclass(frozen=True)
class Shopping:
    """All that is to be bought, the soonest first. unknown: breads whose ingredients nobody can weigh.

    until: the end of the kept plan.
    """

    ingredients: tuple[Ingredient, ...]
    loaves: tuple[Loaves, ...]
    unknown: tuple[str, ...]
    until: datetime


def shopping(home: Home, plan: dict[str, Any], happened: Iterable[Happened], now: datetime) -> Shopping:
    """Return what is to be bought for a kept plan as shown. happened: steps that are done want nothing more."""
    open_ = still_open(list(happened))
    ahead: list[Need] = []
    unknown: list[str] = []
    for bake in plan["bakes"]:
        try:
            ahead += [need for step, need in _needs(home, bake) if need.at > now and open_(bake["id"], step)]
        except (Impossible, LookupError):
            unknown.append(bake["bread"])
    names = sorted({need.name for need in ahead})
    found = (_bought(home, name, [need for need in ahead if need.name == name], now) for name in names)
    ingredients = sorted((one for one in found if one is not None), key=lambda one: (one.first.at, one.name))
    titles = {meal["id"]: meal["summary"] for meal in plan["meals"]}
    loaves = tuple(
        Loaves(one["id"], one["loaves"], datetime.fromisoformat(one["buy_by"]),
               tuple(dict.fromkeys(titles[meal["id"]] for meal in one["meals"] if meal["id"] in titles)))
        for one in plan["bought"] if datetime.fromisoformat(one["buy_by"]) >= now
    )  # fmt: skip
    until = datetime.fromisoformat(plan["horizon"]["end"])
    return Shopping(tuple(ingredients), loaves, tuple(dict.fromkeys(unknown)), until)


def _needs(home: Home, bake: dict[str, Any]) -> Iterator[tuple[str, Need]]:
    """Yield what each step of a bake wants, but for what is never bought. LookupError for a bread no file describes."""
    recipe = home.known[bake["bread"]]
    process = next((process for process in recipe.processes if process.id == bake["process"]), None)
    if process is None:
        raise LookupError
    formula = usual.formula(recipe, process)
    weighed = weigh(formula, bake["pieces"], recipe.piece_grams, recipe.process_loss_percent)
    starts = {step["name"]: datetime.fromisoformat(step["start"]) for step in bake["steps"]}
    for step, several in masses(weighed, list(starts), formula.inclusions_at, {}).items():
        for part in (part for mass in several for part in mass.parts):
            if part.percent is not None and part.name not in home.settings.pantry.never_bought:
                yield step, Need(part.name, part.grams, starts[step], bake["bread"])


def _bought(home: Home, name: str, needs: list[Need], now: datetime) -> Ingredient | None:
    """Return what of one ingredient is to be bought, or None where what is there will do."""
    pantry = home.settings.pantry
    there, pack = pantry.there_grams.get(name, 0.0), pantry.pack_grams.get(name, 0.0)
    needed, left, first = sum(need.grams for need in needs), there, None
    for need in sorted(needs, key=lambda need: need.at):
        left -= need.grams
        if left < -EXACT and first is None:
            first = need
    if first is None:
        return None
    packs = ceil((needed - there - EXACT) / pack) if pack else 0
    buy = packs * pack if packs else needed - there
    return Ingredient(name, needed, there, buy, packs, pack, first, last_closing(home, first.at, now))


def last_closing(home: Home, before: datetime, now: datetime) -> datetime | None:
    """Return when the shop shuts the last time before a moment, if that is still to come."""
    day = before.astimezone(home.zone).date()
    for back in range(DAYS_BACK):
        date = day - timedelta(days=back)
        minute = home.settings.shop.closes.on(date.weekday())
        if minute is None:
            continue
        midnight = datetime.combine(date, time())
        shuts = instant(midnight + timedelta(minutes=minute), home.zone)
        if shuts <= before:
            return shuts.astimezone(home.zone) if shuts > now else None
    return None
