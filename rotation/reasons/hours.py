"""Changes of hours: somebody lends a hand or is at home, the oven may be on, or is not booked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from calendars.intervals import clip, intersect, subtract
from calendars.text import clean
from rotation.problem import Oven, Person, Problem, union
from rotation.reasons.change import HOUR, QUARTER, Change, length, since_until


def hours(problem: Problem, near: tuple[int, int]) -> Iterator[Change]:
    """Yield what may be changed of hands and ovens within some minutes."""
    yield from _hands(problem, near)
    yield from _adult(problem, near)
    yield from _oven_hours(problem, near)
    yield from _bookings(problem, near)


def _hands(problem: Problem, near: tuple[int, int]) -> Iterator[Change]:
    """Somebody who is in and may do it lends a hand."""
    for who in problem.people:
        if who.bakes or who.finishes:
            spare = subtract(clip(who.inside, *near), who.free)
            yield from (_hands_of(problem, who, span) for span in spare if span[1] - span[0] >= QUARTER)


def _hands_of(problem: Problem, who: Person, span: tuple[int, int]) -> Change:
    words = f"{clean(who.name, 40)}'s hands free for {length(span)}, {since_until(problem, span)}"

    def apply(of: Problem) -> Problem:
        return _person(of, who.id, lambda one: replace(one, free=union((*one.free, span))))

    price = 15 + (span[1] - span[0]) // 30
    return Change("hands", words, price, apply, span, lambda less: _hands_of(problem, who, less), who.id)


def _adult(problem: Problem, near: tuple[int, int]) -> Iterator[Change]:
    """Somebody is at home, and has time, when nobody else is in."""
    inside = problem.adults_inside
    days = ((problem.midnights[day] + 7 * HOUR, problem.midnights[day] + 22 * HOUR) for day in range(problem.days))
    empty = subtract(intersect(days, (near,)), inside)
    for who in problem.people:
        if who.adult and who.bakes:
            yield from (_at_home(problem, who, span) for span in empty if span[1] - span[0] >= HOUR)


def _at_home(problem: Problem, who: Person, span: tuple[int, int]) -> Change:
    words = f"{clean(who.name, 40)} at home for {length(span)}, {since_until(problem, span)}"

    def more(one: Person) -> Person:
        return replace(one, inside=union((*one.inside, span)), free=union((*one.free, span)))

    return Change(
        "somebody at home", words, 40 + (span[1] - span[0]) // 30, lambda of: _person(of, who.id, more), span,
        lambda less: _at_home(problem, who, less), who.id,
    )  # fmt: skip


def _person(problem: Problem, id_: str, change: Callable[[Person], Person]) -> Problem:
    return replace(problem, people=tuple(change(one) if one.id == id_ else one for one in problem.people))


def _oven_hours(problem: Problem, near: tuple[int, int]) -> Iterator[Change]:
    """The oven an hour more, where it may not be on: before and after its hours."""
    for oven in problem.ovens:
        for start, end in clip(oven.closed, *near):
            long = end - start > 4 * HOUR
            spans = ((start, start + HOUR), (end - HOUR, end)) if long else ((start, end),)
            yield from (_oven_on(problem, oven, span) for span in spans if span[1] - span[0] >= QUARTER)


def _oven_on(problem: Problem, oven: Oven, span: tuple[int, int]) -> Change:
    words = f"the {clean(oven.name, 40).casefold()} for {length(span)} more, {since_until(problem, span)}"

    def apply(of: Problem) -> Problem:
        return changed_oven(of, oven.id, lambda one: replace(one, closed=subtract(one.closed, (span,))))

    price = 25 + (span[1] - span[0]) // 12
    return Change("an oven hour", words, price, apply, span, lambda less: _oven_on(problem, oven, less), oven.id)


def _bookings(problem: Problem, near: tuple[int, int]) -> Iterator[Change]:
    for oven in problem.ovens:
        for booking in oven.bookings:
            if booking.end > near[0] and booking.start < near[1]:
                span = (booking.start, booking.end)
                words = f"the {clean(oven.name, 40).casefold()} not booked {since_until(problem, span)}"

                def apply(of: Problem, oven: Oven = oven, gone: str = booking.id) -> Problem:
                    def less(one: Oven) -> Oven:
                        return replace(one, bookings=tuple(b for b in one.bookings if b.id != gone))

                    return changed_oven(of, oven.id, less)

                yield Change("an oven booking", words, 60, apply)


def changed_oven(problem: Problem, id_: str, change: Callable[[Oven], Oven]) -> Problem:
    """Return a problem with one oven changed."""
    return replace(problem, ovens=tuple(change(one) if one.id == id_ else one for one in problem.ovens))
