"""What if: the plan kept, in a changed problem. What still holds of it, mended near what is other, planned anew."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from calendars.intervals import clip
from rotation.plan import Plan
from rotation.problem import Problem, value_at
from rotation.reasons.again import FIRST, NEAR, best, better, priced
from rotation.reasons.answers import Without
from rotation.reasons.choice import WHOLE
from rotation.reasons.compare import Look, difference
from rotation.reasons.held import nothing_new
from rotation.solve import Limits, Shape, limits

MOST_DAYS = 5
"""Days that are other, beyond which nothing is near them."""


WINDOW, STEP = 4, 2
"""How many days are planned anew at once, and how far on the next ones begin."""


def comparable(problem: Problem, changed: Problem) -> Problem:
    """Return a changed problem in which stock at the end is worth what it is in the problem before."""
    worth = {bread.id: bread.worth for bread in problem.breads}
    breads = (replace(bread, worth=worth.get(bread.id, bread.worth)) for bread in changed.breads)
    return replace(changed, breads=tuple(breads))


def tried(before: Look, plan: Plan, problem: Problem, work: Limits | None) -> Iterator[Without]:
    """Yield ever better plans of a changed problem, the first at once.

    before: the plan kept, in its problem; plan: the same in the minutes of the changed one, whether it holds or not.
    work: to look at all days at once as well.
    """
    found = priced(problem, plan)
    if found is not None:
        yield _answer(before, problem, found, "kept", False)
    other = touched(before.problem, problem)
    near = {day - 1 for day in other} | other if len(other) <= MOST_DAYS else set()
    tries: list[tuple[str, Shape | None, Limits]] = []
    if found is None:
        tries.append(("kept", nothing_new(plan, ()), FIRST))
    if near:
        tries.append(("near", nothing_new(plan, near), NEAR))
    for within, shape, few in tries:
        mended = best(problem, shape, start=found, work=few)
        if mended is not None and (found is None or better(problem, mended, problem, found)):
            found = mended
            yield _answer(before, problem, mended, within, False)
    for part in _swept(before, problem, found):
        found = part.look.plan if part.look is not None else found
        yield part
    if work is not None:
        anew = best(problem, start=found, work=work)
        if anew is not None and (found is None or anew.status == "optimal" or better(problem, anew, problem, found)):
            yield _answer(before, problem, anew, "all", anew.status == "optimal")


def _swept(before: Look, problem: Problem, plan: Plan | None) -> Iterator[Without]:
    """Yield ever better plans that are other on some days, window after window; a fresh one to begin with."""
    if plan is None:
        plan = best(problem, work=limits("quick"))
        if plan is None:
            return
        yield _answer(before, problem, plan, "near", False)
    for start in range(0, max(problem.days - WINDOW, 0) + STEP, STEP):
        other = best(problem, nothing_new(plan, range(start, start + WINDOW)), start=plan)
        if other is not None and better(problem, other, problem, plan, WHOLE):
            plan = other
            yield _answer(before, problem, plan, "near", False)


def _answer(before: Look, problem: Problem, plan: Plan, within: str, proven: bool) -> Without:
    here = Look(problem, plan)
    return Without("so", within, difference(before, here), here, proven)


def touched(before: Problem, after: Problem) -> set[int]:
    """Return the local days on which people, ovens, kitchen or meals are other."""
    return {day for day in range(min(before.days, after.days)) if _day(before, day) != _day(after, day)}


def _day(problem: Problem, day: int) -> tuple[object, ...]:
    """Return what there is on a day, to be compared."""
    span = (problem.midnights[day], problem.midnights[day + 1])
    people = {p.id: (p.bakes, p.finishes, clip(p.inside, *span), clip(p.free, *span)) for p in problem.people}
    ovens = {
        oven.id: (
            clip(oven.closed, *span),
            [b for b in oven.bookings if b.end > span[0] and b.start < span[1]],
        )
        for oven in problem.ovens
    }  # fmt: skip
    kitchen = problem.kitchen
    holds = (kitchen.bowls, kitchen.dough_grams, kitchen.bannetons, kitchen.fridge_spots, kitchen.freezer_dl,
             kitchen.freezing_grams_24h)  # fmt: skip
    room = [(value_at(steps, span[0]), [step for step in steps if span[0] < step[0] < span[1]]) for steps in holds]
    meals = [(m.at, m.portions, m.accepts, m.strict) for m in problem.meals if span[0] <= m.at < span[1]]
    return people, ovens, room, meals, [bread.id for bread in problem.breads]
