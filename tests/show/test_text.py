from __future__ import annotations

from dataclasses import replace

import pytest

from rotation.instructions import Instructions
from rotation.keeping import overdue
from rotation.plan import Bake, Discard, KeptWish, Plan, Serving, Stay, Step, Tier
from rotation.problem import Problem
from rotation.rules.checked import broken
from rotation.show import costs, freezer, text
from rotation.show.lines import lines_of
from rotation.telling import shown
from rotation.words import oven_at, pieces_of
from tests.show.sample import SUN, at, begun, plan, problem

GRAMS = {("bake-1", "feed"): "20 g starter + 100 g flour", ("bake-1", "mix"): "200 g starter, KEEP 20 g"}


def page(house: Problem | None = None, of: Plan | None = None) -> list[str]:
    return list(text.page(house or problem(), of or plan(), "Home", ["a remark"], GRAMS, "household x (from y)"))


def one(lines: list[str], beginning: str) -> str:
    (found,) = [line for line in lines if line.strip().startswith(beginning)]
    return found.strip()


def lines(house: Problem, of: Plan) -> list[str]:
    return [line.what for line in sorted(lines_of(house, shown(house, of), {}), key=lambda line: line.minute)]


def test_the_sample_keeps_every_rule() -> None:
    assert broken(problem(), plan()) == ()


def test_says_which_household_and_that_the_plan_is_checked() -> None:
    assert page()[:3] == [
        "Home: Friday 5 Mar to Sunday 7 Mar 2027",
        "household x (from y)",
        "checked: every rule holds. 3 days; a better plan could save at most 5.2 % of the cost.",
    ]


def test_each_shown_day_has_a_heading_its_bread_and_its_freezer() -> None:
    said = page()
    headings = [line for line in said if "bread today:" in line]
    assert headings == [
        "FRIDAY 5 MARCH              bread today: enough, some of it bought",
        "SATURDAY 6 MARCH            bread today: enough, some of it bought",
        "SUNDAY 7 MARCH              bread today: short by 6 of 24 portions",
    ]
    assert [line for line in said if line.startswith("Freezer tonight")] == [
        "Freezer tonight: 3 rolls, 1 sourdough, 30 slices of tin loaf (1 bag)",
        "Freezer tonight: 3 rolls, 30 slices of tin loaf (1 bag)",
        "Freezer tonight: 3 rolls, 2 sourdough, 26 slices of tin loaf (1 bag)",
    ]


@pytest.mark.parametrize(
    ("beginning", "whole"),
    [
        (
            "20:30 Jo   FEED",
            "20:30 Jo   FEED STARTER for 3 sourdough: 20 g starter + 100 g flour. Mix Sat 9:00. [fri-feed]",
        ),
        ("9:00 Jo   MIX", "9:00 Jo   MIX 3 sourdough (by 11:35): 200 g starter, KEEP 20 g. [sat-mix]"),
        ("10:00", "10:00, 10:30, 11:00 Jo   fold"),
        ("15:00", "15:00 Jo   SHAPE 3 sourdough (by 16:30). Then FRIDGE, cold proof. Bake Sun 8:30. [sat-shape]"),
        ("7:45 Jo", "7:45 Jo   OVEN ON 230 (fan 210), pot inside."),
        ("8:00 Sam", "8:00 Sam  IN: 9 rolls, bare rack, 10 min. [sat-finish]"),
        ("8:10 Sam", "8:10 Sam  OUT: 9 rolls, stand, EAT 8:25. Oven off."),
        (
            "12:00 Jo",
            "12:00 Jo   BAG 2 sourdough, part-baked, into the freezer (by 19:50). Hard by Mon 0:04. [sun-bag]",
        ),
        ("12:00      OUT", "12:00      OUT WITH 1 of bag C, past its date: crumbs, or the bin."),
        ("BUY", "BUY 1 loaf by 18:30. For Supper (19:00) and Lunch (Sat 12:30)."),
        ("9:00      Br", "9:00      Breakfast: 4 slices of tin loaf, bag A, straight from the freezer."),
        (
            "12:30      Lunch w",
            "12:30      Lunch with the neighbours (8): 14 slices of sourdough; SHORT BY 6. Contains wheat.",
        ),
    ],
)
def test_says_what_to_do_with_the_number_first_and_the_slack_last(beginning: str, whole: str) -> None:
    assert one(page(), beginning) == whole


def test_a_trip_names_bag_place_and_meal() -> None:
    trip = one(page(), "20:35")
    assert trip.startswith(
        "20:35 Jo   BREAD OUT: 9 rolls, bag B, freezer to worktop, bagged. For Breakfast with Grandma"
    )
    assert trip.endswith("(Sat 8:35).")


def test_loads_in_turns_share_a_line() -> None:
    said = " ".join(lines(problem(), plan()))
    assert "IN: 1 sourdough into the pot (by 14:30), 3 turns to 9:50." in said
    assert "8:55 lid off + in, 9:15 out, 9:20 lid off + in, 9:25 out, 9:45 lid off." in said


def test_the_heat_is_turned_down_with_the_lid_off() -> None:
    of = plan()
    stay = of.bakes[0].stay
    events = (replace(stay.events[0], name="lid off + set 210"), *stay.events[1:])
    said = " ".join(lines(problem(), replace(of, bakes=(replace(of.bakes[0], stay=replace(stay, events=events)),))))
    assert "8:55 lid off + set 210 (fan 190), 9:15 out" in said


def test_loads_that_go_in_together_are_one() -> None:
    house, of = problem(), plan()
    stay = of.bakes[0].stay
    together = replace(stay, loads=tuple(replace(load, start=stay.start) for load in stay.loads), vessel=False)
    said = lines(house, replace(of, bakes=(replace(of.bakes[0], stay=together),)))
    assert any(line.startswith("IN: 3 sourdough (by") and "turns" not in line for line in said)


def test_a_day_of_dough_says_what_to_do_when_late() -> None:
    said = page()
    late = [number for number, line in enumerate(said) if line.startswith("LATE?")]
    assert [said[number + 1].startswith("Bread box: Lunch 12:30, 6 slices of the bought loaf.") for number in late] == [
        True
    ]


def test_the_tail_is_not_printed() -> None:
    said = "\n".join(page())
    assert "MONDAY" not in said
    assert "Lunchboxes" not in said


def test_no_escape_of_a_calendar_reaches_the_screen() -> None:
    assert "\x1b" in problem().meals[1].summary
    assert not any(character < " " or character == "\x7f" for line in page() for character in line)


def test_a_shortfall_says_which_meal_how_many_and_what_stood_in_the_way() -> None:
    said = " ".join(" ".join(page()).split())
    assert "Lunch with the neighbours (guests) Sun 7 Mar 12:30 short by 6 of 20. In the way:" in said
    assert "guests get no bought bread" in said


def test_guests_are_told_what_is_in_their_bread_and_what_is_not() -> None:
    house = problem()
    meals = tuple(replace(meal, without=frozenset({"sesame"})) for meal in house.meals)
    said = [line for line in lines(replace(house, meals=meals), plan()) if line.startswith("Breakfast with Grandma")]
    assert said == [
        "Breakfast with Grandma (6): 9 rolls. Contains milk and wheat. Sesame: not in the recipe, same kitchen."
    ]


def test_meals_that_lack_for_the_same_reason_are_said_together() -> None:
    house = replace(problem(), box=(), lots=())
    none = replace(plan(), servings=(), bought=(), take_outs=(), finishes=(), bakes=(), discards=())
    said = " ".join(" ".join(page(house, none)).split())
    early = "Supper Fri 5 Mar 19:00 short by 6 of 6, Lunch Sat 6 Mar 12:30 short by 6 of 6"
    why = "no sourdough or rolls or tin loaf ready by then; a bought loaf (25 effort minutes) costs more than going"
    assert f"{early} and Breakfast Sun 7 Mar 9:00 short by 4 of 4. In the way: {why} without." in said


def test_an_allergen_is_named_as_what_stands_in_the_way() -> None:
    house = problem()
    (lunch,) = [meal for meal in house.meals if meal.id == "sun-lunch"]
    careful = replace(lunch, without=frozenset({"milk"}), accepts=lunch.accepts[:1])
    meals = tuple(careful if meal is lunch else meal for meal in house.meals)
    said = " ".join(" ".join(page(replace(house, meals=meals))).split())
    assert "rolls has milk; tin loaf has milk" in said


@pytest.mark.parametrize(
    ("kept", "said"),
    [
        (KeptWish("wish-1", True, 4_600), "Kept: no tin loaf on Saturday; it costs 5 effort minutes."),
        (KeptWish("wish-1", True), "Kept: no tin loaf on Saturday."),
        (
            KeptWish("wish-1", False, because="the oven is taken"),
            "Not possible: no tin loaf on Saturday: the oven is taken.",
        ),
    ],
)
def test_says_what_became_of_a_wish(kept: KeptWish, said: str) -> None:
    assert f"  {said}" in page(of=replace(plan(), wishes=(kept,)))


def test_steps_that_are_done_are_not_asked_for_again() -> None:
    said = lines(*begun())
    assert not any(line.startswith(("FEED", "MIX")) for line in said)
    assert any(line.startswith("SHAPE 3 sourdough") for line in said)


def test_a_late_step_says_so() -> None:
    house, of = begun()
    late = replace(of, bakes=(replace(of.bakes[0], late=("shape",)),))
    assert any(line.startswith("LATE, as soon as you can: SHAPE") for line in lines(house, late))
    assert any(line.strip().startswith("Late: shape of the sourdough is overdue.") for line in page(house, late))


DOUGH, FILLING = "Overdue dough: look and smell first; in doubt, bin it.", "bin it after two hours in the warm"


@pytest.mark.parametrize(("filled", "at_oven"), [(False, DOUGH), (True, FILLING)])
def test_a_late_step_says_what_to_mind(filled: bool, at_oven: str) -> None:
    """The two hours, once the filling is in: D17 of tests/outside/data; else common practice, no published source."""
    house, of = begun()
    (bake,) = of.bakes[:1]
    house = replace(house, breads=tuple(replace(one, filled=filled) for one in house.breads))
    late = replace(of, bakes=(replace(bake, late=("shape", "oven")),))
    due = [line for line in lines_of(house, shown(house, late), {}) if line.what.startswith("LATE")]
    assert [line.what.partition(": ")[2].partition(" ")[0] for line in due] == ["SHAPE", "IN:"]
    assert all(mind in line.caution for line, mind in zip(due, (DOUGH, at_oven), strict=True))
    written, (bake,) = Instructions(house, late, {}), late.bakes
    assert sum(DOUGH in line for line in written.bake(bake, [step for step in bake.steps if step.name == "shape"])) == 1
    assert sum(at_oven in line for line in written.baking(bake)) == 1
    noted = " ".join(" ".join(page(house, late)).split())
    assert noted.count(DOUGH) == (1 if filled else 2)
    assert noted.count(FILLING) == (1 if filled else 0)


def test_starter_that_is_overdue_is_no_dough() -> None:
    assert [overdue(step, True) for step in ("feed", "mix")] == ["", ""]
    assert (overdue("bag", False), FILLING in overdue("bag", True)) == ("", True)


def heated(heat: str) -> tuple[Bake, Stay]:
    """Return the sample's bake, and a stay that comes to it by this kind of heat."""
    bake = plan().bakes[0]
    stay = replace(plan().finishes[0].stay, id="second", heat=heat, heat_from=at(SUN, 9, 50), start=at(SUN, 9, 55))
    return bake, replace(stay, end=at(SUN, 10, 5), who_on=None)


@pytest.mark.parametrize(
    ("heat", "first_off", "says"),
    [
        ("after:stay-1", False, "LEAVE THE OVEN ON, 220 (fan 200): 9 rolls in at 9:55."),
        ("beside:roast", True, "beside what is in, 220 (fan 200)"),
        ("with:stay-1", False, ""),
    ],
)
def test_the_oven_goes_off_when_nothing_else_wants_it(heat: str, first_off: bool, says: str) -> None:
    of = plan()
    _, second = heated(heat)
    both = replace(of, finishes=(replace(of.finishes[0], stay=second),))
    said = lines(problem(), both)
    assert any(says in line for line in said)
    assert any(line.startswith("OUT. Oven off.") for line in said) is first_off


def test_the_freezer_over_time_counts_every_evening() -> None:
    table = freezer.table(problem(), plan())
    assert [line.split()[:5] for line in table[1:]] == [
        ["Fri", "5", "Mar", "26", "%"],
        ["Sat", "6", "Mar", "18", "%"],
        ["Sun", "7", "Mar", "31", "%"],
    ]


def test_the_cost_is_printed_by_term_with_its_sum() -> None:
    table = costs.table(plan())
    assert [line.split()[0] for line in table[1:]] == ["77.0", "20.0", "30.0", "25.0", "4.0", "-15.8", "140.3"]
    assert not any("nobody gets" in line for line in table)


def test_how_good_a_plan_is_stands_in_words_a_family_can_trust() -> None:
    strict, cost = Tier("strict portions short", 6, 6), Tier("cost", 1000, -70_000)
    assert text.verdict(problem(), replace(plan(), status="optimal")) == "3 days; no better plan is possible."
    assert text.verdict(problem(), replace(plan(), tiers=(strict, cost))).endswith("could save is not known.")
    open_ = replace(plan(), tiers=(replace(strict, bound=0), replace(cost, bound=900)))
    assert text.verdict(problem(), open_).endswith("guests' portions could be met is not proven.")


def test_bread_made_in_the_last_shown_days_says_whom_it_feeds_later() -> None:
    house = replace(problem(), shown_days=1)
    said = page(house)
    assert one(said, "20:35 Jo").endswith("For Breakfast with Grandma (Sat 8:35).")
    assert not any("SATURDAY" in line or "Breakfast with Grandma 8:35" in line for line in said)


@pytest.mark.parametrize(
    ("name", "one", "more"),
    [
        ("Country loaf", "1 Country loaf", "2 Country loaves"),
        ("breakfast rolls", "1 breakfast roll", "2 breakfast rolls"),
        ("sourdough", "1 sourdough", "2 sourdough"),
        ("Buns", "1 Bun", "2 Buns"),
    ],
)
def test_pieces_are_counted_as_people_do(name: str, one: str, more: str) -> None:
    bread = replace(problem().bread("sourdough"), name=name)
    assert (pieces_of(bread, 1), pieces_of(bread, 2)) == (one, more)


def test_a_finish_at_two_temperatures_says_when_to_set_the_other() -> None:
    house, of = problem(), plan()
    (finish,) = of.finishes
    at_oven = Step("set 240", finish.stay.start + 4, finish.stay.start + 5, "jo")
    of = replace(of, finishes=(replace(finish, stay=replace(finish.stay, turns=((4, 240),), events=(at_oven,))),))
    assert one(page(house, of), "8:04 Jo").endswith("SET THE OVEN TO 240 (fan 220) for the 9 rolls.")
    (out,) = [out for out in of.take_outs if out.id == finish.take_out]
    said = Instructions(house, of, {}).finish(out, of.finishes[0])
    assert "8:04 set 240 (fan 220) (Jo)." in said


def test_an_oven_is_set_as_its_fan_wants() -> None:
    (oven,) = problem().ovens
    said = [oven_at(220, replace(oven, fan_lower_degc=lower)) for lower in (20, 15, 0)]
    assert said == ["220 (fan 200)", "220 (fan 205)", "220"]


def test_good_bread_goes_only_to_make_room_any_time_that_day() -> None:
    room = replace(plan(), discards=(Discard("lot-tin", 2, at(SUN, 0) - 1),))
    assert "OUT WITH 2 of bag A, to make room: crumbs, or the bin." in page(of=room)


def test_bread_from_the_freezer_and_from_the_bread_box_at_one_meal_are_told_apart() -> None:
    servings = tuple(replace(s, portions=1) if s.source == "toast-1" else s for s in plan().servings)
    of = replace(plan(), servings=(*servings, Serving("sun-breakfast", "out-rolls", 2)))
    said = one(page(of=of), "9:00      Breakfast:")
    assert "slices of tin loaf, bag A, straight from the freezer and 1 roll from the bread box" in said


def test_an_oven_that_stays_on_is_said_before_what_goes_in_at_once() -> None:
    """It followed another stay without a gap: first it is left on, then the bread goes in."""
    house, before = problem(), plan()
    stay = replace(before.bakes[0].stay, heat="after:roast", heat_from=before.bakes[0].stay.start, who_on=None)
    of = replace(before, bakes=(replace(before.bakes[0], stay=stay),))
    said = [line for line in text.day_by_day(house, of, {}) if line.lstrip().startswith("8:30 ")]
    assert ["LEAVE THE OVEN ON" in said[0], "IN: 1 sourdough" in said[1]] == [True, True]
