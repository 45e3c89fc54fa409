"""What is other in one plan than in another: by term of the cost, by meal, by what is baked, finished and bought."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rotation.naming import FINISH, THAW
from rotation.plan import Bake, Plan
from rotation.problem import Meal, Problem
from rotation.telling import begins, short, shown_end
from rotation.words import clock, count, long_time, pieces_of, time_words, units


@dataclass(frozen=True)
class Look:
    """A plan with the problem it is a plan of."""

    problem: Problem
    plan: Plan


@dataclass(frozen=True)
class Shorter:
    """A meal that is short by another number of portions than before. 0: it is not short, or there is no such meal."""

    meal: Meal
    before: int
    after: int


@dataclass(frozen=True)
class Difference:
    """What a plan has other than the one before: cost in milli, and by term; meals; what is done, in words."""

    cost: int
    terms: tuple[tuple[str, int], ...]
    short: tuple[Shorter, ...]
    changes: tuple[str, ...]
    wishes: int = 0
    """Wishes dropped that were kept, less those kept that were dropped."""


def difference(before: Look, after: Look) -> Difference:
    """Return what is other in the second of two plans. Its terms add up to its cost."""
    old, new = dict(before.plan.terms), dict(after.plan.terms)
    terms = [(name, new.get(name, 0) - old.get(name, 0)) for name in dict.fromkeys([*old, *new])]
    moved = tuple(sorted(((name, milli) for name, milli in terms if milli), key=lambda term: -abs(term[1])))
    dropped = [sum(not wish.kept for wish in look.plan.wishes) for look in (before, after)]
    cost = after.plan.total - before.plan.total
    return Difference(
        cost, moved, tuple(_shorter(before, after)), tuple(changes(before, after)), dropped[1] - dropped[0]
    )


def _shorter(before: Look, after: Look) -> Iterator[Shorter]:
    lacks = [{meal.id: short(look.problem, look.plan, meal) for meal in look.problem.meals} for look in (before, after)]
    meals = {meal.id: meal for look in (before, after) for meal in look.problem.meals}
    for meal in sorted(meals.values(), key=lambda meal: (meal.at, meal.id)):
        lack = [max(of.get(meal.id, 0), 0) for of in lacks]
        if lack[0] != lack[1] and meal.at < shown_end(after.problem):
            yield Shorter(meal, *lack)


LITTLE = 60
"""Minutes below which it is not told how much sooner or later something is done on the same day."""

Told = tuple[int, int, str]
"""How much it matters (0 most), its minute, and words for it: none for what is done a little sooner or later."""


def changes(before: Look, after: Look) -> Iterator[str]:
    """Yield in words what is baked, bought and finished otherwise in the shown days, what matters most first."""
    told = sorted([*_bakes(before, after), *_bought(before, after), *_finishes(before, after)])
    yield from (words for _, _, words in told if words)
    little = sum(not words for _, _, words in told)
    if little == len(told) > 0:
        yield "the same, less than an hour sooner or later"
    elif little:
        yield f"{count(little, 'other')} less than an hour sooner or later"


def _bakes(before: Look, after: Look) -> Iterator[Told]:
    end = shown_end(after.problem)
    old, new = ([bake for bake in look.plan.bakes if begins(bake) < end] for look in (before, after))
    same = {_told(bake) for bake in old} & {_told(bake) for bake in new}
    old, new = ([bake for bake in bakes if _told(bake) not in same] for bakes in (old, new))
    for bake in new:
        alike = [one for one in old if (one.bread, one.under_way) == (bake.bread, bake.under_way)]
        step, at = _next(bake)
        was = min(alike, key=lambda one: abs(_next(one)[1] - at), default=None)
        here = f"{step} {pieces_of(after.problem.bread(bake.bread), bake.total)} {long_time(after.problem, at)}"
        if was is None:
            yield 0, at, here
            continue
        old.remove(was)
        since = _next(was)[1]
        near = before.problem.day_of(since) == after.problem.day_of(at)
        if was.total == bake.total and near and max(abs(since - at), abs(was.stay.start - bake.stay.start)) < LITTLE:
            if (since, was.stay.start) != (at, bake.stay.start):
                yield 3, at, ""
            continue
        if was.total == bake.total and abs(since - at) < LITTLE:
            oven = (time_words(look.problem, one.stay.start, at) for look, one in ((after, bake), (before, was)))
            yield 1, at, f"{here}, in the oven {' (now '.join(oven)})"
            continue
        number = str(was.total) if was.total != bake.total else ""
        when = "" if since == at else time_words(before.problem, since, at)
        yield int(near and not number), at, f"{here} (now {', '.join(filter(None, (number, when)))})"
    for bake in old:
        name = pieces_of(before.problem.bread(bake.bread), bake.total)
        yield 0, _next(bake)[1], f"no {name} {long_time(before.problem, _next(bake)[1])}"


def _told(bake: Bake) -> tuple[object, ...]:
    return bake.bread, bake.pieces, next(step.start for step in bake.steps), _next(bake), bake.stay.start


def _next(bake: Bake) -> tuple[str, int]:
    """Return the mix with its minute, of what is mixed the next step to do."""
    ahead = [("bake" if step.name == "oven" else step.name, step.start) for step in bake.steps if step.who is not None]
    return next((one for one in ahead if one[0] == "mix"), ahead[0] if ahead else ("bake", bake.stay.start))


def _finishes(before: Look, after: Look) -> Iterator[Told]:
    end = shown_end(after.problem)
    old, new = ([one for one in _finished(look) if one.at < end] for look in (before, after))
    old, new = ([one for one in some if one not in others] for some, others in ((old, new), (new, old)))
    for one in new:
        here = f"{one.kind} {pieces_of(after.problem.bread(one.bread), one.units)} {long_time(after.problem, one.at)}"
        day = after.problem.day_of(one.at)
        alike = [o for o in old if (o.bread, o.kind, before.problem.day_of(o.at)) == (one.bread, one.kind, day)]
        was = min(alike, key=lambda other: abs(other.at - one.at), default=None)
        if was is None:
            yield 2, one.at, here
            continue
        old.remove(was)
        if was.units == one.units and abs(was.at - one.at) < LITTLE:
            yield 3, one.at, ""
            continue
        number = str(was.units) if was.units != one.units else ""
        when = clock(before.problem.instant(was.at)) if was.at != one.at else ""
        yield 2, one.at, f"{here} (now {', '.join(filter(None, (number, when)))})"
    for one in old:
        name = pieces_of(before.problem.bread(one.bread), one.units)
        yield 2, one.at, f"no {one.kind} of {name} {long_time(before.problem, one.at)}"


@dataclass(frozen=True)
class _Out:
    """Bread from the freezer: units of a bread, the minute it goes into the oven or leaves the freezer, and which."""

    bread: str
    units: int
    at: int
    kind: str


def _finished(look: Look) -> Iterator[_Out]:
    """Yield each finish, and each thaw that needs none."""
    outs = {out.id: out for out in look.plan.take_outs}
    finished = {finish.take_out for finish in look.plan.finishes}
    for finish in look.plan.finishes:
        out = outs[finish.take_out]
        yield _Out(out.bread, out.units, finish.stay.start, FINISH)
    for out in look.plan.take_outs:
        if out.who is not None and out.id not in finished:
            yield _Out(out.bread, out.units, out.at, THAW)


def _bought(before: Look, after: Look) -> Iterator[Told]:
    end = shown_end(after.problem)
    old, new = ({one.buy_by: one.loaves for one in look.plan.bought if one.buy_by < end} for look in (before, after))
    for at in sorted({*old, *new}):
        if old.get(at, 0) != new.get(at, 0):
            by = long_time(after.problem, at)
            was = f" (now {old[at]})" if old.get(at) else ""
            loaves = count(new.get(at, 0), "loaf", "loaves") if new.get(at) else "none"
            yield 1, at, f"buy {loaves} by {by}{was}"


def bread_words(problem: Problem, bread: str, form: str, number: int) -> str:
    """Return "2 Country loaves" or "6 slices of Milk tin loaf"."""
    of = problem.bread(bread)
    return units(of, of.form(form), number)
