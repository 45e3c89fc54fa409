"""What makes no sense in a household or its stock as a whole: names that are not there, dates that run backwards."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from pydantic import ValidationError

from rotation.allergens import ALL, UNKNOWN
from rotation.household import usual
from rotation.household.bread_sense import ingredients
from rotation.household.breads import Bread
from rotation.household.calendar_sense import calendars_wrong
from rotation.household.climate_sense import climate_wrong
from rotation.household.heat_sense import cold_wrong
from rotation.household.kitchen import Dated, Kitchen
from rotation.household.lines import Path
from rotation.household.matching import Match
from rotation.household.meals import Habits
from rotation.household.mistakes import Wrong, closest, repeated, shown
from rotation.household.paper_sense import labels_wrong
from rotation.household.settings import Household
from rotation.household.stock import Stock
from rotation.household.values import DAYS, first_moment, last_moment, local

Breads = Mapping[str, Bread | None]
"""Breads by id; None for one whose own file has mistakes, so that only its name is known."""


def household_wrong(home: Household, breads: Breads) -> Iterator[Wrong]:
    """Yield what makes no sense in the settings, given the breads by id."""
    if _zone(home.zone) is None:
        near = closest(home.zone, available_timezones())
        instead = near if near.startswith("Do") else 'Write zone = "Europe/Berlin"'
        yield Wrong(("zone",), f"{shown(home.zone)} is not a time zone.", instead)
    yield from _people(home)
    yield from calendars_wrong(home)
    yield from _events(home)
    yield from _ovens(home, breads)
    for index, dated in enumerate(home.exceptions):
        yield from _exception(home, ("exceptions", index), dated)
    yield from climate_wrong(home.kitchen, breads)
    yield from cold_wrong(home.kitchen)
    yield from _meals(home, breads)
    yield from _wishes(home, breads)
    for index, allergen in enumerate(home.shop.allergens):
        if allergen not in ALL and allergen != UNKNOWN:
            yield Wrong(
                ("shop", "allergens", index),
                f"{shown(allergen)} is not an allergen of the list.",
                closest(allergen, ALL),
            )
    yield from _pantry(home, breads)
    yield from labels_wrong(home.labels)
    if home.plan.publish_days > home.plan.days:
        wrong = f"{home.plan.publish_days} days are written to the calendar, but only {home.plan.days} planned."
        yield Wrong(("plan", "publish_days"), wrong, f"Write publish_days = {min(7, home.plan.days)}")


def _pantry(home: Household, breads: Breads) -> Iterator[Wrong]:
    """Yield names that no formula has: a slip there would be bought again and again."""
    known = {name for bread in breads.values() if bread for name in ingredients(bread)}
    if None in breads.values():
        return
    for what in ("there_grams", "pack_grams"):
        for name in getattr(home.pantry, what):
            if name not in known:
                yield Wrong(("pantry", what, name), f"no formula has {shown(name)}.", closest(name, known))


def zone_of(home: Household) -> ZoneInfo:
    """Return the household's zone; UTC while the one written is not known."""
    return _zone(home.zone) or ZoneInfo("UTC")


def _zone(name: str) -> ZoneInfo | None:
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, ZoneInfoNotFoundError):  # not a name at all, a folder of zones, unknown
        return None


def _people(home: Household) -> Iterator[Wrong]:
    yield from repeated((("people", i, "id"), person.id) for i, person in enumerate(home.people))
    for what in ("addresses", "names", "categories"):
        said = ((("people", i, "identity", what), one) for i, person in enumerate(home.people)
                for one in dict.fromkeys(text.casefold() for text in getattr(person.identity, what)))  # fmt: skip
        yield from repeated(said)
    if not any(person.bakes for person in home.people):
        yield Wrong(("people",), "nobody bakes.", "Write bakes = true for who does.")
    if not any(person.adult for person in home.people):
        yield Wrong(("people",), "no adult is there to watch the oven.", "Write adult = true for who is.")
    for index, person in enumerate(home.people):
        if person.under_six and person.adult:
            yield Wrong(("people", index, "adult"), f"{person.called} is under six.", "Write adult = false")


def _events(home: Household) -> Iterator[Wrong]:
    for index, rule in enumerate(home.events):
        yield from _match(home, ("events", index), rule)


def _match(home: Household, at: Path, match: Match) -> Iterator[Wrong]:
    if match.anything:
        yield Wrong(
            at, "does not say which events it is about.", 'Write summary = "dinner", category, place or calendar.'
        )
    names = {calendar.name for calendar in home.calendars}
    for name in match.calendar:
        if name.casefold() not in {known.casefold() for known in names}:
            yield Wrong((*at, "calendar"), f"no calendar is called {shown(name)}.", closest(name, names))


def _ovens(home: Household, breads: Breads) -> Iterator[Wrong]:
    ids = {oven.id for oven in home.ovens}
    yield from repeated((("ovens", i, "id"), oven.id) for i, oven in enumerate(home.ovens))
    for index, oven in enumerate(home.ovens):
        at: Path = ("ovens", index)
        if oven.hot_gap_minutes > oven.watch_minutes:
            wrong = (
                f"it counts as hot for {oven.hot_gap_minutes} minutes, but is watched for {oven.watch_minutes} only."
            )
            yield Wrong((*at, "hot_gap_minutes"), wrong, f"Write hot_gap_minutes = {oven.watch_minutes}")
        if oven.heat_up_vessel_minutes < oven.heat_up_minutes:
            wrong = "heating up with a vessel inside takes no less time than without."
            yield Wrong(
                (*at, "heat_up_vessel_minutes"), wrong, f"Write heat_up_vessel_minutes = {oven.heat_up_minutes + 30}"
            )
        if oven.off_by <= oven.on_from:
            yield Wrong(
                (*at, "off_by"), "the oven is off before it may be on.", 'Write on_from = "06:00" and off_by = "22:00"'
            )
    for index, booking in enumerate(home.bookings):
        yield from _match(home, ("bookings", index), booking)
        if booking.oven is not None and booking.oven not in ids:
            yield Wrong(
                ("bookings", index, "oven"), f"no oven is called {shown(booking.oven)}.", closest(booking.oven, ids)
            )
    covered = [
        bread.name
        for bread in breads.values()
        if bread and any(usual.programme(bread, p).covered_minutes for p in bread.processes)
    ]
    if covered and not any(oven.vessels for oven in home.ovens):
        yield Wrong(("ovens",), f"{covered[0]} is baked under a cover, but no oven has a vessel.", "Write vessels = 1")


def _exception(home: Household, at: Path, dated: Dated) -> Iterator[Wrong]:
    zone, word = zone_of(home), shown(dated.setting)
    if first_moment(dated.since, zone) >= last_moment(dated.until, zone):
        yield Wrong((*at, "until"), "it ends before it begins.", "Write from = 2027-03-05 and until = 2027-03-07")
    if dated.setting in Kitchen.model_fields:
        if dated.value is None:
            yield Wrong(at, f"{word} needs a value.", f"Write value = {getattr(Kitchen(), dated.setting)}")
        else:
            try:
                Kitchen.model_validate({dated.setting: dated.value})
            except ValidationError:
                wrong = f"{dated.value:g} makes no sense for {word}."
                yield Wrong((*at, "value"), wrong, f"Write value = {getattr(Kitchen(), dated.setting)}")
    elif dated.value is not None:
        yield Wrong((*at, "value"), f"{word} has no value.", "Leave it out.")
    if dated.person is not None and (
        dated.setting not in ("away", "at home", "free") or dated.person not in (ids := {p.id for p in home.people})
    ):
        known = dated.setting in ("away", "at home", "free")
        wrong = f"nobody is called {shown(dated.person)}." if known else f"{word} is about nobody."
        yield Wrong((*at, "person"), wrong, closest(dated.person, ids) if known else "Leave it out.")
    if dated.oven is not None and dated.oven not in (ids := {oven.id for oven in home.ovens}):
        yield Wrong((*at, "oven"), f"no oven is called {shown(dated.oven)}.", closest(dated.oven, ids))


def _meals(home: Household, breads: Breads) -> Iterator[Wrong]:
    for index, rule in enumerate(home.meals):
        yield from _match(home, ("meals", index), rule)
        yield from _known_breads(("meals", index, "breads"), rule.breads, breads)
        if "bought" in rule.ways and (rule.strict or rule.warm):
            wrong = f"a bought loaf is not {'for a strict meal' if rule.strict else 'warm'}."
            yield Wrong(("meals", index, "ways"), wrong, 'Write ways = ["fresh", "finished"]')
    for index, holiday in enumerate(home.habits.holidays):
        yield from _match(home, ("habits", "holidays", index), holiday)
    for index, eaten in enumerate(home.habits.eaten):
        yield from _known_breads(("habits", "eaten", index, "breads"), eaten.breads, breads)
    yield from _known_breads(("habits", "lunch_breads"), home.habits.lunch_breads, breads)
    yield from _of_breads(home.habits, breads)
    shares = sum(eaten.share for eaten in home.habits.eaten)
    if home.habits.loaves_a_week and abs(shares - 1) > 0.01:
        yield Wrong(("habits", "eaten"), f"the shares come to {shares:g}, not 1.", "Write share = 0.6 and share = 0.4")


def _of_breads(habits: Habits, breads: Breads) -> Iterator[Wrong]:
    at: Path = ("habits", "by_bread")
    for name in habits.by_bread:
        if name not in breads:
            yield Wrong((*at, name), f"no bread is called {shown(name)}.", closest(name, breads))
    for number, day in enumerate(DAYS):
        parts = sum(habits.part_of(bread, number) for bread in habits.by_bread)
        if parts > 1 + 1e-9:
            wrong = f"the parts of {day.capitalize()} come to {parts:g}, more than all that is eaten."
            yield Wrong(at, wrong, "Write parts that come to 1 or less; the rest is any bread.")
            return


def _known_breads(at: Path, named: tuple[str, ...], breads: Breads) -> Iterator[Wrong]:
    for index, name in enumerate(named):
        if name not in breads:
            yield Wrong((*at, index), f"no bread is called {shown(name)}.", closest(name, breads))


def _wishes(home: Household, breads: Breads) -> Iterator[Wrong]:
    zone = zone_of(home)
    for index, wish in enumerate(home.wishes):
        at: Path = ("wishes", index)
        yield from _bread(at, wish.bread, breads)
        if wish.kind == "fixed":
            bread = breads.get(wish.bread)
            steps = {stage.name for process in bread.processes for stage in process.stages} if bread else {wish.step}
            if wish.step is None:
                yield Wrong(at, "does not say which step is fixed.", 'Write step = "mix"')
            elif wish.step not in steps:
                yield Wrong(
                    (*at, "step"), f"no step is called {shown(wish.step)}.", closest(wish.step, [s for s in steps if s])
                )
        elif wish.until is None:
            yield Wrong(at, "does not say how long it holds.", "Write until = 2027-03-05T18:30:00")
        elif local(wish.until, zone) <= local(wish.at, zone):
            yield Wrong((*at, "until"), "it ends before it begins.", "Write an until after at.")


def _bread(at: Path, name: str, breads: Breads) -> Iterator[Wrong]:
    if name not in breads:
        yield Wrong((*at, "bread"), f"no bread is called {shown(name)}.", closest(name, breads))


def stock_wrong(stock: Stock, breads: Breads, zone: ZoneInfo) -> Iterator[Wrong]:
    """Yield what makes no sense in the opening stock."""
    yield from repeated((("lots", i, "letter"), lot.letter) for i, lot in enumerate(stock.lots) if lot.letter)
    for index, lot in enumerate(stock.lots):
        at: Path = ("lots", index)
        yield from _bread(at, lot.bread, breads)
        bread = breads.get(lot.bread)
        if bread and lot.form not in bread.forms:
            yield Wrong((*at, "form"), f'{bread.name} is not kept "{lot.form}".', closest(lot.form, bread.forms))
    for index, item in enumerate(stock.box):
        yield from _bread(("box", index), item.bread, breads)
    for index, bake in enumerate(stock.under_way):
        at = ("under_way", index)
        yield from _bread(at, bake.bread, breads)
        bread = breads.get(bake.bread)
        if bread is None:
            continue
        process = next((process for process in bread.processes if process.id == bake.process), None)
        if process is None:
            known = [process.id for process in bread.processes]
            yield Wrong(
                (*at, "process"), f"{bread.name} has no process {shown(bake.process)}.", closest(bake.process, known)
            )
            continue
        names = [stage.name for stage in process.stages]
        for place, done in enumerate(bake.done):
            where = (*at, "done", place)
            if place < len(names) and done.step != names[place]:
                yield Wrong((*where, "step"), f"the step there is {shown(names[place])}, not {shown(done.step)}.",
                            "List every step done so far, in order.")  # fmt: skip
            if local(done.end, zone) < local(done.start, zone):
                yield Wrong((*where, "end"), "it ends before it begins.", "Write an end after start.")
