"""Checks against what is counted by force, over random changes of the sample."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.plan import Discard, Plan, TakeOut
from rotation.problem import Lot, Steps, value_at
from rotation.rules import fifo, freezer_room, freezing_rate, grid, kitchen, waits
from rotation.rules.checked import broken
from tests.rules.changes import kitchen as with_kitchen
from tests.rules.changes import stepped
from tests.rules.house import DAY, FRI, SAT, SUN, at, problem
from tests.rules.sample import plan

T = TypeVar("T")
quick = settings(derandomize=True, deadline=None, max_examples=40)


@quick
@given(minute=st.integers(at(SAT, 9, 3), at(SUN, 8)))
def test_a_step_anywhere_is_judged_by_its_bounds_and_the_grid(minute: int) -> None:
    of = stepped("shape", start=minute, end=minute + 15)
    after_fold, after_mix, to_oven = minute - at(SAT, 9, 3), minute - at(SAT, 8), at(SUN, 8, 30) - minute - 15
    fits = 120 <= after_fold <= 300 and 240 <= after_mix <= 360 and 480 <= to_oven <= 1440 - 20
    assert (not list(waits.check(problem(), of))) == fits
    assert (not list(grid.check(problem(), of))) == (minute % 5 == 0)


steps: st.SearchStrategy[Steps] = st.lists(st.tuples(st.integers(1, 5 * DAY), st.integers(60, 140)), max_size=3).map(
    lambda found: ((0, 134), *sorted(dict(found).items()))
)


@quick
@given(room=steps, thrown=st.integers(0, 5 * DAY - 1), units=st.integers(0, 20))
def test_freezer_room_is_that_of_every_single_minute(room: Steps, thrown: int, units: int) -> None:
    discards = (*plan().discards, *((Discard("lot-tin", units, thrown),) if units else ()))
    house, of = with_kitchen(freezer_dl=room), replace(plan(), discards=discards)

    def taken(minute: int) -> int:
        old = 0 if minute >= at(FRI, 18) else 2
        loaves = (1 if minute >= at(FRI, 20, 30) else 3) + (1 if minute >= at(SUN, 12, 3) else 0)
        slices = 20 - (6 if minute >= at(3, 7) else 0) - (units if minute >= thrown else 0)
        return 2 * old + 30 * loaves + 2 * slices

    overfull = any(taken(minute) > value_at(room, minute) for minute in range(5 * DAY))
    assert bool(list(freezer_room.check(house, of))) == overfull


@quick
@given(
    bagged=st.lists(st.integers(-DAY - 30, -1), max_size=3),
    now=st.sampled_from([at(SUN, 11, 30), at(SUN, 12, 3), at(3, 12)]),
    rating=st.integers(300, 1700),
)
def test_grams_frozen_in_any_24_hours_are_counted_by_the_minute(bagged: list[int], now: int, rating: int) -> None:
    old = tuple(Lot(f"old {k}", "", "sourdough", "part-baked", 1, now + at_, now, 0, 0) for k, at_ in enumerate(bagged))
    house = replace(with_kitchen(freezing_grams_24h=((0, rating),)), lots=(*problem().lots, *old))
    put_in = [at(SUN, 12, 3), *(now + minute for minute in bagged)]
    own = range(at(SUN, 12, 3), at(SUN, 12, 3) + DAY)
    too_much = any(400 * sum(t - DAY < minute <= t for minute in put_in) > rating for t in own)
    assert bool(list(freezing_rate.check(house, plan()))) == too_much


@quick
@given(spots=steps)
def test_fridge_spots_are_those_of_every_single_minute(spots: Steps) -> None:
    fewer = tuple((minute, value // 40) for minute, value in spots)
    held = range(at(SAT, 13), at(SUN, 8, 50))
    overfull = any(value_at(fewer, minute) < 2 for minute in held)
    assert bool(list(kitchen.check(with_kitchen(fridge_spots=fewer), plan()))) == overfull


@quick
@given(data=st.data(), sizes=st.lists(st.integers(1, 4), min_size=1, max_size=4))
def test_oldest_first_is_the_only_deal_that_holds(data: st.DataObject, sizes: list[int]) -> None:
    lots = tuple(
        Lot(f"lot {k}", "", "tin", "sliced", size, (k - 9) * DAY, (k - 8) * DAY, 0, DAY) for k, size in enumerate(sizes)
    )
    slices = [lot.id for lot in lots for _ in range(lot.units)]
    order = data.draw(st.permutations(slices))
    number = data.draw(st.integers(1, len(slices)))
    taken = tuple(
        TakeOut(f"slice {k}", "tin", "sliced", "toast", 1, ((lot, 1),), 60 * k, None, "", 60 * k)
        for k, lot in enumerate(order[:number])
    )
    holds = not list(fifo.check(replace(problem(), lots=lots), Plan(take_outs=taken)))
    assert holds == (order[:number] == slices[:number])


def some(items: tuple[T, ...]) -> st.SearchStrategy[tuple[T, ...]]:
    """Draw a few of the items, in any order."""
    return st.lists(st.sampled_from(items), unique=True, max_size=len(items)).map(tuple)


@quick
@given(data=st.data())
def test_a_mangled_plan_is_named_broken_and_never_an_accident(data: st.DataObject) -> None:
    of, made = plan(), plan().bakes[0]
    stay = replace(
        made.stay,
        loads=data.draw(some(made.stay.loads)),
        events=data.draw(some(made.stay.events)),
        start=data.draw(st.sampled_from((made.stay.start, -7, 10**6))),
        heat=data.draw(st.sampled_from((made.stay.heat, "after:roast", "beside:stay-finish", "with:stay-b1", ""))),
    )
    mangled = replace(
        made,
        steps=data.draw(some(made.steps)),
        pieces=data.draw(st.sampled_from(((), made.pieces, (("part-baked", 0),), (("table", -1),)))),
        stay=stay,
        put_in=data.draw(st.sampled_from((None, made.put_in, -3))),
        lots=data.draw(some(made.lots)),
    )
    other = replace(
        of,
        bakes=(mangled,),
        take_outs=data.draw(some(of.take_outs)),
        finishes=data.draw(some(of.finishes)),
        discards=data.draw(some(of.discards)),
        servings=data.draw(some(of.servings)),
    )
    found = broken(problem(), other)
    assert found or mangled == made
