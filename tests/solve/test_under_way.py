"""What is under way when the plan begins: doughs in time alone and not together, bread that came out long ago."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.errors import NothingPlanned
from rotation.late import minutes_later
from rotation.plan import Bake, Plan
from rotation.problem import FRESH, TABLE, Accept, Person, Problem, UnderWay
from rotation.replanning import solved
from rotation.rules.checked import broken
from rotation.solve import limits
from tests.homes import DAY
from tests.solve.test_plans import judged
from tests.solve.test_wishes import PROOF, small


def awake(person: Person) -> Person:
    """Return a person who is in and free from the first minute on, every day until ten at night."""
    days = tuple((DAY * day, DAY * day + 1320) for day in range(4))
    return replace(person, inside=days, free=days, quick=())


def shaped(id_: str, ago: int) -> UnderWay:
    """Return a loaf of the cold proof that was shaped so many minutes ago."""
    mix = -ago - 260
    done = (
        ("feed", mix - 600, mix - 595), ("mix", mix, mix + 15), ("fold 1", mix + 50, mix + 53),
        ("fold 2", mix + 85, mix + 88), ("shape", -ago - 12, -ago),
    )  # fmt: skip
    return UnderWay(id_, "wheat", "night", 1, done)


def house(*begun: UnderWay) -> Problem:
    """Return a home with one baker, one oven, no meals, and doughs under way."""
    made = small()
    baker = next(person for person in made.people if person.bakes)
    return replace(made, people=(awake(baker),), meals=(), lots=(), under_way=begun)


def longest() -> int:
    """Return the longest minutes from the shaping to the oven."""
    process = small().bread("wheat").process("night")
    return next(wait.on(0)[1] for wait in process.waits if (wait.first, wait.second) == ("shape", "oven"))


def going_on(plan: Plan) -> list[Bake]:
    """Return the bakes under way, the first in the oven first."""
    return sorted((bake for bake in plan.bakes if bake.under_way), key=lambda bake: bake.stay.start)


def test_one_dough_or_two_far_apart_are_in_time() -> None:
    hour_left = longest() - 60
    for begun in ((shaped("one", hour_left),), (shaped("one", hour_left), shaped("two", hour_left - 240))):
        assert minutes_later(house(*begun)) == 0
        assert all(bake.late == () for bake in going_on(judged(house(*begun), PROOF)))


def test_of_two_due_at_once_one_is_in_time_and_one_as_soon_as_the_oven_is_free() -> None:
    """Both within the hour: the oven heats, and there is time for one only."""
    hour_left = longest() - 60
    made = house(shaped("one", hour_left), shaped("two", hour_left))
    assert minutes_later(made) > 0
    first, second = going_on(judged(made, PROOF))
    assert (first.late, second.late) == ((), ("oven",))
    assert first.stay.end <= second.stay.start <= first.stay.end + 60
    alone = replace(made, under_way=made.under_way[:1])
    late = replace(Plan(bakes=(second,)), bakes=(replace(second, under_way="one", id="one"),))
    assert "waits" in {one.rule for one in broken(alone, late)}, "alone it is late for no reason"


@pytest.mark.parametrize("ago", [(1, 1), (35, 18)])
def test_two_overdue_by_hours_go_in_one_after_the_other(ago: tuple[int, int]) -> None:
    first, second = (longest() + 60 * hours for hours in ago)
    plan = judged(house(shaped("one", first), shaped("two", second)), PROOF)
    assert [bake.late for bake in going_on(plan)] == [("oven",), ("oven",)]
    assert going_on(plan)[1].stay.start <= 240


def test_dough_waits_for_what_is_in_the_oven() -> None:
    """A loaf went in a few minutes ago; the other was to follow within a quarter of an hour of heating."""
    begun = shaped("hot", longest() - 200)
    hot = replace(begun, done=(*begun.done, ("oven", -5, -2)))
    made = house(hot, shaped("next", longest() - 60))
    bakes = {bake.under_way: bake for bake in going_on(judged(made, PROOF))}
    assert bakes["hot"].stay.end <= bakes["next"].stay.start


def test_what_came_out_of_the_oven_too_long_ago_feeds_nobody() -> None:
    """The meal takes bread of ten hours; at its time this one is half an hour older."""
    made = small()
    bread = made.bread("wheat")
    begun = shaped("cold", 1000)
    cool = bread.process("night").treatment(TABLE).cool
    ready = -300 - 2 + 40 + cool
    meal = next(meal for meal in made.meals if any(accept.bread == "wheat" for accept in meal.accepts))
    meal = replace(meal, accepts=(Accept("wheat", frozenset({FRESH}), 600),), at=ready + 600 + 30)
    hot = replace(begun, done=(*begun.done, ("oven", -302, -299)), fixed=((TABLE, 1),))
    made = replace(house(hot), meals=(meal,))
    plan = judged(made, PROOF)
    assert [bake.under_way for bake in plan.bakes if bake.under_way] == ["cold"]
    assert not [serving for serving in plan.servings if serving.source == "cold"]


def test_dough_due_before_the_oven_can_be_hot_goes_in_when_it_is() -> None:
    """Due in five minutes: in a hot oven it would be in time, and nothing heats it."""
    (bake,) = going_on(judged(house(shaped("due", longest() - 5)), PROOF))
    assert (bake.late, bake.stay.heat) == (("oven",), "cold")
    assert bake.stay.start == small().ovens[0].heat_up_vessel


def test_where_nobody_can_go_on_the_message_names_the_bread_and_what_to_do() -> None:
    made = house(shaped("one", 60))
    nobody = replace(made, people=(replace(made.people[0], free=(), quick=()),))
    with pytest.raises(NothingPlanned, match=r"No plan fits: .*Under way: .*rotation done STEP.*rotation later STEP"):
        solved(nobody, limits("quick"))
