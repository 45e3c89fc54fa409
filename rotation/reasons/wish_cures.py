"""What to change so that a wish can be kept: hours, room, another wish taken back; each alone, then in twos."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rotation.facts import rank
from rotation.plan import Plan
from rotation.problem import Problem, Wish
from rotation.reasons.again import best
from rotation.reasons.answers import Cure, Uncured
from rotation.reasons.catalogue import REACH
from rotation.reasons.change import Change, spare, together, told
from rotation.reasons.compare import Look, difference
from rotation.reasons.cures import CURES, used
from rotation.reasons.held import all_of, kept, nothing_new
from rotation.reasons.hours import hours
from rotation.reasons.room import room

AFTER = 1
"""Days after a wish whose hours may be changed for it: what is begun must be gone on with."""

IN_TWOS = 6
"""How many of the cheapest changes are tried in twos, where none does alone."""


def wish_cures(problem: Problem, plan: Plan, wish: Wish) -> Iterator[Cure | Uncured]:
    """Yield the cures found for a wish that the plan does not keep, or how many were tried in vain."""
    day = problem.day_of(wish.at)
    days = range(max(day - REACH, 0), min(day + AFTER, problem.days - 1) + 1)
    near = (max(problem.midnights[days[0]], 0), problem.midnights[days[-1] + 1])
    others = [change for change in room(problem, near) if change.gone != wish.id]
    changes = sorted([*hours(problem, near), *others], key=lambda change: change.price)
    found, tried = 0, 0
    for size in (1, 2):
        for some in combinations(changes if size == 1 else changes[:IN_TWOS], size):
            if found == CURES or (found and size > 1):
                return
            tried += 1
            other = _keeping(problem, plan, wish, some, days)
            if other is None:
                continue
            changed = together(problem, some)
            less = tuple(spare(change, used(changed, other, change)) for change in some)
            trimmed = _keeping(problem, plan, wish, less, days) if less != some else None
            some, other = (some, other) if trimmed is None else (less, trimmed)
            found += 1
            here = Look(together(problem, some), other)
            minimal = size == 1 and _not_as_it_is(plan)
            moved = difference(Look(problem, plan), here)
            words = tuple(told(change, used(here.problem, other, change)) for change in some)
            yield Cure(found, words, moved, here, minimal, minimal)
    if not found:
        yield Uncured(tried, 2)


def _keeping(problem: Problem, plan: Plan, wish: Wish, changes: tuple[Change, ...], days: range) -> Plan | None:
    """Return the best plan found that keeps a wish with changes made; None where others pay for it.

    No other wish is dropped that was kept, unless it is taken back, and guests are no shorter.
    """
    changed = together(problem, changes)
    other = best(changed, all_of(nothing_new(plan, days), kept(wish.id)))
    if other is None:
        return None
    there = {one.id for one in changed.wishes}
    before = sum(not one.kept for one in plan.wishes if one.wish in there and one.wish != wish.id)
    dropped, short, _ = rank(changed, other)
    return other if dropped <= before and short <= rank(problem, plan)[1] else None


def _not_as_it_is(plan: Plan) -> bool:
    """Say whether it is proven of a plan that not one wish more can be kept as things are."""
    tier = next(iter(plan.tiers), None)
    return tier is not None and tier.bound is not None and 0 < tier.value <= tier.bound
