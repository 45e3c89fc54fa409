"""What is there at the start: bags in the freezer, bread in the box, bakes under way, as the plan counts them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from hashlib import sha256
from itertools import product
from string import ascii_uppercase
from zoneinfo import ZoneInfo

from calendars.zones import instant
from rotation import keeping
from rotation.household import usual
from rotation.household.breads import Bread as Recipe
from rotation.household.stock import Stock, StockBake, StockBox
from rotation.intake.notes import Notes
from rotation.intake.time import Clock
from rotation.problem import FRESH, BoxItem, Bread, Lot, UnderWay, last_day


@dataclass(frozen=True)
class Bag:
    """Units of one bread and form in the freezer: pieces, or portions if sliced. All times are aware.

    through: frozen through from then on; eat_first, toast_after, strict_until: ends of its days (None: never strict).
    """

    id: str
    letter: str
    bread: str
    form: str
    units: int
    bagged: datetime
    through: datetime
    eat_first: datetime
    toast_after: datetime
    strict_until: datetime | None


def opening(stock: Stock, breads: Mapping[str, Recipe], zone: ZoneInfo, freezer_degc: float = -18.0) -> tuple[Bag, ...]:
    """Return the bags of `stock.toml`, oldest first. Dates reach to the end of a local day; a day means its noon.

    freezer_degc: in a warmer freezer bread keeps less long.
    """
    taken = {lot.letter.upper() for lot in stock.lots if lot.letter}
    free = (a + b for a, b in product(("", *ascii_uppercase), ascii_uppercase) if a + b not in taken)
    bags: list[Bag] = []
    for lot in stock.lots:
        kept = usual.kept(breads[lot.bread], breads[lot.bread].processes[0], lot.form)
        dates = keeping.dates(kept, freezer_degc)
        bagged = lot.bagged if isinstance(lot.bagged, datetime) else datetime.combine(lot.bagged, time(12))
        bagged = bagged.astimezone(UTC) if bagged.tzinfo else instant(bagged, zone)
        letter = lot.letter.upper() if lot.letter else next(free)
        digest = sha256(f"{lot.bread} {lot.form} {bagged.isoformat()} {letter}".encode()).hexdigest()
        bags.append(
            Bag(
                id=f"opening-{digest[:10]}",
                letter=letter,
                bread=lot.bread,
                form=lot.form,
                units=lot.units,
                bagged=bagged,
                through=bagged + timedelta(minutes=kept.freeze_minutes),
                eat_first=_end_of_day(bagged, dates.eat_first_weeks, zone),
                toast_after=_end_of_day(bagged, dates.toast_after_weeks, zone),
                strict_until=None if dates.strict_weeks is None else _end_of_day(bagged, dates.strict_weeks, zone),
            )
        )
    return tuple(sorted(bags, key=lambda bag: (bag.bagged, bag.id)))


def _end_of_day(since: datetime, weeks: float, zone: ZoneInfo) -> datetime:
    day = since.astimezone(zone).date() + timedelta(days=last_day(0, round(10_080 * weeks)))
    return instant(datetime.combine(day + timedelta(days=1), time()), zone)


def lots(bags: Iterable[Bag], breads: Mapping[str, Bread], clock: Clock, notes: Notes) -> tuple[Lot, ...]:
    """Return the bags the plan may use, oldest first; a bread or form the household no longer has is noted."""
    found: list[Lot] = []
    for bag in bags:
        known = bag.bread in breads and any(form.id == bag.form for form in breads[bag.bread].forms)
        if not known:
            notes.add(
                "freezer", f"Bag {bag.letter} holds {bag.units} of {bag.bread}, {bag.form}, which no bread file has."
            )
            continue
        if clock.minute(bag.bagged) > 0:
            notes.add("freezer", f"Bag {bag.letter} is bagged after the plan begins: not counted.")
            continue
        found.append(
            Lot(
                id=bag.id,
                letter=bag.letter,
                bread=bag.bread,
                form=bag.form,
                units=bag.units,
                bagged=clock.minute(bag.bagged),
                through=clock.minute(bag.through),
                eat_first=clock.minute(bag.eat_first),
                toast_after=clock.minute(bag.toast_after),
                strict=None if bag.strict_until is None else clock.minute(bag.strict_until),
            )
        )
    return tuple(sorted(found, key=lambda lot: (lot.bagged, lot.id)))


def box(items: Sequence[StockBox], breads: Mapping[str, Bread], clock: Clock, notes: Notes) -> tuple[BoxItem, ...]:
    """Return the bread that is ready to eat and still good, each until its keeping time is over."""
    found: list[BoxItem] = []
    for number, item in enumerate(items, 1):
        bread, ready = breads[item.bread], clock.minute_of(item.ready)
        ways = [route.keeps for route in bread.routes if route.gives == item.way and route.keeps]
        until = ready + (bread.keeps if item.way == FRESH or not ways else max(ways))
        if until <= 0:
            notes.add(
                "bread box", f"{item.portions} portions of {bread.name} are past their keeping time: not counted."
            )
            continue
        found.append(BoxItem(f"box-{number}", bread.id, item.way, item.portions, ready, until))
    return tuple(found)


def under_way(bakes: Sequence[StockBake], clock: Clock, notes: Notes) -> tuple[UnderWay, ...]:
    """Return the bakes that have begun, with the real minutes of the steps done."""
    found: list[UnderWay] = []
    for number, bake in enumerate(bakes, 1):
        done = tuple((step.step, clock.minute_of(step.start), clock.minute_of(step.end)) for step in bake.done)
        if any(end > 0 for _, _, end in done):
            notes.add("bakes", f"A bake of {bake.bread} is begun after the plan begins: not counted.")
            continue
        found.append(UnderWay(bake.id or f"begun-{number}", bake.bread, bake.process, bake.pieces, done))
    return tuple(found)
