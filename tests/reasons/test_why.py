"""Why: in houses where it is known by hand what feeds, what binds, what else would cost."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

import pytest

from rotation.costs import scores
from rotation.errors import BadInput
from rotation.plan import Plan
from rotation.problem import Problem, Wish
from rotation.reasons.answers import Bound, Feeds, Part, Slack, Unbound, Without
from rotation.reasons.compare import Difference, Look, Shorter
from rotation.reasons.explain import Explain
from rotation.reasons.items import find
from rotation.rules.checked import broken
from rotation.show.why import besides, of_difference
from tests.reasons.houses import EIGHT, HANDS, SIX, TEN, baker, house, oven, planned, supper

P = TypeVar("P")


def answer(problem: Problem, plan: Plan, said: str, not_on: str | None = None) -> list[Part]:
    parts = list(Explain(problem, plan, None).parts(find(problem, plan, said, not_on)))
    for part in parts:
        if isinstance(part, Without | Bound) and part.look is not None:
            assert part.difference is not None
            sound(part.look, part.difference)
    return parts


def sound(look: Look, difference: Difference) -> None:
    """The plan that is spoken of holds, its cost is that of its terms, and the difference adds up."""
    assert broken(look.problem, look.plan) == ()
    assert scores(look.problem, look.plan) == look.plan.terms
    assert sum(milli for _, milli in difference.terms) == difference.cost


def of(kind: type[P], parts: list[Part]) -> list[P]:
    return [part for part in parts if isinstance(part, kind)]


def test_a_bake_feeds_what_eats_of_it_and_costs_what_going_short_costs() -> None:
    problem = house()
    plan = planned(problem)
    parts = answer(problem, plan, "mon-mix")
    (feeds,) = of(Feeds, parts)
    assert [(meal.id, portions) for meal, portions in feeds.meals] == [("supper", 4)]
    assert feeds.left == 0
    last = of(Without, parts)[-1]
    assert last.proven
    assert last.difference is not None
    assert last.difference.cost == 4 * 50000 - HANDS * 1000 - 3000
    assert [(one.meal.id, one.before, one.after) for one in last.difference.short] == [("supper", 0, 4)]
    assert last.difference.changes == ("no 1 Loaf Mon 1 Mar " + clock(plan),)


def clock(plan: Plan) -> str:
    mix = plan.bakes[0].step("mix")
    assert mix is not None
    return f"{mix.start // 60}:{mix.start % 60:02}"


@pytest.mark.parametrize(("shorts", "said"), [
    ([(0, 1), (3, 2)], ["Short then: Supper Mon 1 Mar 18:00 by 1.", "Supper Mon 1 Mar 19:00: short by 2, now by 3."]),
    ([(2, 0), (1, 2)], ["No longer short: Supper Mon 1 Mar 18:00 by 2.",
                        "Supper Mon 1 Mar 19:00: short by 2, now by 1."]),
    ([(2, 0), (0, 1)], ["Short instead: Supper Mon 1 Mar 19:00 by 1; no longer Supper Mon 1 Mar 18:00 by 2."]),
    ([(3, 2), (2, 1)], ["Supper Mon 1 Mar 18:00: short by 2, now by 3.",
                        "Supper Mon 1 Mar 19:00: short by 1, now by 2."]),
])  # fmt: skip
def test_a_meal_is_no_longer_short_only_where_it_has_enough(shorts: list[tuple[int, int]], said: list[str]) -> None:
    shorter = tuple(
        Shorter(supper(id=f"supper-{number}", at=SIX + 60 * number), before, after)
        for number, (before, after) in enumerate(shorts)
    )
    assert list(of_difference(house(), Difference(0, (), shorter, ()))) == said


def test_of_several_short_meals_the_worst_is_explained_and_the_others_are_named() -> None:
    """Nobody bakes, so all are short: guests come before the greater lack, it before the sooner."""
    meals = (supper(id="a", summary="Lunch", at=TEN), supper(id="b", portions=6))
    guests = supper(id="c", summary="Friends", at=SIX + 60, portions=1, strict=True)
    for some, worst, others in (
        (meals, "supper mon", ("lunch mon",)),
        ((*meals, guests), "friends mon", ("lunch mon", "supper mon")),
    ):
        problem = house(meals=some, people=())
        item = find(problem, Plan(), "short")
        assert (item.kind, item.name, item.besides) == ("meal", worst, others)
        about = Explain(problem, Plan(), None).about(item)
        assert list(besides(about)) == ["  Short as well: " + " and ".join(f'"{name}"' for name in others) + "."]


def test_hands_bind_where_free_hours_are_dear_and_nothing_else_does() -> None:
    """From eight to half past eleven a minute costs 2, at any other hour 1: dropping the rule saves a half."""
    problem = house(people=(baker(price=((0, 1000), (EIGHT, 2000), (690, 1000))),))
    parts = answer(problem, planned(problem), "mon-mix")
    assert [(bound.rule, bound.saving, bound.proven) for bound in of(Bound, parts)] == [("hands", HANDS * 1000, True)]
    (unbound,) = of(Unbound, parts)
    assert "closed" not in unbound.unknown
    assert "places" in unbound.proven


def test_the_oven_s_hours_bind_where_bread_is_better_younger() -> None:
    """Bread of the morning is two quarters of a day old at six; with the oven on after noon it would be none."""
    free = baker(free=((EIGHT, SIX),))
    closed = replace(oven(((TEN + 120, SIX),)))
    problem = house(people=(free,), ovens=(closed,), meals=(supper(age_milli=1000),))
    parts = answer(problem, planned(problem), "mon-mix")
    assert [(bound.rule, bound.saving) for bound in of(Bound, parts)] == [("closed", 4 * 1000)]


def test_a_step_alone_can_move_as_far_as_the_dough_and_the_hands_let_it() -> None:
    """Mixed 60 minutes before the oven at the latest, 120 at the soonest, and not before eight."""
    problem = house()
    plan = planned(problem)
    mix, into = plan.bakes[0].step("mix"), plan.bakes[0].stay.start
    assert mix is not None
    (slack,) = of(Slack, answer(problem, plan, "mon-mix"))
    assert (slack.first, slack.last) == (max(EIGHT, into - 130), into - 70)
    assert slack.after == ("waits",)
    assert slack.before == (("hands",) if slack.first == EIGHT else ("waits",))


def test_why_not_on_a_day_names_the_rule_without_which_it_could_be() -> None:
    """On Tuesday nobody is in the kitchen."""
    problem = house(midnights=(0, 1440, 2880), shown_days=2)
    plan = planned(problem)
    parts = answer(problem, plan, "", "tuesday")
    assert [part.look for part in of(Without, parts)] == [None]
    assert [bound.rule for bound in of(Bound, parts)] == []  # hands alone do not do it: nobody is in either
    inside = house(midnights=(0, 1440, 2880), shown_days=2, people=(baker(inside=((0, 2880),)),))
    rules = [bound.rule for bound in of(Bound, answer(inside, planned(inside), "not tuesday"))]
    assert rules == ["hands"]


def test_a_day_something_is_mixed_on_needs_no_reason() -> None:
    problem = house()
    assert answer(problem, planned(problem), "not monday") == []


def test_a_wish_kept_costs_what_the_plan_without_it_saves() -> None:
    dear = baker(price=((0, 1000), (TEN, 3000)))
    wish = Wish("late", "fixed", "loaf", TEN, TEN, "oven", "oven at ten")
    problem = house(people=(dear,), wishes=(wish,))
    plan = planned(problem)
    last = of(Without, answer(problem, plan, "wish 1"))[-1]
    assert last.difference is not None
    assert last.proven
    assert last.difference.cost == -2 * 2000  # the two minutes of loading come before ten; the loaf comes out after it


@pytest.mark.parametrize(
    ("said", "near"),
    [
        ("mon-mux", '"mon-mix"'),
        ("super", '"supper mon"'),
        ("xyz", '"not tuesday"'),
        ("not someday", "tue 16"),
        ("", "nothing was asked"),
        ("short", "no meal is short"),
        ("wish 1", "There are no wishes"),
        ("buy-tue", "buys nothing"),
        ("thursday mix", '"not tuesday"'),
    ],
)
def test_what_is_not_in_the_plan_is_refused_with_what_is_near(said: str, near: str) -> None:
    problem = house()
    with pytest.raises(BadInput) as refused:
        find(problem, planned(problem), said)
    assert near in str(refused.value)


@pytest.mark.parametrize("said", ["supper", "supper mon", "monday supper", "why supper?", "sup 1 mar"])
def test_a_meal_is_found_by_its_words_and_its_day(said: str) -> None:
    problem = house()
    item = find(problem, planned(problem), said)
    assert (item.kind, item.thing) == ("meal", "supper")


def test_a_step_is_found_by_its_words_in_any_order() -> None:
    problem = house()
    plan = planned(problem)
    assert find(problem, plan, "mix monday") == find(problem, plan, "mon-mix")
    assert find(problem, plan, "monday") == find(problem, plan, "mon-mix")  # the first step of the one bake there is
