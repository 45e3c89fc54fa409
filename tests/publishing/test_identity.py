"""A thing keeps its id from plan to plan: matched by bread, process or form and meal, and by least shift."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from rotation.carried import Carried, from_text, to_text
from rotation.costs import scores
from rotation.identity import christened, kinds, matched, renamed, things, uid
from rotation.plan import Bake, Plan
from rotation.rules.checked import broken
from tests.show.sample import plan, problem

HOUR = 60


def carried(of: Plan | None = None) -> Carried:
    return Carried.of(problem(), of or plan(), "Home")


def moved(bake: Bake, minutes: int, id_: str = "new") -> Bake:
    """Return a bake as another plan has it: later, under an id of its own."""
    later = carried(Plan(bakes=(bake,))).since(problem().zero, 0)
    shifted = Carried.of(problem(), later, "Home").since(carried().instant(-minutes), 0).bakes[0]
    return replace(shifted, id=id_, stay=replace(shifted.stay, id=f"{id_}:oven"))


def test_a_plan_is_read_back_as_it_was() -> None:
    assert from_text(to_text(carried())) == carried()
    assert to_text(carried()) == to_text(from_text(to_text(carried())))


def test_everything_that_is_done_by_hand_or_heat_is_a_thing() -> None:
    kinds_of = kinds(carried())
    assert sorted(set(kinds_of.values())) == ["bake", "finish", "stay", "thaw"]
    toast = {out.id for out in plan().take_outs if out.who is None}
    assert toast
    assert not toast & set(kinds_of), "slices taken at a meal are none"


def test_new_ids_are_random_last_and_change_nothing_else() -> None:
    house = problem()
    one, other = christened(carried(), ()), christened(carried(), ())
    assert not set(kinds(one)) & set(kinds(other))
    assert christened(one, kinds(one)) == one
    assert broken(house, one.plan) == broken(house, plan()) == ()
    assert scores(house, one.plan) == scores(house, plan())
    assert all(len(uid(id_, "mix")) < 60 and "/" not in uid(id_, "fold 1") for id_ in kinds(one))


def test_a_thing_that_moved_a_little_is_the_same() -> None:
    before = christened(carried(), ())
    bake = plan().bakes[0]
    for minutes in (0, 35, -50, 26 * HOUR):
        new = carried(replace(Plan(), bakes=(moved(bake, minutes),)))
        found = matched(new, before, kinds(before))
        assert found["new"] == next(
            thing.id for thing in things(before) if thing.kind == "bake" and thing.bread == bake.bread
        )
        assert found["new:oven"] in kinds(before)
    assert matched(carried(Plan(bakes=(moved(bake, 90 * HOUR),))), before, kinds(before)) == {}


def test_another_process_is_the_same_bake_only_near_by() -> None:
    before = christened(carried(), ())
    bake = replace(moved(plan().bakes[0], 5 * HOUR), process="another")
    assert "new" in matched(carried(Plan(bakes=(bake,))), before, kinds(before))
    bake = replace(moved(plan().bakes[0], 13 * HOUR), process="another")
    assert matched(carried(Plan(bakes=(bake,))), before, kinds(before)) == {}


def test_a_thaw_goes_by_its_meals_before_its_hour() -> None:
    before = christened(carried(), ())
    of = plan()
    (out,) = (out for out in of.take_outs if out.who is not None)
    meals = tuple(serving for serving in of.servings if serving.source == out.id)
    near = replace(out, id="near", at=out.at + 5)
    far = replace(out, id="far", at=out.at + 20 * HOUR)
    servings = tuple(replace(serving, source="far") for serving in meals)
    found = matched(carried(Plan(take_outs=(near, far), servings=servings)), before, kinds(before))
    assert found == {"far": next(thing.id for thing in things(before) if thing.kind == "thaw")}
    other = replace(out, id="other", form="baked")
    assert matched(carried(Plan(take_outs=(other,))), before, kinds(before)) == {}


def test_what_was_given_up_or_deleted_is_not_matched() -> None:
    before = christened(carried(), ())
    assert matched(carried(), before, ()) == {}


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.lists(st.integers(-60, 60), min_size=1, max_size=4), st.lists(st.integers(-60, 60), min_size=1, max_size=4))
def test_no_two_things_become_one_and_the_nearest_pair_is_matched(old: list[int], new: list[int]) -> None:
    bake = plan().bakes[0]
    before = carried(Plan(bakes=tuple(moved(bake, 30 * at_, f"old{n}") for n, at_ in enumerate(old))))
    after = carried(Plan(bakes=tuple(moved(bake, 30 * at_, f"new{n}") for n, at_ in enumerate(new))))
    found = {k: v for k, v in matched(after, before, kinds(before)).items() if ":" not in k}
    assert len(set(found.values())) == len(found) == min(len(old), len(new))
    nearest = min((abs(a - b), b, a) for a in old for b in new)
    pairs = {abs(old[int(v[3:])] - new[int(k[3:])]) for k, v in found.items()}
    assert min(pairs) == nearest[0]


def test_renaming_speaks_of_lots_heat_and_sources_by_the_new_ids() -> None:
    of = carried()
    names = {id_: f"x-{id_}" for id_ in kinds(of)}
    new = renamed(of, names).plan
    bake = new.bakes[0]
    assert bake.id.startswith("x-")
    assert all(lot == f"{bake.id}:{form}" for form, lot in bake.lots)
    assert {finish.take_out for finish in new.finishes} <= {out.id for out in new.take_outs}
    assert renamed(carried(new), {new_: old for old, new_ in names.items()}).plan == of.plan


def test_minutes_are_those_of_the_clock_they_are_read_by() -> None:
    of = carried()
    later = of.since(of.instant(120), 0)
    assert [step.start + 120 for step in later.bakes[0].steps] == [step.start for step in plan().bakes[0].steps]
