"""The world a household lives in: weeks of calendars, and what comes between, each thing known from some minute on.

Minutes are those of the long problem. What is not known yet is not in what a policy is shown.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

from rotation.household.settings import Household
from rotation.problem import Booking, Meal, Problem, union
from rotation.rehearsal.window import without

MORNING = 240
"""Minutes after midnight at which a day is looked at: nobody's hands are in dough."""


@dataclass(frozen=True)
class News:
    """Something that becomes known at minute `known`. said: in words.

    meal: one that is added; person, busy: hands that are taken, and the house left; freed: hands that become free;
    oven, closed: an oven that is out of order.
    """

    known: int
    said: str
    meal: Meal | None = None
    person: str = ""
    busy: tuple[int, int] | None = None
    freed: tuple[int, int] | None = None
    oven: str = ""
    closed: tuple[int, int] | None = None


def applied(problem: Problem, news: Iterable[News]) -> Problem:
    """Return a long problem with some news in it."""
    for one in news:
        if one.meal is not None:
            taken = {meal.id for meal in problem.meals if meal.id == one.meal.id}
            meals = (*(meal for meal in problem.meals if meal.id not in taken), one.meal)
            problem = replace(problem, meals=tuple(sorted(meals, key=lambda meal: (meal.at, meal.id))))
        if one.person:
            problem = _moved(problem, one)
        if one.closed is not None:
            closed = one.closed
            ovens = (
                replace(oven, closed=union((*oven.closed, closed)), bookings=_open(oven.bookings, closed))
                if oven.id == one.oven
                else oven
                for oven in problem.ovens
            )
            problem = replace(problem, ovens=tuple(ovens))
    return problem


def _open(bookings: Iterable[Booking], closed: tuple[int, int]) -> tuple[Booking, ...]:
    return tuple(one for one in bookings if one.end <= closed[0] or one.start >= closed[1])


def _moved(problem: Problem, one: News) -> Problem:
    people = []
    for person in problem.people:
        if person.id == one.person:
            free, quick, inside = person.free, person.quick, person.inside
            if one.busy is not None:
                free, quick, inside = (without(spans, *one.busy) for spans in (free, quick, inside))
            if one.freed is not None:
                free, inside = union((*free, one.freed)), union((*inside, one.freed))
            person = replace(person, free=free, quick=quick, inside=inside)
        people.append(person)
    return replace(problem, people=tuple(people))


@dataclass(frozen=True)
class World:
    """A long problem, what will become known, and how long it is looked at.

    problem: with all that is known from the start, its opening stock too; household: for the prices of changes, None
    where nothing is planned again; shown: days a policy is shown, `tail` days after them; days: days that are lived;
    news: in the order in which it becomes known.
    """

    problem: Problem
    household: Household | None
    days: int
    shown: int
    tail: int
    news: tuple[News, ...] = ()
    _known: dict[int, Problem] = field(default_factory=dict, compare=False, repr=False)

    def known(self, at: int) -> Problem:
        """Return the long problem as it is known at a minute."""
        number = bisect_right(self.news, at, key=lambda one: one.known)
        if number not in self._known:  # what was known before, and what came since
            before = max((each for each in self._known if each < number), default=0)
            self._known[number] = applied(self._known.get(before, self.problem), self.news[before:number])
        return self._known[number]

    @cached_property
    def true(self) -> Problem:
        """The long problem with all that ever becomes known."""
        return applied(self.problem, self.news)

    def fresh(self, after: int, at: int) -> tuple[News, ...]:
        """Return what has become known after one minute and up to another."""
        return tuple(one for one in self.news if after < one.known <= at)

    def morning(self, day: int) -> int:
        """Return the minute at which a day is looked at; the first day begins with the rehearsal."""
        return max(0, -(-(self.problem.midnights[day] + MORNING) // 5) * 5)

    @property
    def end(self) -> int:
        """The minute at which the last day that is lived is over."""
        return self.morning(self.days)
