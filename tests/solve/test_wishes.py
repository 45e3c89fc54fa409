"""What the family moved, forbade or began: the planner keeps to it, or says why not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.plan import Plan
from rotation.problem import TABLE, Problem, UnderWay, Wish, union
from rotation.solve import Limits
from tests.homes import DAY
from tests.solve.homes import at_home, home
from tests.solve.test_plans import judged

PROOF = Limits(days=10, minutes=5, rounds=8)
TUESDAY = DAY + 840


def small(*wishes: Wish, **changes: object) -> Problem:
    """Return three days of one bread, no stock."""
    made = at_home(home(3, 1, tail=1, lots=0, guests=False, seed=4))
    return replace(made, wishes=wishes, **changes)  # type: ignore[arg-type] # fields of Problem, by name


def mixes(plan: Plan) -> list[int]:
    return [step.start for bake in plan.bakes for step in bake.steps if step.name == "mix"]


def test_a_step_the_family_moved_stays_where_they_put_it() -> None:
    wish = Wish("moved", "fixed", "wheat", TUESDAY, TUESDAY + 1, step="mix")
    assert TUESDAY not in mixes(judged(small(), PROOF))
    plan = judged(small(wish), PROOF)
    assert TUESDAY in mixes(plan)
    assert [(answer.wish, answer.kept) for answer in plan.wishes] == [("moved", True)]


def test_of_two_wishes_that_clash_one_is_dropped_with_a_reason() -> None:
    """Of one bread one bake is mixed by day: both mixes on one day, minutes apart, cannot be."""
    one = Wish("one", "fixed", "wheat", TUESDAY, TUESDAY + 1, step="mix")
    other = Wish("other", "fixed", "wheat", TUESDAY + 5, TUESDAY + 6, step="mix")
    day_only = tuple(replace(bread, processes=bread.processes[:1]) for bread in small().breads)
    made = small(one, other, breads=day_only)
    plan = judged(made, PROOF)
    assert sorted(answer.kept for answer in plan.wishes) == [False, True]
    dropped = next(answer for answer in plan.wishes if not answer.kept)
    assert dropped.because
    assert plan.tiers[0].value == plan.tiers[0].bound == 1


def test_a_wish_that_cannot_be_is_dropped_and_the_rest_planned() -> None:
    """A loaf in the oven in the first minutes would have been fed yesterday."""
    wish = Wish("hopeless", "fixed", "wheat", 5, 6, step="oven")
    plan, without = judged(small(wish), PROOF), judged(small(), PROOF)
    assert [(answer.kept, bool(answer.because)) for answer in plan.wishes] == [(False, True)]
    assert plan.total == without.total


def test_a_bake_moved_to_where_none_is_wanted_is_dropped() -> None:
    none = Wish("none", "no bake", "wheat", TUESDAY - 60, TUESDAY + 60)
    plan = judged(small(none, Wish("moved", "fixed", "wheat", TUESDAY, TUESDAY + 1, step="mix")), Limits())
    assert [(answer.wish, answer.kept) for answer in plan.wishes] == [("none", True), ("moved", False)]


def test_no_bake_where_the_family_wants_none() -> None:
    free = judged(small(), PROOF)
    assert free.bakes
    at = min(mixes(free))
    day = at // DAY
    wish = Wish("none", "no bake", "wheat", DAY * day, DAY * (day + 1))
    plan = judged(small(wish), PROOF)
    assert not [start for start in mixes(plan) if DAY * day <= start < DAY * (day + 1)]
    assert [answer.kept for answer in plan.wishes] == [True]
    assert plan.total >= free.total


def test_no_finish_where_the_family_wants_none() -> None:
    """Whatever was finished before, or is ready before the hours it is not wanted in, feeds no meal within them."""
    made = small(shop=replace(small().shop, closes=()))
    stock = home(3, 1, tail=1, lots=3, guests=False, seed=4).lots
    made = replace(made, lots=stock)
    plan = judged(made, PROOF)
    meals = {meal.id: meal.at for meal in made.meals}
    browned = {finish.take_out for finish in plan.finishes}
    fed = sorted(meals[serving.meal] for serving in plan.servings if serving.source in browned)
    assert fed
    wish = Wish("none", "no finish", "wheat", fed[0], made.end)
    kept = judged(replace(made, wishes=(wish,)), PROOF)
    assert kept.total >= plan.total


def frozen(*wishes: Wish) -> Problem:
    """Return two days with three loaves part-baked in the freezer, and no shop."""
    made = at_home(home(2, 1, tail=0, lots=3, guests=False, seed=4))
    return replace(made, wishes=wishes, shop=replace(made.shop, closes=()))


def test_bread_leaves_the_freezer_and_goes_into_the_oven_when_the_family_moved_it_to() -> None:
    free = judged(frozen(), Limits())
    out = next(out for out in free.take_outs if out.who is not None)
    start = next(finish.stay.start for finish in free.finishes if finish.take_out == out.id)
    thaw = Wish("thaw", "fixed thaw", "wheat", out.at - 35, out.at - 34)
    finish = Wish("finish", "fixed finish", "wheat", start - 25, start - 24)
    hopeless = Wish("hopeless", "fixed finish", "wheat", 5, 6)
    plan = judged(frozen(thaw, finish, hopeless), Limits())
    kept = [(answer.wish, answer.kept, bool(answer.because)) for answer in plan.wishes]
    assert kept == [("thaw", True, False), ("finish", True, False), ("hopeless", False, True)]
    assert out.at - 35 in [out.at for out in plan.take_outs]
    assert start - 25 in [finish.stay.start for finish in plan.finishes]


@pytest.mark.parametrize("since", ["feed", "shape"])
def test_a_bake_that_has_begun_is_gone_on_with(since: str) -> None:
    """Fed an hour ago, or shaped and in the fridge since yesterday afternoon."""
    fed = (("feed", -60, -55),)
    shaped = (
        ("feed", -1400, -1395), ("mix", -800, -785), ("fold 1", -750, -747), ("fold 2", -715, -712),
        ("shape", -540, -526),
    )  # fmt: skip
    done = fed if since == "feed" else shaped
    begun = UnderWay("begun", "wheat", "night", 2, done)
    plan = judged(small(under_way=(begun,)), PROOF)
    bake = next(bake for bake in plan.bakes if bake.under_way == "begun")
    assert (bake.total, bake.process, bake.late) == (2, "night", ())
    assert tuple((step.name, step.start, step.end) for step in bake.steps if step.who is None) == done


def test_a_step_nobody_could_do_in_time_is_named_late_and_done_as_soon_as_can_be() -> None:
    """Mixed yesterday at noon: the first fold is a day late; somebody is free from half past seven on."""
    made = small()
    begun = UnderWay("begun", "wheat", "night", 1, (("feed", -1500, -1495), ("mix", -700, -685)))
    plan = judged(replace(made, under_way=(begun,)), PROOF)
    bake = next(bake for bake in plan.bakes if bake.under_way == "begun")
    assert "fold 1" in bake.late
    fold = bake.step("fold 1")
    assert fold is not None
    free = sorted(-(-start // 5) * 5 for person in made.people for start, end in person.free if end - start >= 8)
    assert fold.start == free[0]


@pytest.mark.parametrize(("out", "late"), [(-120, ()), (-600, ("bag",)), (-2000, ("bag",))])
def test_what_came_out_of_the_oven_is_bagged_when_it_is_cold_or_as_soon_as_can_be(
    out: int, late: tuple[str, ...]
) -> None:
    """Two hours to cool, ten until it is dry; somebody is free from half past seven on."""
    made = small()
    bread = made.bread("wheat")
    frozen = tuple(replace(t, bag_by=600) for t in bread.process("night").treatments if t.id != TABLE)
    bread = replace(bread, processes=(replace(bread.process("night"), treatments=frozen),))
    into = out - 25
    done = (
        ("feed", into - 1500, into - 1495), ("mix", into - 1000, into - 985), ("fold 1", into - 950, into - 947),
        ("fold 2", into - 915, into - 912), ("shape", into - 760, into - 748), ("oven", into, into + 3),
    )  # fmt: skip
    problem = replace(
        made, breads=(bread,), meals=(), lots=(), under_way=(UnderWay("cooling", "wheat", "night", 1, done),)
    )
    plan = judged(problem, PROOF)
    (bake,) = (bake for bake in plan.bakes if bake.under_way)
    bag = bake.step("bag")
    assert bag is not None
    assert bake.late == late
    free = min(-(-start // 5) * 5 for person in made.people for start, end in person.free if end - start >= 4)
    assert bag.start == free if late else 0 <= bag.start - out <= 600


def test_a_bake_already_in_the_oven_only_leaves_its_bag_to_do() -> None:
    made = small()
    done = (
        ("feed", -1500, -1495), ("mix", -1000, -985), ("fold 1", -950, -947), ("fold 2", -915, -912),
        ("shape", -760, -748), ("oven", -25, -22),
    )  # fmt: skip
    up = tuple(
        replace(p, free=union(((0, 60), *p.free)), inside=union(((0, 120), *p.inside))) for p in made.people
    )  # somebody is up to take it out
    problem = replace(made, people=up, under_way=(UnderWay("hot", "wheat", "night", 1, done),))
    plan = judged(problem, PROOF)
    assert [bake.under_way for bake in plan.bakes if bake.under_way] == ["hot"]
