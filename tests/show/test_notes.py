from __future__ import annotations

from dataclasses import replace

from rotation.plan import Plan
from rotation.show.notes import notes, shortfalls
from rotation.telling import latest, shown
from tests.show.sample import FRI, MON, SAT, at, plan, problem


def test_old_bags_that_stay_are_named() -> None:
    said = notes(problem(), replace(plan(), discards=()))
    assert "Bag C (sourdough) is past its best since 13 Feb: for toast or crumbs." in said
    house = problem()
    soon = tuple(replace(lot, toast_after=at(SAT, 0)) if lot.letter == "B" else lot for lot in house.lots)
    assert "Bag B (rolls) is past its best after 5 Mar: for toast or crumbs." in notes(
        replace(house, lots=soon), plan()
    )
    due = tuple(replace(lot, eat_first=-10) if lot.letter == "B" else lot for lot in house.lots)
    assert "Bag B (rolls) is to be eaten first." in notes(replace(house, lots=due), plan())


def test_why_more_is_bought_than_baked_is_said_with_what_would_change_it() -> None:
    house = problem()
    baked = sum(pieces * house.bread(bake.bread).portions for bake in plan().bakes for _, pieces in bake.pieces)
    enough = baked // house.shop.portions + 1
    assert enough >= 3
    for loaves, some in ((enough, True), (enough - 1, False)):
        said = notes(house, replace(plan(), bought=(replace(plan().bought[0], loaves=loaves),)))
        assert any(one.startswith(f"{loaves} loaves to buy, more than is baked") for one in said) == some
        assert any("price_minutes" in one and "25 minutes" in one for one in said) == some
    two = replace(Plan(), bought=(replace(plan().bought[0], loaves=2),))
    assert not any("to buy" in one for one in notes(house, two)), "one or two loaves are no news"


def test_bread_that_goes_stale_is_named_with_its_day() -> None:
    assert notes(problem(), plan()) == ["2 portions of sourdough will be left on Saturday: toast or crumbs."]


def test_why_bought_bread_does_not_help() -> None:
    house, nothing = problem(), Plan()

    def reason(**changes: object) -> str:
        meal = replace(house.meals[0], **changes)  # type: ignore[arg-type]  # any field, by name
        (lack,) = shortfalls(replace(house, meals=(meal,), box=()), nothing)
        return lack.because[-1]

    assert reason() == "a bought loaf (25 effort minutes) costs more than going without"
    assert reason(strict=True) == "guests get no bought bread"
    assert reason(bought=False) == "bought bread will not do"
    assert reason(at=at(FRI, 18)) == "no shop is open in time"
    assert reason(without=frozenset({"milk"})) == "bought bread may have milk"


def test_a_meal_of_the_tail_is_nobodys_shortfall() -> None:
    assert all(lack.meal.at < at(MON, 0) for lack in shortfalls(problem(), Plan()))


def test_a_stay_that_another_one_shares_is_shown_with_it() -> None:
    """A bake of the tail whose oven a finish of the shown days uses is shown, so that nothing refers to what is not."""
    house, of = problem(), plan()
    (bake,), (finish,) = of.bakes, of.finishes
    late = 3 * 1440
    steps = tuple(replace(step, start=step.start + late, end=step.end + late) for step in bake.steps)
    stay = replace(bake.stay, start=bake.stay.start + late, heat_from=bake.stay.heat_from + late)
    tail = replace(bake, id="tail", steps=steps, stay=stay, day=bake.day + 3)
    assert shown(house, replace(of, bakes=(tail,))).bakes == ()
    sharing = replace(finish, stay=replace(finish.stay, heat=f"with:{stay.id}"))
    assert shown(house, replace(of, bakes=(tail,), finishes=(sharing,))).bakes == (tail,)


def test_the_last_load_must_be_in_before_the_dough_is_over() -> None:
    (bake,) = plan().bakes
    assert latest(problem(), bake, "shape") == at(SAT, 16, 30)
    assert latest(problem(), bake, "oven") == at(SAT, 15, 20) + 1440 - 50
    assert latest(problem(), bake, "feed") is None
