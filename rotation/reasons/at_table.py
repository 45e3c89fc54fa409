"""Changes at the table: fewer at it, a bought loaf, an hour later, another bread."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from calendars.text import clean
from rotation.problem import Accept, Meal, Problem
from rotation.reasons.change import HOUR, Apply, Change
from rotation.telling import shown_end
from rotation.words import clock, long_time


def at_table(problem: Problem, meal: Meal) -> Iterator[Change]:
    """Yield what may be changed about a meal."""
    yield from _fewer(problem, meal)
    yield from _bought(problem, meal)
    yield from _later(problem, meal)
    yield from _other_bread(problem, meal)


def _fewer(problem: Problem, meal: Meal) -> Iterator[Change]:
    """One at the table less, up to three times: each is a change."""
    if meal.heads > 1:
        before: tuple[str, str] | None = None
        for number in range(1, min(3, meal.heads - 1) + 1):
            of = "guest fewer" if meal.strict else "fewer at the table"
            words = f"{('one', 'a second', 'a third')[number - 1]} {of}"
            change = Change("a guest fewer", words, 60 + number, _fewer_by(meal.id), after=before)
            before = change.key
            yield change


def _bought(problem: Problem, meal: Meal) -> Iterator[Change]:
    """A loaf from the shop where the meal would not take one else: for guests."""
    shop = problem.shop
    closes = [at for at in shop.closes if at <= meal.at <= at + shop.keeps]
    safe = not meal.without or not ({"?"} | meal.without) & shop.allergens
    if closes and safe and (meal.strict or not meal.bought):
        by = f"{long_time(problem, max(closes))} ({shop.loaf_milli / 1000:g} effort minutes, not counted here)"
        price = shop.loaf_milli // 1000 + 10
        yield Change("a loaf bought", f"a loaf bought for it by {by}", price, _loaf(meal.id, shop.portions))


def _fewer_by(meal_id: str) -> Apply:
    """Make one person less eat at a meal: no more than their share is gone, rounded in favour of the others."""

    def of(meal: Meal) -> Meal:
        return replace(meal, portions=-(-meal.portions * (meal.heads - 1) // meal.heads), heads=meal.heads - 1)

    return lambda problem: replace(
        problem, meals=tuple(of(one) if one.id == meal_id and one.heads > 1 else one for one in problem.meals)
    )


def _loaf(meal_id: str, portions: int) -> Apply:
    """Make a meal want so many portions less of the house's bread; none at all, and there is nothing to feed."""

    def of(meal: Meal) -> Meal:
        return replace(meal, portions=max(meal.portions - portions, 0)) if meal.id == meal_id else meal

    return lambda problem: replace(
        problem, meals=tuple(one for meal in problem.meals if (one := of(meal)).portions > 0)
    )


def _later(problem: Problem, meal: Meal) -> Iterator[Change]:
    at = meal.at + HOUR
    if at < shown_end(problem) and problem.day_of(at) == problem.day_of(meal.at):
        words = f"{clean(meal.summary, 40)} an hour later, at {clock(problem.instant(at))}"

        def apply(of: Problem) -> Problem:
            moved = (replace(one, at=at) if one.id == meal.id else one for one in of.meals)
            return replace(of, meals=tuple(sorted(moved, key=lambda one: (one.at, one.id))))

        yield Change("the meal later", words, 30, apply)


def _other_bread(problem: Problem, meal: Meal) -> Iterator[Change]:
    """Another bread of the house, which everybody there may eat."""
    kinds = frozenset(kind for accept in meal.accepts for kind in accept.kinds)
    age = max((accept.max_age for accept in meal.accepts), default=0)
    for bread in problem.breads:
        harm = meal.without and ("?" in bread.allergens or meal.without & bread.allergens)
        if harm or not meal.accepts or any(accept.bread == bread.id for accept in meal.accepts):
            continue
        more = replace(meal.accepts[0], bread=bread.id, kinds=kinds, max_age=age)

        def apply(of: Problem, more: Accept = more) -> Problem:
            meals = (replace(m, accepts=(*m.accepts, more)) if m.id == meal.id else m for m in of.meals)
            return replace(of, meals=tuple(meals))

        yield Change("another bread", f"{clean(bread.name, 40)} will do for it as well", 20, apply)
