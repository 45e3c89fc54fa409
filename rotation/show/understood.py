"""What was understood of a household before anything is planned: hours, meals, oven, freezer, and what is odd."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby
from typing import Any

from calendars.event import Oddity
from calendars.listing import oddities_json, oddity_lines
from calendars.text import clean
from rotation.plan import Plan
from rotation.problem import Bread, Meal, Oven, Person, Problem, Spans, is_thawing
from rotation.show.freezer import room_used, stock_at
from rotation.show.problem_json import problem_json
from rotation.units import midnight
from rotation.words import (
    clock,
    contents,
    count,
    date_words,
    heading,
    listed,
    long_time,
    oven_at,
    pieces_of,
    units,
    weekday,
)

SCHEMA = "rotation/problem/1"
"""Name and version of what `rotation check --json` prints."""

HERE = ("`rotation check` says what.", "see below.")
"""Where notes say to look for what was odd in the calendars, and where that is for who reads it here."""


def understood_json(
    problem: Problem, household: str, said: Sequence[str], oddities: Sequence[Oddity] = ()
) -> dict[str, Any]:
    """Return what was understood as plain JSON values, in the form of `rotation plan --with-problem`."""
    return {
        "schema": SCHEMA,
        "household": clean(household),
        "problem": problem_json(problem),
        "notes": [{"id": f"note/{number}", "text": clean(text)} for number, text in enumerate(said, 1)],
        "oddities": oddities_json(oddities),
    }


def lines(problem: Problem, said: Sequence[str], oddities: Sequence[Oddity] = ()) -> Iterator[str]:
    """Yield what was understood of the shown days, as a family reads it."""
    days = range(problem.shown_days)
    yield f"{heading(problem.instant(0))}, {count(problem.shown_days, 'day')}, times of {problem.zone}"
    for person in problem.people:
        yield from ("", *_person(problem, person, days))
    for oven in problem.ovens:
        yield from ("", *_oven(problem, oven, days))
    yield from ("", *_breads(problem))
    yield from ("", *_freezer(problem))
    yield from ("", *_meals(problem))
    yield ""
    yield f"ODD, or assumed: {'nothing' if not said else ''}".rstrip()
    yield from (f"  {clean(text).replace(*HERE)}" for text in said)
    if oddities:
        yield from ("", "CALENDARS, in detail", *oddity_lines(oddities))


def _person(problem: Problem, person: Person, days: range) -> Iterator[str]:
    may = "bakes" if person.bakes else "thaws and finishes" if person.finishes else "no bread work"
    yield f"{clean(person.name, 40).upper()} ({'adult' if person.adult else 'child'}, {may})"
    kinds = [("in", person.inside)]
    if person.bakes or person.finishes:
        kinds += [("hands free", person.free), ("jobs of two minutes", person.quick)]
    yield from _grouped(problem, [(day, _at_home(problem, kinds, day)) for day in days])


def _at_home(problem: Problem, kinds: list[tuple[str, Spans]], day: int) -> str:
    """Return "in 6:30-7:45, hands free 17:30-21:30", or that the person is away."""
    said = [f"{name} {_hours(problem, spans, day)}" for name, spans in kinds]
    return "away" if said[0] == "in not at all" else "; ".join(said)


def _oven(problem: Problem, oven: Oven, days: range) -> Iterator[str]:
    pots = f", {count(oven.vessels, 'pot')}" if oven.vessels else ""
    hot = f"hot in {oven.heat_up} min" + (f", with a pot in {oven.heat_up_vessel}" if oven.vessels else "")
    yield f"{clean(oven.name, 40).upper()}: {count(oven.places, 'place')}{pots}, {hot}"
    yield from _grouped(problem, [(day, f"not for bread {_hours(problem, oven.closed, day)}") for day in days])
    for booking in oven.bookings:
        if booking.start < problem.midnights[problem.shown_days]:
            heat = "heat unknown" if booking.temperature_degc is None else oven_at(booking.temperature_degc, oven)
            beside = f", {count(booking.places_left, 'place')} left" if booking.places_left else ""
            until = clock(problem.instant(booking.end))
            yield f"  in use {long_time(problem, booking.start)} to {until}: {heat}{beside}"


def _breads(problem: Problem) -> Iterator[str]:
    yield "BREADS"
    for bread in problem.breads:
        baked = [process for process in bread.processes if process.pieces]
        ways = listed(dict.fromkeys(clean(process.name, 40) for process in baked)) or "not baked here"
        kept = listed(form.id for form in bread.forms if not is_thawing(form.id)) or "not frozen"
        holds = contents(bread.allergens)
        portions = count(bread.portions, "portion")
        yield f"  {clean(bread.name, 40)}: {portions} each; {ways}; {kept}; contains {holds or 'no known allergen'}"


def _freezer(problem: Problem) -> Iterator[str]:
    stock = stock_at(problem, Plan(), 0)
    used, room = room_used(problem, stock), problem.kitchen.freezer_dl[0][1]
    yield f"FREEZER: {used / 10:.1f} of {room / 10:.1f} litres"
    for bag, number in stock.items():
        bread = problem.bread(bag.bread)
        bagged, first = (date_words(problem.instant(at)) for at in (bag.bagged, bag.eat_first - 1))
        old = "for toast" if bag.toast_after <= 0 else "eat first" if bag.eat_first <= 0 else f"eat first from {first}"
        yield f"  bag {bag.letter}: {units(bread, bread.form(bag.form), number)}, {bag.form}, bagged {bagged}, {old}"
    for item in problem.box:
        until = long_time(problem, item.until)
        yield f"  bread box: {count(item.portions, 'portion')} of {_name(problem.bread(item.bread))}, until {until}"
    for bake in problem.under_way:
        done = listed(clean(name, 40) for name, _, _ in bake.done)
        yield f"  under way: {pieces_of(problem.bread(bake.bread), bake.pieces)}, done: {done}"


def _name(bread: Bread) -> str:
    return clean(bread.name, 40)


def _meals(problem: Problem) -> Iterator[str]:
    """Yield the meals: days that eat alike in one line, guests in lines of their own, then what will do at each."""
    end = problem.midnights[problem.shown_days]
    shown = [meal for meal in problem.meals if meal.at < end]
    yield f"MEALS, with their portions: {sum(meal.portions for meal in shown)} in all"
    everyday: dict[int, list[str]] = {day: [] for day in range(problem.shown_days)}
    for meal in shown:
        if not meal.strict:
            title = f"{clock(problem.instant(meal.at))} {clean(meal.summary, 40)} {meal.portions}"
            everyday[problem.day_of(meal.at)].append(title)
    yield from _grouped(problem, [(day, "; ".join(said) or "no everyday bread") for day, said in everyday.items()])
    for meal in shown:
        if meal.strict:
            what = f"{clean(meal.summary, 60)}: {count(meal.portions, 'portion')}, {count(meal.heads, 'head')}"
            yield f"  {long_time(problem, meal.at)} GUESTS {what}"
    for words, alike in groupby(sorted(shown, key=_will_do(problem)), key=_will_do(problem)):
        yield f"  {listed(dict.fromkeys(clean(meal.summary, 40) for meal in alike))}: {words}"


def _will_do(problem: Problem) -> Callable[[Meal], str]:
    def words(meal: Meal) -> str:
        names = listed(dict.fromkeys(_name(problem.bread(accept.bread)) for accept in meal.accepts))
        without = f", without {listed(sorted(map(clean, meal.without)))}" if meal.without else ""
        return f"{names or 'no bread of the house will do'}{without}"

    return words


def _hours(problem: Problem, spans: Spans, day: int) -> str:
    """Return "6:30-7:45, 17:00-22:30" of a local day; "not at all"."""
    first, last = max(problem.midnights[day], 0), problem.midnights[day + 1]
    inside = [(max(start, first), min(end, last)) for start, end in spans if start < last and end > first]
    said = [f"{clock(problem.instant(s))}-{clock(problem.instant(e)) if e < last else midnight()}" for s, e in inside]
    return ", ".join(said) or "not at all"


def _day(problem: Problem, day: int) -> str:
    at = problem.instant(max(problem.midnights[day], 0))
    return f"{weekday(at)[:3]} {date_words(at)}"


def _grouped(problem: Problem, said: list[tuple[int, str]]) -> Iterator[str]:
    """Yield a line for each run of days that say the same."""
    for words, run in groupby(said, key=lambda pair: pair[1]):
        days = [day for day, _ in run]
        span = _day(problem, days[0]) + (f" to {_day(problem, days[-1])}" if len(days) > 1 else "")
        yield f"  {span:<25}{words}"
