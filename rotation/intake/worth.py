"""What stock is worth: at the end the effort of making it, less beyond what is to be stocked; what is kept anyway."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from rotation.household.settings import Household
from rotation.household.shapes import shape_of
from rotation.problem import Accept, Bread, Form, Kept, Meal, Person, Process, value_at

FULL = 1 / 2
"""So much of the freezer all that is eaten by habit fills at most: the rest is for guests, and for a bake."""

CEILING = 0.9
"""Stock is never worth the price of an unmet portion: bread is for eating, and only then for keeping."""


def hand_price(people: Sequence[Person]) -> float:
    """Return the milli effort of a minute of bakers' hands, averaged over their free minutes; 1000 if nobody bakes."""
    minutes = [
        (end - start, value_at(person.price, start)) for person in people if person.bakes for start, end in person.free
    ]
    length = sum(each for each, _ in minutes)
    return sum(each * price for each, price in minutes) / length if length else 1000.0


def effort(bread: Bread, process: Process, minute: float) -> float:
    """Return milli effort a portion of a full bake costs: its fixed cost and its hands, at `minute` a minute.

    At the oven each load is put in, uncovered if it was covered, and taken out.
    """
    pieces, oven = process.pieces[-1], process.programme
    acts = ceil(pieces / oven.pieces_per_load) * (3 if oven.covered else 2) - 1
    hands = acts * oven.handling + sum(stage.hands + stage.hands_per_piece * pieces for stage in process.stages)
    return (process.fixed + minute * hands) / (pieces * bread.portions)


def weekly(meals: Sequence[Meal], days: int) -> dict[str, float]:
    """Return portions of each bread eaten in a week by everyday meals, a meal that takes several shared among them."""
    eaten: dict[str, float] = {}
    for meal in (meal for meal in meals if not meal.strict):
        breads = sorted({accept.bread for accept in meal.accepts if not shape_of(accept.bread)})
        for bread in breads:
            eaten[bread] = eaten.get(bread, 0.0) + meal.portions / len(breads) * 7 / days
    return eaten


def with_worth(
    breads: Sequence[Bread],
    household: Household,
    meals: Sequence[Meal],
    people: Sequence[Person],
    days: int,
    unmet: int,
) -> tuple[Bread, ...]:
    """Return the breads with what stock of each is worth at the end; nothing for bread that nobody eats by habit.

    Full worth has each bread's part of the reserve, by what is eaten of it, and what is to be stocked of bread that is
    had without an oven. unmet: milli effort of a portion a meal has to go without.
    """
    eaten, minute, at_once = weekly(meals, days), hand_price(people), _at_once(breads, meals)
    total, found = sum(eaten.values()), list[Bread]()
    quick = sum(eaten.get(bread, 0) for bread in {bread for bread, _ in at_once})
    for bread in breads:
        a_week = eaten.get(bread.id)
        if a_week:
            safe = household.reserve.portions * a_week / total
            forms = [form for form in bread.forms if (bread.id, form.id) in at_once]
            full = min(household.reserve.stocked_weeks * a_week, _most(forms, a_week, quick, household))
            bread = replace(bread, worth=_tiers(bread, household, a_week, round(max(safe, full)), minute, unmet))
        found.append(bread)
    return tuple(found)


def reserve(
    breads: Sequence[Bread], household: Household, meals: Sequence[Meal], guests: Sequence[Accept], days: int
) -> tuple[Kept, ...]:
    """Return the reserve, split by what is eaten among breads that stand in for each other at everyday meals.

    Of each such group first all that is to be stocked, then the part that is kept for bad days and dearer to miss: so a
    loaf that is gone is made up for when that is cheap, and at once only where little is left. Only bread that such a
    meal has without an oven is counted: rolls to be finished help nobody at a quarter to seven, and are eaten sooner
    than they are kept. And of what does for guests, what is kept for those who are told tomorrow. guests: what their
    meals accept.
    """
    everyday = [meal for meal in meals if not meal.strict]
    eaten, weights, held = weekly(meals, days), household.weights, household.reserve
    night, full, safe = (
        round(1000 * price) for price in (weights.reserve_night, weights.stocked_lowest, weights.reserve_lowest)
    )
    groups = [{bread.id} for bread in breads if eaten.get(bread.id)]
    for meal in everyday:
        together = {accept.bread for accept in meal.accepts}
        met = [group for group in groups if group & together]
        if len(met) > 1:
            groups = [group for group in groups if group not in met] + [set().union(*met)]
    total, given, kept = sum(eaten.values()), {each.id: each for each in breads}, list[Kept]()
    at_once = _at_once(breads, meals)
    sharing = sum(sum(eaten[bread] for bread in group) for group in groups if group & {bread for bread, _ in at_once})
    for group in sorted(map(sorted, groups)):
        a_week = sum(eaten[bread] for bread in group)
        portions = round(held.portions * a_week / total)
        quick = [(bread, form) for bread in group for form in given[bread].forms if (bread, form.id) in at_once]
        most = int(_most([form for _, form in quick], a_week, sharing, household))
        stocked = min(round(held.stocked_weeks * a_week), most)
        forms = tuple((bread, form.id) for bread, form in quick)
        kept.append(Kept(forms, max(portions, stocked), night, full))
        kept.append(Kept(forms, portions, 0, safe))
    served = {(one.bread, way.form) for one in guests for way in given[one.bread].routes if way.gives in one.kinds}
    kept.append(Kept(tuple(sorted(served)), held.guests, night, safe))
    return tuple(each for each in kept if each.forms and each.portions and (each.milli or each.lowest))


def _at_once(breads: Sequence[Bread], meals: Sequence[Meal]) -> set[tuple[str, str]]:
    """Return the breads, and forms of them, that some everyday meal has without an oven."""
    return {
        (bread.id, route.form) for bread in breads for route in bread.routes if route.oven is None
        and any(a.bread == bread.id and route.gives in a.kinds for meal in meals if not meal.strict
                for a in meal.accepts)
    }  # fmt: skip


def _most(forms: Sequence[Form], a_week: float, of: float, household: Household) -> float:
    """Return the portions of some forms, by the bulkiest, in their part of the freezer that may always be full.

    a_week: what is eaten of them; of: all that is eaten so in a week, and shares the room.
    """
    room = FULL * 10 * household.kitchen.freezer_litres
    most = min((int(room * form.portions_per_unit / form.unit_dl) for form in forms), default=0)
    return most * (a_week / of) if most else 0


def _tiers(
    bread: Bread, household: Household, a_week: float, safe: int, minute: float, unmet: int
) -> tuple[tuple[int, int], ...]:
    reserve = household.reserve
    cheapest = min(effort(bread, process, minute) for process in bread.processes)
    worth = round(min(cheapest, CEILING * unmet))
    beyond = max(round(a_week * reserve.cover_weeks) - safe, 0)
    tiers = ((safe, worth), (beyond, round(worth * reserve.beyond_share)))
    return tuple((portions, each) for portions, each in tiers if portions and each)
