"""Cures: in houses where the cure is known by hand; each is a plan that holds, and less does not do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.problem import TOAST, Accept, Form, Lot, Problem, Route, Shop, Wish
from rotation.reasons.answers import Bound, Cure, Uncured, Without
from rotation.reasons.catalogue import catalogue
from rotation.reasons.cures import Ward, cures
from rotation.reasons.wish_cures import wish_cures
from rotation.rules.checked import broken
from rotation.telling import short
from tests.homes import DAY, oven
from tests.outside.tiny_homes import MUCH, tiny_home
from tests.reasons.houses import EIGHT, SIX, baker, house, loaf, planned, supper
from tests.reasons.test_why import answer, sound

GUESTS = supper(strict=True, heads=4, summary="Guests")


def found(problem: Problem) -> list[Cure]:
    """Return the cures of the first meal, each planned and checked."""
    plan = planned(problem)
    parts = list(cures(problem, plan, problem.meals[0], None))
    some = [part for part in parts if isinstance(part, Cure)]
    for cure in some:
        holds(problem, cure)
    if not some:
        assert isinstance(parts[-1], Uncured | Without)
    return some


def holds(problem: Problem, cure: Cure) -> None:
    """The plan of a cure keeps every rule of the changed problem and feeds the meal; the difference adds up."""
    sound(cure.look, cure.difference)
    for meal in cure.look.problem.meals:
        if meal.id == problem.meals[0].id:
            assert short(cure.look.problem, cure.look.plan, meal) == 0
    assert broken(problem, cure.look.plan) != () or cure.look.problem.meals != problem.meals


def kinds(cure: Cure) -> list[str]:
    return [kind for kind, _ in cure.changes]


def test_a_few_minutes_of_hands_cure_what_only_hands_stand_against() -> None:
    """Jo mixes at eight and is busy from half past eight: what is missing are hands at the oven until supper."""
    problem = house(people=(baker(free=((EIGHT, EIGHT + 30),)),), meals=(GUESTS,))
    first = found(problem)[0]
    assert kinds(first) == ["hands"]
    assert first.minimal
    assert "Jo's hands" in first.changes[0][1]


def test_an_hour_of_the_oven_cures_what_only_its_hours_stand_against() -> None:
    """On until ten in the morning, closed until seven in the evening: bread takes 75 minutes of it after nine."""
    problem = house(
        people=(baker(free=((EIGHT, 690),)),), ovens=(oven(((0, EIGHT), (585, SIX + 60))),), meals=(GUESTS,)
    )
    every = found(problem)
    assert kinds(every[0]) == ["an oven hour"]
    assert every[0].minimal


def test_room_for_a_loaf_cures_what_has_to_be_thrown_away_as_the_freezer_shrinks() -> None:
    """Two sliced loaves fill the freezer; from Tuesday on it holds one, and on Thursday eight slices are wanted."""
    sliced, lot = Form("sliced", 4, 1, 1, 1, 100, MUCH, MUCH), Lot("a", "A", "loaf", "sliced", 8, -DAY, 0, MUCH, MUCH)
    bread = replace(loaf(), forms=(sliced,), routes=(Route("slices", "sliced", TOAST),))
    toast = (Accept("loaf", frozenset({TOAST}), DAY),)
    problem = house(
        midnights=tuple(DAY * day for day in range(5)), shown_days=4, people=(baker(free=(), inside=()),),
        breads=(bread,), lots=(lot,), meals=(replace(GUESTS, at=3 * DAY + SIX, portions=8, accepts=toast),),
        kitchen=replace(house().kitchen, freezer_dl=((0, 8), (DAY, 4))),
    )  # fmt: skip
    assert ["freezer room"] in [kinds(cure) for cure in found(problem)]


def test_a_guest_fewer_cures_what_is_short_by_their_share() -> None:
    """Two loaves at most, eight portions: twelve for four guests are four too many, three for each."""
    many = replace(GUESTS, portions=12)
    every = found(house(meals=(many,)))
    assert kinds(every[0]) == ["a guest fewer", "a guest fewer"]
    assert every[0].minimal


def test_a_bought_loaf_cures_guests_whose_bread_nobody_can_bake() -> None:
    shop = Shop((EIGHT,), 16, DAY, 25000, frozenset({"wheat"}))
    problem = house(people=(baker(free=(), inside=()),), meals=(GUESTS,), shop=shop)
    assert next(kinds(cure) for cure in found(problem)) == ["a loaf bought"]


def test_no_loaf_is_bought_for_those_it_may_harm() -> None:
    shop = Shop((EIGHT,), 16, DAY, 25000, frozenset({"?"}))
    meal = replace(GUESTS, without=frozenset({"sesame"}), heads=1)
    problem = house(people=(baker(free=(), inside=()),), meals=(meal,), shop=shop)
    assert all("a loaf bought" not in kinds(cure) for cure in found(problem))


def test_an_everyday_meal_is_cured_only_where_going_short_costs_no_less() -> None:
    """Four portions not baked cost 2 each, baking 18: fed it would cost 10 more; no change makes baking cheap."""
    problem = house(weights=replace(house().weights, unmet_portion=2000))
    plan = planned(problem)
    assert short(problem, plan, problem.meals[0]) == 4
    parts = list(cures(problem, plan, problem.meals[0], None))
    asked = parts[0]
    assert isinstance(asked, Without)
    assert asked.difference is not None
    assert (asked.difference.cost, asked.proven) == (15000 + 3000 - 8000, True)
    assert all(part.difference.cost <= 0 for part in parts if isinstance(part, Cure))


@pytest.mark.parametrize("seed", [2, 5, 11, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(40, 70))])
def test_whatever_is_proposed_in_any_home_cures_it(seed: int) -> None:
    problem = replace(tiny_home(seed), published=None)
    plan = planned(problem, proven=False)
    lacking = [meal for meal in problem.meals if short(problem, plan, meal) > 0]
    for meal in lacking[:1]:
        first = replace(problem, meals=(meal, *(one for one in problem.meals if one.id != meal.id)))
        for part in cures(problem, plan, meal, None):
            if isinstance(part, Cure):
                holds(first, part)


def test_without_any_part_of_a_cure_it_is_none() -> None:
    """Two guests fewer: one fewer leaves nine portions for eight."""
    problem = house(meals=(replace(GUESTS, portions=12),))
    ward = Ward(problem, planned(problem), problem.meals[0])
    changes = {change.words: change for change in catalogue(problem, problem.meals[0])}
    one, two = changes["one guest fewer"], changes["a second guest fewer"]
    assert ward.curing((one, two)) is not None
    assert ward.curing((one,)) is None
    assert [ward.uncured(some) for some in ((), (one,), (one, two))] == [True, True, False]


def test_a_wish_nobody_has_hands_for_is_cured_by_hands_or_by_another_wish_taken_back() -> None:
    """The loaf goes in at three; Jo is free until half past eleven, and would have to mix after half past twelve."""
    late = Wish("late", "fixed", "loaf", 900, 900, "oven", "oven at three")
    problem = house(wishes=(late,))
    plan = planned(problem)
    assert [one.kept for one in plan.wishes] == [False]
    parts = list(wish_cures(problem, plan, late))
    whole = answer(problem, plan, "wish 1")
    assert whole[: len(parts)] == parts
    bounds = [part for part in whole if isinstance(part, Bound)]
    assert [(bound.rule, bound.difference.wishes) for bound in bounds] == [("hands", -1)]
    some = [part for part in parts if isinstance(part, Cure)]
    assert kinds(some[0]) == ["hands"]
    assert some[0].minimal
    for cure in some:
        sound(cure.look, cure.difference)
        assert all(one.kept for one in cure.look.plan.wishes)
        assert cure.difference.wishes == -1
    assert "Jo's hands" in some[0].changes[0][1]
