"""What to buy for the kept plan: ingredients of the bakes to come less what is there, in packs, and loaves; by when.

And what was bought, or counted, on a request.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from math import ceil
from typing import Any
from uuid import uuid4

from calendars.zones import instant
from rotation.at_hand import OVERDUE, still_open
from rotation.bakers_math import Impossible
from rotation.carried import Carried, from_text
from rotation.errors import BadInput, Mistake
from rotation.happened import Happened
from rotation.household.bread_sense import ingredients
from rotation.household.mistakes import closest, shown
from rotation.household.reading import Home
from rotation.intended import document
from rotation.ledger import Happenings, Pantry, Requests, Said, Stated
from rotation.pantry import Need, There, fed, notice, there, wanted
from rotation.problem import FEED, STARTER
from rotation.stockroom import freezer

EXACT = 0.05
"""Grams below which nothing is missing."""

DAYS_BACK = 8
"""How far before a step is looked for a day on which the shop is open."""


@dataclass(frozen=True)
class Ingredient:
    """One ingredient to buy, in grams. packs: how many of `pack_grams`, 0 where no size is known.

    first: the step at which what is there runs out; by: the shop's last closing before it, None where it shuts no more
    before then. needed: for all bakes to come. open: the shop shuts later today; due: that step was to begin by now.
    """

    name: str
    needed: float
    there: float
    buy: float
    packs: int
    pack_grams: float
    first: Need
    by: datetime | None
    open: bool = False
    due: bool = False


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

    until: the end of the kept plan; there: all that is known to be there, by name.
    """

    ingredients: tuple[Ingredient, ...]
    loaves: tuple[Loaves, ...]
    unknown: tuple[str, ...]
    until: datetime
    there: tuple[There, ...] = ()


def to_buy(home: Home, now: datetime) -> Shopping:
    """Return what is to be bought for the kept plan. Reads the ledger. Raises BadInput where no plan is kept."""
    with freezer(home, now, readonly=True) as ledger:
        plan, happened = document(ledger.kept_plan()), Happenings(ledger).standing()
        whole = ledger.whole_plan()
        pantry = there(home, ledger, now)
    if plan is None:
        raise BadInput(Mistake("buy", None, "", "no plan is kept.", "Make one: rotation plan"))
    return shopping(home, plan, happened, pantry, now, () if whole is None else _feeds(home, from_text(whole), now))


def bought(home: Home, now: datetime, grams: Mapping[str, float] | None = None, id_: str = "") -> dict[str, float]:
    """Record ingredients bought, in grams by name; return them. None: all that the list says is to be bought.

    id_: of the request: repeated it counts once. Raises BadInput and StorageError, as all here.
    """
    return _told(home, now, id_, Said.BOUGHT, grams)


def counted(home: Home, now: datetime, grams: Mapping[str, float], id_: str = "") -> dict[str, float]:
    """Record how much of ingredients really is there, in grams by name; return them. id_: of the request."""
    return _told(home, now, id_, Said.THERE, grams)


def taken_back(home: Home, now: datetime, id_: str = "") -> tuple[Stated, ...]:
    """Take back what was bought or counted last; return it. id_: of the request."""
    with freezer(home, now, moving=True) as ledger, ledger.together():
        if Requests(ledger).answer(id_, "buy undo") is not None:
            return ()
        said = [one for one in Pantry(ledger).standing() if one.said is not Said.WRITTEN]
        if not said:
            raise BadInput(Mistake("buy", None, "", "nothing was bought or counted yet.", "See: rotation buy"))
        last = max(said, key=lambda one: one.number)
        Requests(ledger).record(id_, "buy undo", [last.act], now)
        return Pantry(ledger).undo(last.act, now)


def _told(home: Home, now: datetime, id_: str, said: Said, grams: Mapping[str, float] | None) -> dict[str, float]:
    with freezer(home, now, moving=True) as ledger, ledger.together():
        known = Requests(ledger).answer(id_, f"buy {said}")
        if known is not None:
            return {one.name: one.grams for one in Pantry(ledger).standing() if one.act in known}
        if grams is None:
            grams = {one.name: one.buy for one in to_buy(home, now).ingredients}
        _known_names(home, grams)
        notice(home, ledger, now, now)
        act = f"{said} {uuid4()}"
        Pantry(ledger).record(act, said, grams, now, now)
        Requests(ledger).record(id_, f"buy {said}", [act], now)
        return dict(grams)


def _known_names(home: Home, grams: Iterable[str]) -> None:
    """Raise BadInput for an ingredient that is in no formula: a slip would be bought again and again."""
    known = {name for bread in home.breads.values() for name in ingredients(bread)}
    mistakes = [
        Mistake("buy", None, "", f"no formula has {shown(name)}.", closest(name, known))
        for name in grams if name not in known
    ]  # fmt: skip
    if mistakes:
        raise BadInput(*mistakes)


def _feeds(home: Home, kept: Carried, now: datetime) -> Iterator[tuple[str, Need]]:
    """Yield what the feeds of a plan beside its bakes want, each with the feed's id, as long as they are due."""
    for feeding in kept.plan.feedings:
        if kept.instant(feeding.end) + OVERDUE <= now:
            continue
        for name, grams in fed(home, kept.plan, feeding):
            yield feeding.id, Need(name, grams, kept.instant(feeding.start).astimezone(home.zone), STARTER)


def shopping(
    home: Home,
    plan: dict[str, Any],
    happened: Iterable[Happened],
    pantry: Mapping[str, There],
    now: datetime,
    feeds: Iterable[tuple[str, Need]] = (),
) -> Shopping:
    """Return what is to be bought for a kept plan as shown. happened: steps that are done want nothing more.

    pantry: what is there, by ingredient; feeds: what the starter is fed beside any bake.
    """
    open_ = still_open(list(happened))
    ahead: list[Need] = []
    unknown: list[str] = []
    for bake in plan["bakes"]:
        try:
            ahead += [need for step, need in _needs(home, bake, now) if open_(bake["id"], step)]
        except (Impossible, LookupError):
            unknown.append(bake["bread"])
    ahead += [need for id_, need in feeds if open_(id_, FEED)]
    names = sorted({need.name for need in ahead})
    found = (_bought(home, name, [need for need in ahead if need.name == name], pantry, now) for name in names)
    missing = sorted((one for one in found if one is not None), key=lambda one: (one.first.at, one.name))
    titles = {meal["id"]: meal["summary"] for meal in plan["meals"]}
    loaves = tuple(
        Loaves(one["id"], one["loaves"], datetime.fromisoformat(one["buy_by"]),
               tuple(dict.fromkeys(titles[meal["id"]] for meal in one["meals"] if meal["id"] in titles)))
        for one in plan["bought"] if datetime.fromisoformat(one["buy_by"]) >= now
    )  # fmt: skip
    until = datetime.fromisoformat(plan["horizon"]["end"])
    known = tuple(sorted(pantry.values(), key=lambda one: one.name))
    return Shopping(tuple(missing), loaves, tuple(dict.fromkeys(unknown)), until, known)


def _needs(home: Home, bake: dict[str, Any], now: datetime) -> Iterator[tuple[str, Need]]:
    """Yield what each step of a bake wants, as long as it is due. LookupError for a bread no file describes."""
    due = {step["name"] for step in bake["steps"] if datetime.fromisoformat(step["end"]) + OVERDUE > now}
    starts = {step["name"]: datetime.fromisoformat(step["start"]) for step in bake["steps"]}
    for step, name, grams in wanted(home, bake["bread"], bake["process"], bake["pieces"], list(starts)):
        if step in due:
            yield step, Need(name, grams, starts[step], bake["bread"])


def _bought(home: Home, name: str, needs: list[Need], pantry: Mapping[str, There], now: datetime) -> Ingredient | None:
    """Return what of one ingredient is to be bought, or None where what is there will do."""
    pack = home.settings.pantry.pack_grams.get(name, 0.0)
    held = pantry[name].grams if name in pantry else 0.0
    needed, left, first = sum(need.grams for need in needs), held, None
    for need in sorted(needs, key=lambda need: need.at):
        left -= need.grams
        if left < -EXACT and first is None:
            first = need
    if first is None:
        return None
    packs = ceil((needed - held - EXACT) / pack) if pack else 0
    buy = packs * pack if packs else needed - held
    by, shuts = last_closing(home, first.at, now), _closing(home, now.astimezone(home.zone).date())
    opened = shuts is not None and now < shuts
    return Ingredient(name, needed, held, buy, packs, pack, first, by, opened, first.at <= now)


def last_closing(home: Home, before: datetime, now: datetime) -> datetime | None:
    """Return when the shop shuts the last time before a moment, if that is still to come."""
    day = before.astimezone(home.zone).date()
    for back in range(DAYS_BACK):
        shuts = _closing(home, day - timedelta(days=back))
        if shuts is not None and shuts <= before:
            return shuts if shuts > now else None
    return None


def _closing(home: Home, day: date) -> datetime | None:
    """Return when the shop shuts on a local day, None where it is shut all day."""
    minute = home.settings.shop.closes.on(day.weekday())
    if minute is None:
        return None
    midnight = datetime.combine(day, time())
    return instant(midnight + timedelta(minutes=minute), home.zone).astimezone(home.zone)
