from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import timedelta

from calendars.writing import Entry
from rotation.entries import entries
from rotation.plan import Plan
from rotation.problem import Problem
from tests.show.sample import SAT, ZONE, at, begun, plan, problem


def made(house: Problem | None = None, of: Plan | None = None) -> tuple[Entry, ...]:
    return entries(house or problem(), of or plan(), "Home")


def called(beginning: str, among: tuple[Entry, ...] | None = None) -> Entry:
    (found,) = [entry for entry in among or made() if entry.summary.startswith(beginning)]
    return found


def test_one_for_the_feed_each_bake_each_thaw_and_each_stay_in_the_oven() -> None:
    assert [entry.summary for entry in made()] == [
        "Feed starter: 3 sourdough",
        "Bread out: 9 rolls",
        "Oven 220 (fan 200): 9 rolls",
        "Bread: 3 sourdough (Jo)",
        "Oven 230 (fan 210): 3 sourdough",
    ]


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
    assert oven.location == "oven"


def test_entries_name_what_is_finished_before_them() -> None:
    assert called("Oven 220").related == (("FINISHTOSTART", called("Bread out").uid),)
    assert called("Bread:").related == (("FINISHTOSTART", called("Feed").uid),)
    assert called("Oven 230").related == (("FINISHTOSTART", called("Bread:").uid),)


def test_a_uid_says_what_it_is_and_not_when_or_from_which_bag() -> None:
    of = plan()
    out = replace(of.take_outs[0], at=of.take_outs[0].at + 15, lots=(("lot-other", 9),), id="another", trip="t")
    house = problem()
    lots = (*house.lots, replace(house.lots[1], id="lot-other", letter="D"))
    finishes = (replace(of.finishes[0], take_out="another"),)
    servings = tuple(replace(s, source="another") if s.source == "out-rolls" else s for s in of.servings)
    later = replace(of, take_outs=(out, *of.take_outs[1:]), finishes=finishes, servings=servings)
    moved = made(replace(house, lots=lots), later)
    assert called("Bread out", moved).uid == called("Bread out").uid
    assert called("Oven 220", moved).uid == called("Oven 220").uid
    assert called("Bread out", moved).start - called("Bread out").start == timedelta(minutes=15)
    assert not {entry.uid for entry in made()} & {entry.uid for entry in entries(problem(), plan(), "Another home")}


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
    rung = Counter(entry.start.astimezone(ZONE).date() for entry in found if entry.alarms)
    assert max(rung.values()) == 2
    assert not any("fold" in entry.summary.lower() for entry in found)
    assert not any(entry.alarms for entry in entries(house, of, "Home", alarms_a_day=0))


def test_entries_block_nobody_unless_a_setting_says_so() -> None:
    assert all(entry.transparent for entry in made())
    assert not any(entry.transparent for entry in entries(problem(), plan(), "Home", blocking=True))


def test_no_entry_for_what_is_past_or_in_the_tail() -> None:
    house, of = begun()
    assert [entry.summary for entry in made(house, of)] == [
        "Bread: 3 sourdough (Jo)",
        "Oven 230 (fan 210): 3 sourdough",
    ]
    assert not any("tin" in entry.summary for entry in made())


def test_no_escape_of_a_calendar_reaches_an_entry() -> None:
    assert not any("\x1b" in entry.summary + entry.description for entry in made())
