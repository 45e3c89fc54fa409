"""What chance does to a household: the same for every policy, whatever it decides (common random numbers).

Every draw has a generator of its own, named by the seed and by what is drawn, so that nothing a policy does moves the
draws of anything else. Rates are fixed before a run (`Rates`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from random import Random

from rotation.problem import FINISHED, FRESH, Accept, Meal, Person, Problem
from rotation.rehearsal.window import HABIT
from rotation.rehearsal.world import MORNING, News

GRID = 5


@dataclass(frozen=True)
class Rates:
    """How often things happen, a week where nothing else is said.

    late: share of bakes whose dough is late, by `late_minutes`; guests: events, of `guest_heads` people at
    `guest_slices` each, told `notice` days before; eaten: loaves that somebody eats at night; moved: appointments that
    move into somebody's free hours, told up to `moved_notice` days before. spread: standard deviation of what is eaten
    at a meal, as a share of the habit; drift: by how much appetite grows (or, below zero, shrinks) from the first to
    the last day. oven: failures, of `oven_days`.
    """

    late: float = 1 / 3
    late_minutes: tuple[int, int] = (30, 90)
    guests: float = 0.5
    guest_heads: tuple[int, int] = (3, 6)
    guest_slices: int = 2
    notice: tuple[int, int] = (1, 4)
    eaten: float = 0.25
    moved: float = 2.0
    moved_notice: int = 3
    spread: float = 0.2
    drift: float = 0.0
    oven: float = 0.0
    oven_days: tuple[int, int] = (1, 4)


def as_it_was(rates: Rates) -> Rates:
    """Return rates for weeks that are over: who came, what moved and what was eaten is known, or counted as usual."""
    return replace(rates, guests=0, eaten=0, moved=0, drift=0, oven=0)


STILL = Rates(late=0, guests=0, eaten=0, moved=0, spread=0)
"""Nothing happens."""


@dataclass(frozen=True)
class Luck:
    """The draws that depend on what is done or eaten; asked when it happens.

    eaten: portions of meals, by id, where what was really eaten is known.
    """

    seed: int
    rates: Rates
    days: int
    eaten: Mapping[str, int] = field(default_factory=dict, kw_only=True)

    def _random(self, *of: object) -> Random:
        return Random("|".join(map(str, (self.seed, *of))))

    def appetite(self, meal: Meal, day: int) -> int:
        """Return the portions a meal really eats, never below zero; guests vary half as much."""
        if meal.id in self.eaten:
            return self.eaten[meal.id]
        grown = 1 + self.rates.drift * day / max(self.days, 1)
        spread = self.rates.spread / (2 if meal.strict else 1)
        if not spread and grown == 1:
            return meal.portions
        mean = meal.portions if meal.strict else meal.portions * grown
        return max(0, round(self._random("appetite", meal.id, meal.at).gauss(mean, spread * meal.portions)))

    def late(self, bread: str, day: int) -> int:
        """Return by how many minutes the dough of a bread mixed on a day is late; 0: it is not."""
        draw = self._random("late", bread, day)
        if draw.random() >= self.rates.late:
            return 0
        low, high = self.rates.late_minutes
        return GRID * draw.randint(low // GRID, high // GRID)

    def loaves_gone(self, day: int) -> int:
        """Return how many loaves are found eaten in the morning of a day."""
        return _number(self._random("eaten", day), self.rates.eaten / 7)


def _number(draw: Random, mean: float) -> int:
    """Return a whole number with this mean, as even as can be."""
    whole = int(mean)
    return whole + (draw.random() < mean - whole)


def drawn(problem: Problem, rates: Rates, seed: int) -> tuple[Problem, tuple[News, ...]]:
    """Return a long problem without what is only told later, and all that is told later, by when it is.

    Guests of the household's own calendars are told with the same notice as those that chance brings.
    """
    news = [*_invited(problem, rates, seed), *_guests(problem, rates, seed), *_moved(problem, rates, seed)]
    news += _broken_ovens(problem, rates, seed)
    meals = tuple(meal for meal in problem.meals if not _told_later(meal))
    return replace(problem, meals=meals), tuple(sorted(news, key=lambda one: (one.known, one.said)))


def _told_later(meal: Meal) -> bool:
    return meal.strict and meal.source != HABIT


def _draw(seed: int, *of: object) -> Random:
    return Random("|".join(map(str, (seed, *of))))


def _before(problem: Problem, day: int, notice: int) -> int:
    """Return the minute at which something of a day is known that is told so many days before."""
    return problem.midnights[max(day - notice, 0)] + MORNING


def _invited(problem: Problem, rates: Rates, seed: int) -> Iterator[News]:
    for meal in problem.meals:
        if _told_later(meal):
            notice = _draw(seed, "invited", meal.id).randint(*rates.notice)
            yield News(_before(problem, problem.day_of(meal.at), notice), f"{meal.summary} announced", meal=meal)


def _guests(problem: Problem, rates: Rates, seed: int) -> Iterator[News]:
    pattern = _usual_guests(problem)
    for week in range(problem.days // 7 if pattern is not None else 0):
        assert pattern is not None
        draw = _draw(seed, "guests", week)
        for number in range(_number(draw, rates.guests)):
            day = 7 * week + draw.choice((4, 5, 5, 6))
            at = problem.midnights[day] + draw.choice((13 * 60, 18 * 60 + 30, 19 * 60))
            portions = rates.guest_slices * draw.randint(*rates.guest_heads)
            id_ = f"guests {week} {number}"
            meal = replace(pattern, id=id_, uid=id_, at=at, portions=portions, summary="Guests", source="chance")
            yield News(_before(problem, day, draw.randint(*rates.notice)), "guests announced", meal=meal)


def _usual_guests(problem: Problem) -> Meal | None:
    """Return what guests are served: as at the first strict meal, else as at the fullest meal, fresh or finished."""
    strict = [meal for meal in problem.meals if meal.strict]
    if strict:
        return replace(strict[0], without=frozenset())
    usual = [meal for meal in problem.meals if any(a.kinds & {FRESH, FINISHED} for a in meal.accepts)]
    if not usual:
        return None
    most = max(usual, key=lambda meal: (meal.portions, -meal.at))
    kinds = frozenset({FRESH, FINISHED})
    accepts = tuple(Accept(a.bread, a.kinds & kinds, min(a.max_age, 1800)) for a in most.accepts if a.kinds & kinds)
    return replace(most, strict=True, accepts=accepts, bought=False, without=frozenset(), age_milli=2 * most.age_milli)


def _moved(problem: Problem, rates: Rates, seed: int) -> Iterator[News]:
    """Yield appointments that move into free hours; the time they leave becomes free where somebody is in."""
    people = [person for person in problem.people if person.free and (person.bakes or person.finishes)]
    for week in range(problem.days // 7 if people else 0):
        draw = _draw(seed, "moved", week)
        for _ in range(_number(draw, rates.moved)):
            person, day, length = draw.choice(people), 7 * week + draw.randrange(7), draw.choice((60, 90, 120))
            busy = _within(draw, person.free, problem.midnights[day], length)
            known = _before(problem, day, draw.randint(0, rates.moved_notice))
            freed = _freed(draw, problem, person, known, length)
            if busy is not None:
                yield News(known, f"an appointment of {person.name} moved", person=person.id, busy=busy, freed=freed)


def _within(draw: Random, spans: tuple[tuple[int, int], ...], midnight: int, length: int) -> tuple[int, int] | None:
    """Return so many minutes on the grid within the spans of a day, or None."""
    today = [(max(a, midnight + MORNING), b) for a, b in spans if midnight <= a < midnight + 1440]
    fits = [(a, b) for a, b in today if b - a >= length]
    if not fits:
        return None
    first, last = draw.choice(fits)
    start = GRID * draw.randint(-(-first // GRID), (last - length) // GRID)
    return start, start + length


def _freed(draw: Random, problem: Problem, person: Person, known: int, length: int) -> tuple[int, int] | None:
    """Return minutes within three days in which somebody is in anyway and not free, or None."""
    day = min(max(problem.day_of(known), 0) + draw.randint(1, 3), problem.days - 1)
    found = _within(draw, person.inside, problem.midnights[day], length)
    if found is None or any(a < found[1] and found[0] < b for a, b in person.free):
        return None
    return found


def _broken_ovens(problem: Problem, rates: Rates, seed: int) -> Iterator[News]:
    for week in range(problem.days // 7):
        draw = _draw(seed, "oven", week)
        for _ in range(_number(draw, rates.oven)):
            day, lasts = 7 * week + draw.randrange(7), draw.randint(*rates.oven_days)
            oven = draw.choice(problem.ovens)
            start = problem.midnights[day] + MORNING
            end = problem.midnights[min(day + lasts, problem.days)]
            if start < end:
                yield News(start, f"{oven.name} is out of order", oven=oven.id, closed=(start, end))
