"""What is other in one plan than in another: by term of the cost, by meal, by what is baked, finished and bought."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rotation.naming import FINISH
from rotation.plan import Bake, Plan
from rotation.problem import Meal, Problem
from rotation.telling import begins, short, shown_end
from rotation.words import count, long_time, pieces_of, units


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


def changes(before: Look, after: Look) -> Iterator[str]:
    """Yield in words what is baked, finished and bought otherwise in the shown days."""
    yield from _bakes(before, after)
    yield from _finishes(before, after)
    yield from _bought(before, after)


def _bakes(before: Look, after: Look) -> Iterator[str]:
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
            yield here
            continue
        old.remove(was)
        number = f"{was.total} " if was.total != bake.total else ""
        when = long_time(before.problem, _next(was)[1]) if _next(was)[1] != at else ""
        yield f"{here} (now {number}{when}".rstrip() + ")" if number or when else f"{here}, later steps at other times"
    for bake in old:
        name = pieces_of(before.problem.bread(bake.bread), bake.total)
        yield f"no {name} {long_time(before.problem, _next(bake)[1])}"


def _told(bake: Bake) -> tuple[object, ...]:
    return bake.bread, bake.pieces, next(step.start for step in bake.steps), _next(bake), bake.stay.start


def _next(bake: Bake) -> tuple[str, int]:
    """Return the mix with its minute, of what is mixed the next step to do."""
    ahead = [("bake" if step.name == "oven" else step.name, step.start) for step in bake.steps if step.who is not None]
    return next((one for one in ahead if one[0] == "mix"), ahead[0] if ahead else ("bake", bake.stay.start))


def _finishes(before: Look, after: Look) -> Iterator[str]:
    end = shown_end(after.problem)
    old, new = ({key for key in _finished(look) if key[2] < end} for look in (before, after))
    for sign, look, keys in (("", after, new - old), ("no ", before, old - new)):
        for bread_id, number, at, kind in sorted(keys, key=lambda key: (key[2], key[0])):
            bread = look.problem.bread(bread_id)
            verb = f"{FINISH} of" if kind == FINISH else "thaw of"
            yield f"{sign}{verb} {pieces_of(bread, number)} {long_time(look.problem, at)}"


def _finished(look: Look) -> Iterator[tuple[str, int, int, str]]:
    """Yield bread, units, minute and kind of each finish, and of each thaw that needs none."""
    outs = {out.id: out for out in look.plan.take_outs}
    finished = {finish.take_out for finish in look.plan.finishes}
    for finish in look.plan.finishes:
        out = outs[finish.take_out]
        yield out.bread, out.units, finish.stay.start, FINISH
    for out in look.plan.take_outs:
        if out.who is not None and out.id not in finished:
            yield out.bread, out.units, out.at, "thaw"


def _bought(before: Look, after: Look) -> Iterator[str]:
    end = shown_end(after.problem)
    old, new = ({one.buy_by: one.loaves for one in look.plan.bought if one.buy_by < end} for look in (before, after))
    for at in sorted({*old, *new}):
        if old.get(at, 0) != new.get(at, 0):
            by = long_time(after.problem, at)
            was = f" (now {old[at]})" if old.get(at) else ""
            yield (
                f"buy {count(new.get(at, 0), 'loaf', 'loaves')} by {by}{was}"
                if new.get(at)
                else f"buy none by {by}{was}"
            )


def bread_words(problem: Problem, bread: str, form: str, number: int) -> str:
    """Return "2 Country loaves" or "6 slices of Milk tin loaf"."""
    of = problem.bread(bread)
    return units(of, of.form(form), number)
