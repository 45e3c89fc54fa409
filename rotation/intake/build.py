"""From a household as read, its calendars and its freezer to the problem of a plan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import ceil

from calendars.event import Oddity, Reading
from calendars.intervals import union
from calendars.listing import counted
from rotation.allergens import allergens
from rotation.asked import Asked
from rotation.household.bread_sense import ingredients
from rotation.household.breads import Bread as Recipe
from rotation.household.reading import Home
from rotation.household.settings import Household
from rotation.household.stock import StockBake, StockBox
from rotation.intake import kitchen, meals, people, stock, wishes, worth
from rotation.intake.breads import bread, lead
from rotation.intake.notes import Note, Notes
from rotation.intake.ovens import ovens
from rotation.intake.pace import Climate
from rotation.intake.stock import Bag
from rotation.intake.table import Table
from rotation.intake.time import Clock, longest_gap
from rotation.problem import Bread, Problem, Published, PublishedWay, Shop, Weights, Wish, day_index

LONGEST_TAIL = 7
"""Days the plan looks beyond those shown, at most."""

NEVER = 10**7

SHORTEST_BAKING = 30
"""Minutes of free hands below which nobody begins to bake."""


@dataclass(frozen=True)
class PublishedBake:
    """A bake of the plan last published: its bread, process, the local day of its mix; when steps were to begin."""

    bread: str
    process: str
    mixed: date
    starts: tuple[tuple[str, datetime], ...] = ()


@dataclass(frozen=True)
class PublishedThaw:
    """A thaw of the plan last published: when it leaves the freezer, goes into the oven (None: never), is ready."""

    bread: str
    route: str
    out: datetime
    into: datetime | None
    ready: datetime


@dataclass(frozen=True)
class Intake:
    """All that is to be planned, what was assumed on the way there, and what was odd in the calendars."""

    problem: Problem
    notes: tuple[Note, ...]
    oddities: tuple[Oddity, ...] = ()


def build(
    home: Home,
    readings: Mapping[str, Reading],
    lots: Iterable[Bag],
    box: Sequence[StockBox],
    under_way: Sequence[StockBake],
    published: Sequence[PublishedBake] | None,
    zero: datetime,
    days: int,
    asked: Iterable[Asked] = (),
    published_until: date | None = None,
    thaws: Sequence[PublishedThaw] = (),
    looked: int | None = None,
) -> Intake:
    """Return the problem of a plan that shows `days` local days from `zero` (aware; moved up to the planning grid).

    readings: what each calendar says, by its name in the settings; they should reach `LONGEST_TAIL` days further. lots:
    the bags in the freezer (`rotation.intake.stock.opening` for those of `stock.toml`). published: None where
    nothing has been published yet; published_until: the first day after those it showed; thaws: of that plan. asked:
    the wishes that the family's edits came to. looked: days of the tail, if not as many as it takes. The order of the
    arguments' items does not matter.
    """
    household, notes = home.settings, Notes()
    oddities = tuple(odd for reading in readings.values() for odd in reading.oddities)
    if doubtful := counted(oddities):
        notes.add("calendars", f"{doubtful}; `rotation check` says what.")
    wide = Clock.of(zero, home.zone, days + LONGEST_TAIL)
    events = meals.ruled(household, readings)
    at_home = frozenset(each.event.key for each in events if each.rule.effect != "away")
    claims = people.claims(household, readings, at_home, wide)
    everybody = people.people(household, claims, meals.away(household, events, wide), wide, notes)
    climate = Climate.of(household, wide)
    breads = tuple(
        bread(id_, recipe, household, bread_allergens(home, recipe), climate, wide, notes)
        for id_, recipe in sorted(home.breads.items())
    )
    clock = wide.shortened(days + (tail(everybody, breads, wide.midnights[days]) if looked is None else looked))
    persons = tuple(each.until(clock.end) for each in everybody)
    table = Table(household, breads, notes)
    eaten, guests = meals.meals(
        household,
        events,
        everybody,
        table,
        meals.holidays(household, readings, clock),
        wide.midnights[days],
        clock,
        notes,
    )
    weights, by_id = weigh(household), {each.id: each for each in breads}
    if published_until is not None:  # what is first planned for the days after is no change
        weights = first_planned(weights, (published_until - clock.first).days)
    bags = stock.lots(lots, by_id, clock, notes)
    problem = Problem(
        zero=clock.zero,
        zone=clock.zone,
        midnights=clock.midnights,
        shown_days=days,
        people=persons,
        ovens=ovens(household, readings, clock, notes),
        kitchen=kitchen.holding(kitchen.kitchen(household, guests, clock, notes), bags, breads, notes),
        breads=worth.with_worth(breads, household, eaten, persons, clock.days, weights.unmet_portion),
        meals=eaten,
        lots=bags,
        box=stock.box(box, by_id, clock, notes),
        under_way=stock.under_way(under_way, clock, notes),
        shop=_shop(household, clock),
        weights=weights,
        reserve=worth.reserve(breads, household, eaten, table.for_guests(), clock.days),
        wishes=(*_wishes(household, clock, notes), *wishes.wishes(asked, clock, by_id, notes)),
        published=None if published is None else told(published, household, clock),
        published_ways=told_thaws(thaws, by_id, household, clock),
    )
    return Intake(problem, notes.all(), oddities)


def bread_allergens(home: Home, recipe: Recipe) -> frozenset[str]:
    """Return the allergens of a bread; what its own file says of an ingredient counts before the household's word."""
    return allergens(ingredients(recipe), {**home.settings.contains, **recipe.contains})


def tail(everybody: Sequence[people.Presence], breads: Sequence[Bread], shown_end: int) -> int:
    """Return the days looked at beyond those shown: the longest lead and the longest time without hands to bake."""
    hands = union(
        span
        for each in everybody
        if each.person.bakes
        for span in each.person.free
        if span[1] - span[0] >= SHORTEST_BAKING
    )
    longest = max((lead(process) for bread in breads for process in bread.processes if process.pieces), default=0)
    return max(1, min(LONGEST_TAIL, ceil((longest + longest_gap(hands, 0, shown_end)) / 1440)))


def weigh(household: Household) -> Weights:
    """Return the prices in milli effort; a portion not met costs what a bought one does, rounded up, if not written."""
    given, shop = household.weights, household.shop
    unmet = shop.price_minutes / shop.portions if given.unmet_portion is None else given.unmet_portion
    return Weights(
        heat_up=round(1000 * given.heat_up),
        unmet_portion=ceil(1000 * unmet),
        strict_portion=round(1000 * given.strict_portion),
        portion_day_frozen=round(1000 * given.portion_day_frozen),
        wasted_portion=round(1000 * given.wasted_portion),
        unit_past_date=round(1000 * given.unit_past_date),
        changed_by_day=tuple(_changed(household, day) for day in range(_until(household))),
        bakes_a_week=household.plan.bakes_a_week,
        extra_bake=round(1000 * given.unusual_day),
    )


def first_planned(weights: Weights, since: int) -> Weights:
    """Return the prices where what is mixed from a day on was not yet planned, and is no change."""
    return replace(weights, changed_by_day=weights.changed_by_day[: max(0, since)])


def _changed(household: Household, day: int, first: int = NEVER) -> int:
    """Return the milli effort of a bake changed against the published plan on a day.

    It is whole as far as the calendar is written, from any hour of today, and less the further off after that.
    first: the minute at which something of it was to begin; more within the hours that are held.
    """
    given, beyond = household.weights, day - household.plan.publish_days
    held = given.held_times if first <= 60 * household.plan.hold_fixed_hours else 1
    return round(1000 * given.changed_bake * held * max(0.0, 1 - max(beyond, 0) / given.change_fades_days))


def _until(household: Household) -> int:
    """Return the first day on which a change costs nothing."""
    return household.plan.publish_days + household.weights.change_fades_days


def told(bakes: Sequence[PublishedBake], household: Household, clock: Clock) -> tuple[Published, ...]:
    """Return the bakes published whose mix is in the plan, with what a change of each costs."""
    found = []
    for bake in bakes:
        day = (bake.mixed - clock.first).days
        if 0 <= day < clock.days:
            starts = tuple((step, clock.minute(at)) for step, at in bake.starts)
            price = _changed(household, day, min((at for _, at in starts), default=NEVER))
            moved = round(household.weights.moved_share * price)
            found.append(Published(bake.bread, bake.process, day, price, starts, moved))
    return tuple(found)


def told_thaws(
    thaws: Sequence[PublishedThaw], breads: Mapping[str, Bread], household: Household, clock: Clock
) -> tuple[PublishedWay, ...]:
    """Return the thaws published and still to come, of routes the household still has."""
    found = []
    for thaw in thaws:
        out, at = clock.minute(thaw.out), clock.minute(thaw.into or thaw.out)
        known = thaw.bread in breads and any(route.id == thaw.route for route in breads[thaw.bread].routes)
        day = day_index(clock.midnights, out)
        if known and 0 <= day < clock.days and out >= 0:
            price = round(household.weights.moved_share * _changed(household, day, out))
            found.append(PublishedWay(thaw.bread, thaw.route, day, at, clock.minute(thaw.ready), price))
    return tuple(found)


def _shop(household: Household, clock: Clock) -> Shop:
    shop = household.shop
    closes = ((day, shop.closes.on(day.weekday())) for day in clock.dates)
    minutes = (clock.at(day, at) for day, at in closes if at is not None)
    return Shop(
        closes=tuple(minute for minute in minutes if 0 <= minute <= clock.end),
        portions=shop.portions,
        keeps=round(60 * shop.keeps_hours),
        loaf_milli=round(1000 * shop.price_minutes),
        allergens=frozenset(shop.allergens),
    )


def _wishes(household: Household, clock: Clock, notes: Notes) -> tuple[Wish, ...]:
    """Return the wishes that are not over."""
    found: list[Wish] = []
    for number, wish in enumerate(household.wishes, 1):
        at = clock.minute_of(wish.at)
        until = at if wish.until is None else clock.minute_of(wish.until)
        if max(at, until) < 0:
            notes.add("wishes", f"“{wish.said or wish.kind}” for {wish.bread} is over: not counted.")
            continue
        found.append(
            Wish(wish.id or f"wish-{number}", wish.kind, wish.bread, at, until, wish.step or "", wish.said or "")
        )
    return tuple(found)
