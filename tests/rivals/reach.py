"""What a rival's model has to know of a home beside its data: moments of readiness, what a meal takes, loads.

Written from the meaning of the rules; of the planner's own models nothing is used. Refuses homes with more in them than
those of tests/solve/homes.py: several ovens, bakes under way, wishes, strict dates, heats that change on the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from rotation import oven_turns
from rotation.problem import FINISHED, TABLE, TOAST, Bread, Kept, Meal, Oven, Problem, Process, Route

STRAIGHT = (0, 10)
"""Minutes from the freezer to the oven of what goes in frozen."""


def refuse_more(problem: Problem) -> None:
    """Hold that a home has nothing in it that the rivals do not know. Raises NotImplementedError."""
    kitchen = problem.kitchen
    routes = [(bread.form(route.form), route) for bread in problem.breads for route in bread.routes]
    forms = [form for bread in problem.breads for form in bread.forms]
    one_for_all = (kitchen.bowls, kitchen.dough_grams, kitchen.bannetons, kitchen.fridge_spots, kitchen.freezer_dl,
                   kitchen.freezing_grams_24h)  # fmt: skip
    what = {
        "several ovens": len(problem.ovens) == 1,
        "what is under way": not (problem.under_way or problem.box or problem.starter),
        "what was asked for": not (problem.wishes or problem.published),
        "fresh lots": all(lot.through <= 0 and lot.bagged <= -1440 for lot in problem.lots),
        "old lots": all(lot.toast_after > problem.end and lot.strict is None for lot in problem.lots),
        "short lives": all(form.strict is None and form.toast_after > problem.end for form in forms),
        "filled breads": not any(bread.filled for bread in problem.breads),
        "plain thaws": all(r.gives == TOAST or (r.gives == FINISHED and not r.turns) for _, r in routes),
        "slices by twos": all(form.portions_per_unit == 1 for form, r in routes if r.gives == TOAST),
        "changing heats": not any(p.programme.turns for bread in problem.breads for p in bread.processes),
        "trips of several lengths": len({r.handling_out for _, r in routes if r.gives != TOAST}) <= 1,
        "changing room": all(len(steps) == 1 for steps in one_for_all),
        "room beside bookings": not any(booking.places_left for booking in problem.ovens[0].bookings),
    }
    missing = [name for name, there in what.items() if not there]
    if missing:
        raise NotImplementedError(f"the rivals do not know: {', '.join(missing)}")


@dataclass(frozen=True)
class Shape:
    """A count of pieces by treatment, and what it makes of the stay: minutes long, last load's start, hands at."""

    pieces: tuple[tuple[str, int], ...]
    length: int
    lag: int
    acts: tuple[int, ...]
    loads: tuple[tuple[int, int], ...]

    def count(self, treatment: str) -> int:
        """Return the pieces with a treatment."""
        return sum(n for id_, n in self.pieces if id_ == treatment)

    @property
    def total(self) -> int:
        """All pieces."""
        return sum(n for _, n in self.pieces)

    @property
    def frozen(self) -> int:
        """Pieces that are frozen."""
        return self.total - self.count(TABLE)


@cache
def shapes(process: Process, oven: Oven) -> tuple[Shape, ...]:
    """Return every count of pieces that a bake may have."""
    assert len(process.treatments) == 2, "the table and one form"
    first, second = process.treatments
    found = []
    for total in process.pieces:
        for count in range(total + 1):
            pieces = tuple((id_, n) for id_, n in ((first.id, count), (second.id, total - count)) if n)
            turns = oven_turns.bake_turns(process, pieces, oven)
            acts = tuple(event.offset for event in oven_turns.events(turns, process.programme))
            loads = tuple((turn.start, turn.out) for turn in turns)
            found.append(Shape(pieces, max(turn.out for turn in turns), turns[-1].start, acts, loads))
    return tuple(found)


def longest(meal: Meal, bread: Bread, kind: str) -> int:
    """Return the age in minutes up to which a meal takes a bread that comes in a way; -1: never."""
    if meal.without and ("?" in bread.allergens or meal.without & bread.allergens):
        return -1
    return max((a.max_age for a in meal.accepts if a.bread == bread.id and kind in a.kinds), default=-1)


def buys(problem: Problem, meal: Meal) -> bool:
    """Say whether a meal takes a bought loaf."""
    has = problem.shop.allergens
    return meal.bought and not meal.strict and not (meal.without and ("?" in has or meal.without & has))


def eaters(problem: Problem, kept: Kept) -> list[int]:
    """Return the numbers of the everyday meals that can be given some of what is kept."""
    found = []
    for number, meal in enumerate(problem.meals):
        for accept in () if meal.strict else meal.accepts:
            routes = problem.bread(accept.bread).routes
            if any((accept.bread, r.form) in kept.forms and r.gives in accept.kinds for r in routes):
                found.append(number)
                break
    return found


@dataclass(frozen=True)
class Moment:
    """Minutes in which whatever is ready feeds the same meals at the same age. fed: meal -> longest age."""

    first: int
    last: int
    fed: tuple[tuple[int, int], ...]


def moments(problem: Problem, bread: Bread, route: Route) -> list[Moment]:
    """Return the moments at which something finished by a route could feed a meal."""
    starts = {meal.at + 1 for meal in problem.meals if any(a.bread == bread.id for a in meal.accepts)}
    for start, end in pairwise(problem.midnights):
        starts |= {at for at in range(start, start + 1440, 360) if at < min(end, start + 1081)}
    edges = sorted({at for at in starts if 0 < at < problem.end} | {0, problem.end})
    found = []
    for first, after in pairwise(edges):
        ages = [(n, min(longest(meal, bread, route.gives), route.keeps)) for n, meal in enumerate(problem.meals)]
        fed = tuple(
            (n, age) for n, age in ages if age >= 0 and 0 <= problem.meals[n].at - first <= age + after - 1 - first
        )
        if fed:
            found.append(Moment(first, after - 1, tuple((n, age) for n, age in fed)))
    return found


def stands_alone(problem: Problem, route: Route, bread: Bread, moment: Moment) -> str:
    """Return what at most one finish of a moment may be of: the form, or the route where one stay does not hold all."""
    held = problem.ovens[0].places * route.load_units * bread.form(route.form).portions_per_unit
    wanted = sum(problem.meals[n].portions for n, _ in moment.fed)
    return route.form if held >= wanted else f"{route.form} by {route.id}"
