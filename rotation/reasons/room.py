"""Changes of what the house holds, and wishes taken back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from calendars.text import clean
from rotation.problem import Kitchen, Oven, Problem, Steps
from rotation.reasons.change import Apply, Change
from rotation.reasons.hours import changed_oven
from rotation.reasons.loosened import within


def room(problem: Problem, near: tuple[int, int]) -> Iterator[Change]:
    """Yield what there may be more of, and the wishes of some minutes."""
    yield from _iron(problem)
    yield from _room(problem, near)
    yield from _wishes(problem, near)


def _iron(problem: Problem) -> Iterator[Change]:
    """One more of what holds loaves in the oven."""
    covered = any(process.programme.covered for bread in problem.breads for process in bread.processes)
    for oven in problem.ovens:
        if covered and oven.vessels < oven.places:
            pot = _oven_with(oven.id, lambda one: replace(one, vessels=one.vessels + 1))
            yield Change("a vessel", f"one more pot for the {clean(oven.name, 40).casefold()}", 100, pot)
        place = _oven_with(oven.id, lambda one: replace(one, places=one.places + 1))
        yield Change("an oven place", f"one more place in the {clean(oven.name, 40).casefold()}", 110, place)


def _oven_with(id_: str, change: Callable[[Oven], Oven]) -> Apply:
    return lambda problem: changed_oven(problem, id_, change)


def _room(problem: Problem, near: tuple[int, int]) -> Iterator[Change]:
    """One more of what holds dough, room for one loaf more in fridge and freezer."""
    loaf_dl = max((form.unit_dl * form.units_per_piece for bread in problem.breads for form in bread.forms), default=0)

    def of(name: str, by: int) -> Apply:
        def steps(kitchen: Kitchen) -> Steps:
            return within(getattr(kitchen, name), (near[0], near[1]), lambda value: value + by)

        return lambda problem: replace(problem, kitchen=replace(problem.kitchen, **{name: steps(problem.kitchen)}))

    yield Change("a bowl", "one more bowl", 40, of("bowls", 1))
    yield Change("a proofing basket", "one more proofing basket", 40, of("bannetons", 1))
    yield Change("a fridge spot", "room for one more loaf in the fridge", 45, of("fridge_spots", 1))
    if loaf_dl:
        litres = f"{loaf_dl / 10:g} litres"
        yield Change("freezer room", f"{litres} more in the freezer, one loaf", 80, of("freezer_dl", loaf_dl))
        yield Change("freezing", "1 kg more frozen in 24 hours", 85, of("freezing_grams_24h", 1000))


def _wishes(problem: Problem, near: tuple[int, int]) -> Iterator[Change]:
    for wish in problem.wishes:
        if wish.at < near[1] and max(wish.at, wish.until) >= near[0]:
            name = clean(wish.said, 60) or f"{wish.kind} {clean(problem.bread(wish.bread).name, 40)}"

            def apply(of: Problem, gone: str = wish.id) -> Problem:
                return replace(of, wishes=tuple(one for one in of.wishes if one.id != gone))

            yield Change("a wish taken back", f"“{name}” taken back", 50, apply, gone=wish.id)
