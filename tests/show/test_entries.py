from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import timedelta

from calendars.writing import Entry
from rotation.entries import Each, Explained, entries, of_oven, of_person
from rotation.plan import Feeding, Plan
from rotation.problem import Problem
from tests.show.sample import SAT, ZONE, at, begun, plan, problem


def told(house: Problem | None = None, of: Plan | None = None, each: Each = "part") -> tuple[Explained, ...]:
    return entries(house or problem(), of or plan(), each=each)[0]


def made(house: Problem | None = None, of: Plan | None = None, each: Each = "part") -> tuple[Entry, ...]:
    return tuple(one.entry for one in told(house, of, each))


def called(beginning: str, among: tuple[Entry, ...] | None = None) -> Entry:
    (found,) = [entry for entry in among or made() if entry.summary.startswith(beginning)]
    return found


def test_one_for_each_bake_thaw_and_finish() -> None:
    assert [entry.summary for entry in made(each="bake")] == [
        "Bread: 3 sourdough (Jo)",
        "Bread out: 9 rolls",
        "Oven 220 (fan 200): 9 rolls",
    ]


def test_in_parts_one_for_the_feed_the_dough_and_each_stay_in_the_oven() -> None:
    assert [entry.summary for entry in made()] == [
        "Feed starter: 3 sourdough",
        "Bread out: 9 rolls",
        "Oven 220 (fan 200): 9 rolls",
        "Bread: 3 sourdough (Jo)",
        "Oven 230 (fan 210): 3 sourdough",
    ]


def test_in_steps_one_for_each_step() -> None:
    assert [entry.summary for entry in made(each="step") if "sourdough" in entry.summary] == [
        "Feed starter: 3 sourdough",
        "Mix: 3 sourdough",
        "Fold 1: 3 sourdough",
        "Fold 2: 3 sourdough",
        "Fold 3: 3 sourdough",
        "Shape: 3 sourdough",
        "Oven 230 (fan 210): 3 sourdough",
        "Bag: 3 sourdough",
    ]


def test_a_whole_bake_runs_from_the_feed_until_all_is_out_and_rings_on_each_of_its_days() -> None:
    whole = called("Bread:", made(each="bake"))
    assert (whole.start.isoformat(), whole.end.isoformat()) == (
        "2027-03-05T20:30:00+01:00",
        "2027-03-07T09:50:00+01:00",
    )
    rings = [(whole.start - before).isoformat()[:16] for before in whole.alarms]
    assert rings == ["2027-03-05T20:30", "2027-03-06T08:45", "2027-03-07T07:35"]
    for part in (
        "Feed 20:30",
        "Mix Sat 9:00, by 11:35 at the latest.",
        "Shape Sat 15:00",
        "Sun 7:45 oven on",
        "1 for the table from Sun 10:50",
        "Careful: hot iron and steam.",
        "Running late?",
    ):
        assert part in whole.description


def test_more_than_ten_a_week_join_each_finish_to_its_thaw() -> None:
    apart, none, _ = entries(problem(), plan(), a_week=3)
    joined, one, _ = entries(problem(), plan(), a_week=2)
    assert (len(apart), none, len(joined), one) == (3, 0, 2, 1)
    both = called("Bread out, then oven: 9 rolls", tuple(each.entry for each in joined))
    assert (both.start, both.end) == (called("Bread out").start, called("Oven 220").end)
    assert "Freezer to worktop" in both.description
    assert "out (Sam)" in both.description


def test_a_feed_of_the_starter_has_an_entry_where_there_is_room_for_one() -> None:
    of = replace(plan(), feedings=(Feeding("starter-1", at(1, 8), at(1, 8, 5), "sam", at(1, 20)),))
    grams = {("starter-1", "feed"): "5 g starter + 25 flour + 25 water, 29 of it for the next feed"}
    told, joined, unwritten = entries(problem(), of, grams, a_week=4)
    assert (len(told), joined, unwritten) == (4, 0, 0)
    feed = called("Feed starter", tuple(one.entry for one in told))
    assert feed.description.startswith("FEED STARTER, the first of two: 5 g starter + 25 flour + 25 water, 29 of it")
    assert "Feed again 20:00." in feed.description
    assert feed.alarms == (timedelta(0),)
    told, joined, unwritten = entries(problem(), of, grams, a_week=2)
    assert (len(told), joined, unwritten) == (2, 1, 1), "the plan alone has it"
    assert "Feed starter" in {one.entry.summary for one in of_person(problem(), of, grams, "sam", days=5)}


def test_steps_of_one_persons_hands_and_reservations_of_the_oven() -> None:
    house, of = problem(), plan()
    people = {step.who for bake in of.bakes for step in bake.steps}
    jo = of_person(house, of, {}, "jo", days=5)
    assert {"Mix: 3 sourdough", "Bread out: 9 rolls", "Bag: 3 sourdough"} <= {one.entry.summary for one in jo}
    assert all(one.entry.uid.endswith("-jo") for one in jo)
    assert people == {"jo"}
    assert [one.entry.summary for one in of_person(house, of, {}, "sam", days=5)] == ["Oven 220 (fan 200): 9 rolls"]
    assert of_person(house, of, {}, "grandma", days=5) == ()
    kept = of_oven(house, of, "oven", days=5)
    assert [one.entry.location for one in kept] == ["oven"] * 2
    assert not any(one.entry.alarms for one in kept)
    assert of_oven(house, of, "another", days=5) == ()


def test_only_the_first_days_are_written() -> None:
    assert [one.entry.summary for one in entries(problem(), plan(), days=1)[0]] == [
        "Bread: 3 sourdough (Jo)",
        "Bread out: 9 rolls",
        "Oven 220 (fan 200): 9 rolls",
    ]


def test_what_an_entry_means_goes_with_it() -> None:
    bake, thaw, finish = (one.meant for one in told(each="bake"))
    assert (bake.kind, bake.bread, bake.step, bake.at, bake.whole) == ("bake", "sourdough", "feed", bake.start, True)
    assert bake.mix is not None
    assert bake.mix.isoformat() == "2027-03-06T09:00:00+01:00"
    assert (thaw.kind, thaw.at, thaw.gives) == ("thaw", thaw.start, "finished")
    assert (finish.kind, finish.at - finish.start) == ("finish", timedelta(minutes=15)), "what moves is the going in"
    assert thaw.feeds == finish.feeds != ()


def test_a_tired_person_can_follow_the_thaw() -> None:
    assert called("Bread out").description.splitlines() == [
        "9 rolls: 9 from bag B (28 Feb). Freezer to worktop, in the bag (Jo).",
        "Oven 220 (fan 200) on Sat 7:45; in Sat 8:00 for 10 min; eat Sat 8:25.",
        "Forgotten? It may come out until 21:25.",
        "For Breakfast with Grandma (Sat 8:35).",
        "Contains milk and wheat.",
    ]


def test_a_forgotten_thaw_has_as_long_as_somebody_is_up_and_free() -> None:
    house = problem()
    early = tuple(replace(person, quick=((at(SAT, 5), at(SAT, 7)),)) for person in house.people)
    found = called("Bread out", made(replace(house, people=early)))
    assert "Forgotten? It may come out until Sat 6:00." in found.description, "two hours before it goes in"


def test_a_tired_person_can_follow_the_bake() -> None:
    said = called("Bread:").description
    for part in (
        "Mix 9:00, by 11:35 at the latest.",
        "Folds 10:00, 10:30, 11:00.",
        "Shape 15:00, by 16:30 at the latest. Then the fridge, cold proof.",
        "Oven on Sun 7:45, bake Sun 8:30.",
        "1 for the table from Sun 10:50: Lunch with the neighbours (Sun 12:30).",
        "2 part-baked for the freezer: cool on a rack, bag Sun 12:00 (by Sun 19:50).",
        "Running late?",
    ):
        assert part in said


def test_one_caution_at_the_act() -> None:
    cautions = {entry.summary: entry.description.count("Careful:") for entry in made()}
    assert cautions == {
        "Feed starter: 3 sourdough": 0,
        "Bread out: 9 rolls": 0,
        "Oven 220 (fan 200): 9 rolls": 1,
        "Bread: 3 sourdough (Jo)": 0,
        "Oven 230 (fan 210): 3 sourdough": 1,
    }
    assert "hot iron and steam" in called("Oven 230").description
    assert "until 10:50" in called("Oven 230").description, "an hour after the oven is off"


def test_filled_bread_says_what_to_mind() -> None:
    house = problem()
    filled = tuple(replace(bread, filled=bread.id == "rolls") for bread in house.breads)
    assert "local food-safety rules" in called("Bread out", made(replace(house, breads=filled))).description


def test_an_ingredient_nobody_looked_up_is_a_warning() -> None:
    house = problem()
    unsure = tuple(replace(bread, allergens=bread.allergens | {"?"}) for bread in house.breads)
    said = called("Bread out", made(replace(house, breads=unsure))).description
    assert "Contains milk, wheat and an ingredient nobody has looked up. Serve it to nobody with an allergy." in said


def test_the_oven_is_reserved_from_switching_on_until_all_is_out() -> None:
    oven = called("Oven 230")
    assert (oven.start.isoformat(), oven.end.isoformat()) == ("2027-03-07T07:45:00+01:00", "2027-03-07T09:50:00+01:00")


def test_entries_name_what_is_finished_before_them() -> None:
    assert called("Oven 220").related == (("FINISHTOSTART", called("Bread out").uid),)
    assert called("Bread:").related == (("FINISHTOSTART", called("Feed").uid),)
    assert called("Oven 230").related == (("FINISHTOSTART", called("Bread:").uid),)


def test_a_uid_is_that_of_its_thing_and_step_and_not_when_or_from_which_bag() -> None:
    of = plan()
    out = replace(of.take_outs[0], at=of.take_outs[0].at + 15, lots=(("lot-other", 9),), trip="t")
    house = problem()
    lots = (*house.lots, replace(house.lots[1], id="lot-other", letter="D"))
    moved = made(replace(house, lots=lots), replace(of, take_outs=(out, *of.take_outs[1:])))
    assert called("Bread out", moved).uid == called("Bread out").uid == f"{out.id}-thaw"
    assert called("Bread out", moved).start - called("Bread out").start == timedelta(minutes=15)


def test_uids_differ_even_for_things_all_alike() -> None:
    of = plan()
    twice = replace(of, take_outs=(*of.take_outs, replace(of.take_outs[0], id="again", trip="")))
    uids = [entry.uid for entry in made(of=twice)]
    assert len(set(uids)) == len(uids) == 6


def test_at_most_two_ring_in_a_day_and_no_fold_ever() -> None:
    of, house = plan(), problem()
    more = tuple(
        replace(of.take_outs[0], id=f"more-{k}", at=at(SAT, 8 + k), trip=f"trip-{k}", ready=at(SAT, 12))
        for k in range(4)
    )
    found = made(house, replace(of, take_outs=(*of.take_outs, *more)))
    rung = Counter((entry.start - before).astimezone(ZONE).date() for entry in found for before in entry.alarms)
    assert max(rung.values()) == 2
    assert not any("fold" in entry.summary.lower() for entry in found)
    assert not any(one.entry.alarms for one in entries(house, of, alarms_a_day=0)[0])


def test_entries_block_nobody() -> None:
    assert all(entry.transparent for entry in made())


def test_no_entry_for_what_is_past_or_in_the_tail() -> None:
    house, of = begun()
    assert [entry.summary for entry in made(house, of)] == [
        "Bread: 3 sourdough (Jo)",
        "Oven 230 (fan 210): 3 sourdough",
    ]
    assert not any("tin" in entry.summary for entry in made())


def test_no_escape_of_a_calendar_reaches_an_entry() -> None:
    assert not any("\x1b" in entry.summary + entry.description for entry in made())
