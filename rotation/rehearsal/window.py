"""A few days cut out of a long problem: what a household looks at when it plans on one of many days.

A long problem is one of many weeks, made once by the intake; its minutes are those of the whole rehearsal.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta

from rotation.problem import Bread, Kitchen, Lot, Meal, Oven, Person, Problem, Process, Shop, Spans, Steps

HABIT = "habit"
"""The source of the meals of a normal week, which are counted in the tail of a plan too."""


def window(problem: Problem, at: int, shown: int, tail: int) -> Problem:
    """Return the problem of `shown` local days from minute `at`, a multiple of the grid, and a tail; without stock.

    Days that lie after the long problem are left away.
    """
    first = problem.day_of(at)
    last = min(first + shown + tail, problem.days)
    midnights = tuple(minute - at for minute in problem.midnights[first : last + 1])
    shown_end, end = midnights[min(shown, last - first)], midnights[-1]
    return replace(
        problem,
        zero=problem.zero + timedelta(minutes=at),
        midnights=midnights,
        shown_days=min(shown, last - first),
        people=tuple(_person(person, at, end) for person in problem.people),
        ovens=tuple(_oven(oven, at, end) for oven in problem.ovens),
        kitchen=_kitchen(problem.kitchen, at),
        breads=tuple(_bread(bread, first) for bread in problem.breads),
        meals=tuple(_meals(problem.meals, at, shown_end, end)),
        lots=(),
        box=(),
        under_way=(),
        shop=_shop(problem.shop, at, end),
    )


def since(lot: Lot, at: int) -> Lot:
    """Return a lot with its minutes counted from `at`."""
    return replace(
        lot,
        bagged=lot.bagged - at,
        through=lot.through - at,
        eat_first=lot.eat_first - at,
        toast_after=lot.toast_after - at,
        strict=None if lot.strict is None else lot.strict - at,
    )


def without(spans: Spans, start: int, end: int) -> Spans:
    """Return spans without the minutes from `start` to `end`."""
    pieces = (piece for first, last in spans for piece in ((first, min(last, start)), (max(first, end), last)))
    return tuple((first, last) for first, last in pieces if first < last)


def _spans(spans: Spans, at: int, end: int) -> Spans:
    return tuple((max(start - at, 0), min(stop - at, end)) for start, stop in spans if stop > at and start - at < end)


def _steps(steps: Steps, at: int) -> Steps:
    """Return a step function from minute `at` on."""
    before = [value for start, value in steps if start <= at]
    later = tuple((start - at, value) for start, value in steps if start > at)
    return ((0, before[-1] if before else steps[0][1]), *later)


def _person(person: Person, at: int, end: int) -> Person:
    return replace(
        person,
        inside=_spans(person.inside, at, end),
        free=_spans(person.free, at, end),
        quick=_spans(person.quick, at, end),
        price=_steps(person.price, at),
    )


def _oven(oven: Oven, at: int, end: int) -> Oven:
    bookings = (one for one in oven.bookings if one.end > at - oven.hot_gap and one.start - at < end)
    return replace(
        oven,
        closed=_spans(oven.closed, at, end + 1440),
        bookings=tuple(replace(one, start=one.start - at, end=one.end - at) for one in bookings),
    )


def _kitchen(kitchen: Kitchen, at: int) -> Kitchen:
    return Kitchen(
        bowls=_steps(kitchen.bowls, at),
        dough_grams=_steps(kitchen.dough_grams, at),
        bannetons=_steps(kitchen.bannetons, at),
        fridge_spots=_steps(kitchen.fridge_spots, at),
        freezer_dl=_steps(kitchen.freezer_dl, at),
        freezing_grams_24h=_steps(kitchen.freezing_grams_24h, at),
    )


def _bread(bread: Bread, first: int) -> Bread:
    return replace(bread, processes=tuple(_process(process, first) for process in bread.processes))


def _process(process: Process, first: int) -> Process:
    waits = tuple(replace(wait, bounds=wait.bounds[first:] or wait.bounds[-1:]) for wait in process.waits)
    return replace(process, waits=waits, unusual=process.unusual[first:])


def _meals(meals: Iterable[Meal], at: int, shown_end: int, end: int) -> Iterable[Meal]:
    for meal in meals:
        minute = meal.at - at
        if 0 <= minute < shown_end or (shown_end <= minute < end and meal.source == HABIT):
            yield replace(meal, at=minute)


def _shop(shop: Shop, at: int, end: int) -> Shop:
    return replace(shop, closes=tuple(minute - at for minute in shop.closes if 0 <= minute - at <= end))
