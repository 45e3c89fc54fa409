"""A meal: what was meant for it first, then whatever else is there that it accepts, the oldest first; then nothing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rotation.plan import Serving, TakeOut
from rotation.problem import TOAST, Bread, Meal
from rotation.rehearsal.larder import EATEN, WASTED, Larder
from rotation.rehearsal.record import Eaten, Record
from rotation.rehearsal.things import Ready


def serve(
    larder: Larder, record: Record, meal: Meal, wanted: int, promised: Mapping[str, int], kept: Mapping[str, int]
) -> Eaten:
    """Feed a meal that wants so many portions; return what came of it.

    promised: portions by source that the plan followed meant for it; kept: those meant for guests to come, which
    nobody else eats. Slices for the toaster are taken as they are wanted, after the bread that would go stale.
    """
    left, ages = wanted, list[tuple[int, int]]()

    def eat(item: Ready, most: int) -> None:
        nonlocal left
        taken = item.take(min(left, most))
        portions = sum(each for _, each in taken)
        if portions:
            larder.spend(taken, EATEN)
            record.servings.append(Serving(meal.id, item.source or item.id, portions))
            ages.append((portions, meal.at - item.ready))
            left -= portions

    there = sorted(_accepted(larder, meal), key=lambda item: (item.ready, item.id))
    met = {id_ for item in there for id_ in (item.id, item.source)}
    for item in there:
        eat(item, _of(promised, item))
    meant = sum(portions for source, portions in promised.items() if source not in met)
    loaves = larder.bought.pop(meal.id, {}) if meal.bought and not meal.strict else {}
    bought = min(left, sum(loaves.values()))
    meant = max(0, min(meant, left) - bought)
    left -= _toast(larder, record, meal, meant)
    for item in there:
        eat(item, max(0, item.portions - (0 if meal.strict else _of(kept, item))))
    bought = min(bought, left)
    left -= _toast(larder, record, meal, left - bought)
    record.servings += _from_shop(meal, loaves, bought)
    return Eaten(meal, wanted, wanted - left, bought, tuple(ages))


def _of(portions: Mapping[str, int], item: Ready) -> int:
    """Return the portions of an item, which a plan may know by what it came from."""
    return portions.get(item.id, 0) or portions.get(item.source, 0)


def _accepted(larder: Larder, meal: Meal) -> Iterator[Ready]:
    for item in larder.box.values():
        fits = any(
            item.bread == a.bread and item.kind in a.kinds and meal.at - item.ready <= a.max_age for a in meal.accepts
        )
        if fits and item.ready <= meal.at <= item.until and _harmless(larder.problem.bread(item.bread), meal):
            yield item


def _harmless(bread: Bread, meal: Meal) -> bool:
    return not (meal.without and ("?" in bread.allergens or meal.without & bread.allergens))


def _toast(larder: Larder, record: Record, meal: Meal, portions: int) -> int:
    """Take so many portions out of the freezer for the toaster or the lunch box; return how many there were."""
    given = 0
    for accept in meal.accepts:
        bread = larder.problem.bread(accept.bread)
        if TOAST not in accept.kinds or not _harmless(bread, meal):
            continue
        for route in (route for route in bread.routes if route.gives == TOAST):
            each = bread.form(route.form).portions_per_unit
            lots = larder.take_out(bread.id, route.form, -(-(portions - given) // each), meal.at)
            units = sum(number for _, number in lots)
            if not units:
                continue
            eaten = min(units * each, portions - given)
            parts = Ready("", bread.id, TOAST, meal.at, meal.at, larder.parts(bread.id, route.form, lots))
            larder.spend(parts.take(eaten), EATEN)
            if parts.portions:
                record.wasted.append((meal.at, parts.portions))
                larder.spend(parts.parts, WASTED)
            _note(record, TakeOut(f"toast {route.id} {bread.id} {meal.id}", bread.id, route.form, route.id, units,
                                  tuple(lots), meal.at, None, "", meal.at))  # fmt: skip
            record.servings.append(Serving(meal.id, f"toast {route.id} {bread.id} {meal.id}", eaten))
            given += eaten
    return given


def _note(record: Record, out: TakeOut) -> None:
    """Record slices taken for a meal; those taken before for the same meal are one with them."""
    before = next((one for one in record.outs[-8:] if one.id == out.id), None)
    if before is None:
        record.outs.append(out)
        return
    lots = dict(before.lots)
    for lot, units in out.lots:
        lots[lot] = lots.get(lot, 0) + units
    record.outs[record.outs.index(before)] = TakeOut(
        out.id, out.bread, out.form, out.route, before.units + out.units, tuple(lots.items()), out.at, None, "", out.at
    )


def _from_shop(meal: Meal, loaves: Mapping[str, int], portions: int) -> Iterator[Serving]:
    """Yield the servings of what was bought for a meal, what was bought first first."""
    for id_, there in loaves.items():
        if taken := min(portions, there):
            yield Serving(meal.id, id_, taken)
            portions -= taken
