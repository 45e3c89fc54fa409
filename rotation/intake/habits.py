"""What is eaten without anybody asking: the week's loaves spread over its meals, lunch boxes on school days."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from rotation.household.meals import Eaten
from rotation.household.people import Person as Resident
from rotation.household.settings import Household
from rotation.household.values import DAYS, weekdays_of
from rotation.intake.notes import Notes
from rotation.intake.people import Presence
from rotation.intake.table import Table
from rotation.intake.time import Clock
from rotation.problem import Meal

LUNCH = "Lunch boxes"


@dataclass(frozen=True)
class Slot:
    """One standing meal of a normal week. portions: of the whole house; weight: of those who are usually in.

    of: those among the portions that are one bread and no other, by its id.
    """

    name: str
    weekday: int
    at: int
    portions: int
    weight: float
    eaten: Eaten
    of: Mapping[str, int] = field(default_factory=dict)


def spread(total: int, weights: Sequence[float]) -> tuple[int, ...]:
    """Return whole numbers in proportion to the weights that add up to the total: largest remainder, earlier first."""
    whole = sum(weights)
    if whole <= 0:
        return (0,) * len(weights)
    exact = [total * weight / whole for weight in weights]
    parts = [int(each + 1e-9) for each in exact]
    order = sorted(range(len(parts)), key=lambda n: (-round(exact[n] - parts[n], 9), n))
    for n in order[: total - sum(parts)]:
        parts[n] += 1
    return tuple(parts)


def appetite(resident: Resident, household: Household) -> float:
    """Return how much of a portion this person eats: less under six."""
    return household.guests.under_six_share if resident.under_six else 1.0


def appetite_on(household: Household, weekday: int) -> float:
    """Return how much more or less is eaten on a weekday than those in and the hours say."""
    said = {DAYS.index(day): more for day, more in household.habits.by_weekday.items()}
    return said.get(weekday, 1.0)


def normal_week(household: Household, notes: Notes) -> tuple[Slot, ...]:
    """Return the standing meals of a week without any event; their portions add up to the week's loaves exactly."""
    habits = household.habits
    slots = [
        Slot(name, weekday, at, 0, _usually_in(household, weekday, at), eaten)
        for weekday in range(7)
        for name, eaten in _named(habits.eaten)
        if weekday in weekdays_of(eaten.days)
        for at in (eaten.weekends_at if weekday >= 5 and eaten.weekends_at is not None else eaten.at,)
    ]
    total = round(habits.loaves_a_week * habits.slices_a_loaf)
    parts = spread(total, [slot.eaten.share * slot.weight * appetite_on(household, slot.weekday) for slot in slots])
    if total and not any(parts):
        notes.add("meals", f"Nobody is in at the hours bread is eaten, so {total} slices a week have no meal.")
    full = [replace(slot, portions=portions) for slot, portions in zip(slots, parts, strict=True)]
    return tuple(replace(slot, of=of) for slot, of in zip(full, _of_breads(household, full), strict=True))


def _of_breads(household: Household, slots: Sequence[Slot]) -> list[dict[str, int]]:
    """Return the portions of each meal that are one bread, spread so that they are right over the week."""
    left = [slot.portions for slot in slots]
    found: list[dict[str, int]] = [{} for _ in slots]
    for bread in household.habits.by_bread:
        exact = [
            slot.portions * household.habits.part_of(bread, slot.weekday)
            if not slot.eaten.breads or bread in slot.eaten.breads
            else 0.0
            for slot in slots
        ]
        for n, part in enumerate(spread(round(sum(exact)), exact)):
            if mine := min(part, left[n]):
                found[n][bread] = mine
                left[n] -= mine
    return found


def _named(eaten: Iterable[Eaten]) -> list[tuple[str, Eaten]]:
    """Return the hours with names that differ: a second "Supper" is "Supper 2"."""
    named: dict[str, Eaten] = {}
    for each in eaten:
        count = 1 + sum(1 for other in named.values() if other.name == each.name)
        named[each.name if count == 1 else f"{each.name} {count}"] = each
    return list(named.items())


def _usually_in(household: Household, weekday: int, at: int) -> float:
    """Return the appetite of those who are in at a time of a weekday before any calendar."""
    return sum(appetite(each, household) for each in household.people if _in_by_habit(each, weekday, at))


def _in_by_habit(resident: Resident, weekday: int, at: int) -> bool:
    hours = (resident.inside, resident.free)
    today = any(start <= at < end for week in hours for start, end in week.on(weekday))
    return today or any(start <= at + 1440 < end for week in hours for start, end in week.on((weekday - 1) % 7))


def standing(
    household: Household,
    everybody: Sequence[Presence],
    table: Table,
    holidays: Container[date],
    clock: Clock,
    notes: Notes,
) -> list[Meal]:
    """Return the standing meals from minute 0 to the end of the plan, less what those who are away would have eaten."""
    week = normal_week(household, notes)
    meals = [
        meal
        for day in clock.dates
        for slot in week
        if slot.weekday == day.weekday() and slot.portions
        for meal in _meal(slot, household, everybody, table, day, clock)
    ]
    return sorted(
        [*meals, *_lunches(household, everybody, table, holidays, clock)], key=lambda meal: (meal.at, meal.id)
    )


def _meal(
    slot: Slot, household: Household, everybody: Sequence[Presence], table: Table, day: date, clock: Clock
) -> Iterable[Meal]:
    """Yield a standing meal of a day: what is one bread and no other, each, and the rest."""
    at = clock.at(day, slot.at)
    present = [each for each in everybody if each.eats_at(at)]
    part = sum(appetite(each.resident, household) for each in present) / slot.weight
    rest = int(slot.portions * part + 0.5)
    if not 0 <= at < clock.end:
        return
    without, named = table.without(present), {bread.id: bread.name for bread in table.breads}
    meal = Meal(
        id=f"habit:{slot.name}:{day.isoformat()}",
        uid="",
        summary=slot.name,
        at=at,
        heads=len(present),
        portions=rest,
        strict=False,
        accepts=table.accepts(slot.eaten.breads, slot.eaten.ways, without),
        without=without,
        age_milli=table.age_milli("everyday"),
        source="habit",
        bought=table.bought(slot.eaten.ways),
    )
    for bread, of in slot.of.items():
        portions, accepts = min(int(of * part + 0.5), rest), table.accepts((bread,), slot.eaten.ways, without)
        if portions and accepts:
            rest -= portions
            id_, summary = f"habit:{slot.name} of {bread}:{day.isoformat()}", f"{slot.name}, {named[bread]}"
            yield replace(meal, id=id_, summary=summary, portions=portions, accepts=accepts)
    if rest:
        yield replace(meal, portions=rest)


def _lunches(
    household: Household, everybody: Sequence[Presence], table: Table, holidays: Container[date], clock: Clock
) -> Iterable[Meal]:
    """Yield the lunch boxes: the children's, or everybody's where there are none."""
    habits = household.habits
    eaters = [each for each in everybody if not each.resident.adult] or list(everybody)
    for day in clock.dates:
        at = clock.at(day, habits.lunch_at)
        present = [each for each in eaters if not each.away_at(at)]
        portions = int(habits.lunch_slices_on_school_days * len(present) / len(eaters) + 0.5)
        school = day.weekday() in weekdays_of(habits.school_days) and day not in holidays
        if school and portions and 0 <= at < clock.end:
            without = table.without(present)
            yield Meal(
                id=f"habit:{LUNCH}:{day.isoformat()}",
                uid="",
                summary=LUNCH,
                at=at,
                heads=len(present),
                portions=portions,
                strict=False,
                accepts=table.accepts(habits.lunch_breads, habits.lunch_ways, without),
                without=without,
                age_milli=table.age_milli("lunch"),
                source="habit",
                bought=table.bought(habits.lunch_ways),
            )


def fewer(meals: Sequence[Meal], less: Mapping[str, int]) -> list[Meal]:
    """Return the meals with portions taken off by meal id; those with none left are gone."""
    cut = (replace(meal, portions=meal.portions - less.get(meal.id, 0)) for meal in meals)
    return [meal for meal in cut if meal.portions > 0]
