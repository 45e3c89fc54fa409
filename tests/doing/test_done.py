"""What happened is recorded once, moves the freezer, can be taken back, and is gone on from."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from rotation import doing
from rotation.carried import Carried
from rotation.happened import Happened, What
from rotation.household.reading import read_home
from rotation.ledger import Ledger
from rotation.plan import Plan as Nothing
from rotation.recording import Noted
from rotation.show.doing import skipped
from rotation.steps import Target
from tests.commands.conftest import Run
from tests.doing.conftest import steps

Say = Callable[..., str]
Plan = Callable[[str], dict[str, Any]]


def left(home: Path) -> int:
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        return sum(share.units for movement in ledger.history() for share in movement.shares)


def test_a_thaw_takes_its_bag_once_however_often_it_is_said(say: Say, home: Path) -> None:
    assert "1 out: 1 of bag A" in say("done sat-thaw", "07:50")
    assert say("done sat-thaw", "07:55").startswith("Known already: sat-thaw (country), Sat 6 Mar 7:50.")
    assert left(home) == 1
    assert say("done sat-thaw --undo", "08:00").startswith("Taken back: sat-thaw")
    assert left(home) == 2
    assert "1 out" in say("done sat-thaw", "08:10")
    assert left(home) == 1


def test_a_loaf_out_of_the_freezer_is_finished_and_eaten(say: Say, plan: Plan, home: Path) -> None:
    say("done sat-thaw", "09:30")
    (finish,) = plan("10:00")["finishes"]
    assert finish["start"] >= "2027-03-06T14:30", "it thaws five hours, from when it was really taken out"
    say("done sat-finish --at 17:40", "18:10")
    (supper,) = [meal for meal in plan("18:15")["meals"] if meal["strict"] and meal["portions"] == 6]
    assert supper["served"] == 6
    assert left(home) == 1, "finished, not taken a second time"


def test_slow_dough_is_gone_on_with_from_real_times(say: Say, plan: Plan, home: Path) -> None:
    say("done sat-mix", "16:30")
    (bake,) = plan("16:30")["bakes"]
    assert bake["under_way"] == bake["id"]
    assert [step["start"][11:16] for step in bake["steps"][:1]] == ["16:15"]
    assert "17:30" <= bake["steps"][1]["start"][11:16] <= "18:00"
    late = plan("18:30")["bakes"][0]
    assert late["late"] == ["shape"]
    assert late["steps"][1]["start"][11:16] == "18:30", "late, and so as soon as can be"


def test_loaves_out_of_the_oven_are_eaten_and_what_was_eaten_is_gone(say: Say, plan: Plan, home: Path) -> None:
    say("done sat-oven --at 18:15", "18:20")
    assert steps(home)[-3:] == [("mix", False), ("shape", False), ("oven", True)]
    out = plan("18:20")["bakes"][0]
    assert (out["treatments"][0]["pieces"], out["short_out"]) == (1, "sat-out")
    say("done sat-out --count 1", "18:52")
    box = {one["bread"]: one for one in plan("19:00")["bread_box"]}
    assert box["milk"]["portions"] == 12
    after = {one["bread"]: one for one in plan("2027-03-07T12:00")["bread_box"]}
    assert after["milk"]["portions"] == 4, "brunch ate eight"


def test_a_dropped_loaf_is_not_counted(say: Say, plan: Plan, home: Path) -> None:
    assert "0 of it" in say("done sat-out --count 0", "18:52")
    document = plan("19:00")
    assert not [one for one in document["bread_box"] if one["bread"] == "milk" and one["origin"] == "box"]


def test_all_as_planned_is_all_that_was_due(say: Say, home: Path) -> None:
    assert "sat-thaw" in say("done all", "15:30")
    assert {step for step, _ in steps(home)} == {"thaw", "mix"}
    say("done all", "20:00")
    assert {step for step, _ in steps(home)} == {"thaw", "mix", "shape", "finish", "oven", "out"}
    assert say("done all", "20:05").startswith("Nothing more of the plan")
    assert left(home) == 1


def test_a_thaw_is_assumed_and_a_bake_asked_about_once(rotation: Run, plan: Plan, home: Path) -> None:
    said = [note["text"] for note in plan("16:00")["notes"]]
    assert [note for note in said if "Did the bake of milk begin" in note and "rotation done sat-mix" in note]
    assert ("thaw", False) in steps(home)
    assert ("mix", True) not in steps(home)
    assert left(home) == 1
    assert not [note for note in plan("16:05")["notes"] if "Did the bake" in note["text"]]
    assert rotation("done", "sat-mix", "--at", "15:20", "--household", home, "--now", "2027-03-06T16:10").code == 0
    assert plan("16:10")["bakes"][0]["under_way"]


def test_what_a_hand_took_is_not_taken_again(say: Say, plan: Plan, home: Path) -> None:
    say("freezer take A 1", "07:30")
    plan("09:00")
    assert left(home) == 1
    assert ("thaw", False) in steps(home)


def test_a_count_says_what_is_there_after_what_was_planned_till_then(say: Say, plan: Plan, home: Path) -> None:
    assert "Did the bake of milk begin" in say("freezer count A 1", "16:00")
    assert left(home) == 1
    plan("16:05")
    assert left(home) == 1, "the thaw of the morning is not taken off what was counted"
    assert say("freezer count A 0", "16:10") == "1 out: 1 of bag A (country)."
    assert left(home) == 0


def test_a_skipped_bake_is_off_and_its_hours_stay_free(say: Say, plan: Plan) -> None:
    assert "the whole bake is off" in say("skip sat-mix", "12:00")
    mixes = [step["start"] for bake in plan("12:00")["bakes"] for step in bake["steps"] if step["name"] == "mix"]
    assert all(not "2027-03-06T03:20" <= at[:16] < "2027-03-07T03:20" for at in mixes)
    assert say("done sat-mix --undo", "12:05").startswith("Taken back")
    assert plan("12:05")["bakes"]


def test_bad_words_are_refused_and_record_nothing(rotation: Run, home: Path) -> None:
    def wrong(words: str, at: str = "2027-03-06T09:00") -> str:
        ran = rotation(*words.split(), "--household", home, "--now", at)
        assert ran.code == 2, words
        return ran.err

    assert 'there is no step "sat-mxi"' in wrong("done sat-mxi")
    assert "sat-mix" in wrong("done sat-mxi")
    assert "is still to come" in wrong("done sat-mix --at 2027-03-06T15:20")
    assert '"25:99" is not a moment. Write 15:20, or 2027-03-01T15:20.' in wrong("done sat-mix --at 25:99")
    assert "counts nothing" in wrong("done sat-mix --count 2")
    assert "there were 1" in wrong("done sat-out --count 5")
    assert "nothing was said of sat-mix" in wrong("done sat-mix --undo")
    assert "all is as planned" in wrong("done all --count 2")
    rotation("done", "sat-shape", "--household", home, "--now", "2027-03-06T17:10")
    assert "cannot be left out" in wrong("skip sat-oven", "2027-03-06T17:15")
    assert "was said after sat-mix" in wrong("done sat-mix --undo", "2027-03-06T17:15")
    assert [step for step, sure in steps(home) if sure] == ["shape"]


def test_what_is_taken_soon_after_a_planned_thaw_is_that_thaw_and_later_another(
    say: Say, plan: Plan, home: Path
) -> None:
    say("freezer take A 1", "10:00")
    plan("10:05")
    assert left(home) == 1, "the thaw of the morning, and no second loaf"
    say("freezer take A 1", "20:00")
    plan("20:05")
    assert left(home) == 0


def test_a_take_at_night_comes_after_the_thaw_nobody_spoke_of(say: Say, plan: Plan, home: Path) -> None:
    say("freezer take A 1", "20:00")
    assert left(home) == 0
    plan("20:05")
    assert left(home) == 0
    assert ("thaw", False) in steps(home)


def test_loaves_nobody_took_out_of_the_oven_in_words_are_bread_all_the_same(say: Say, plan: Plan) -> None:
    say("done sat-oven --at 18:15", "18:20")
    (brunch,) = [meal for meal in plan("22:30")["meals"] if meal["strict"] and meal["portions"] == 8]
    assert brunch["served"] == 8


def served(document: dict[str, Any]) -> list[int]:
    """Return what the supper of Saturday gets, which only the loaf in the freezer can feed."""
    return [meal["served"] for meal in document["meals"] if meal["strict"] and meal["portions"] == 6]


def test_what_was_left_in_the_freezer_is_never_taken_to_be_finished(
    rotation: Run, say: Say, plan: Plan, home: Path
) -> None:
    say("skip sat-thaw", "17:25")
    document = plan("17:26")
    assert ("finish", False) not in steps(home), "it was to go into the oven at ten past five"
    assert not [one for one in document["bread_box"] if one["bread"] == "country"]
    assert served(document) == [0]
    ran = rotation("done", "sat-finish", "--household", home, "--now", "2027-03-06T17:40")
    assert (ran.code, "sat-thaw was skipped" in ran.err) == (2, True)
    say("done sat-thaw", "17:41")
    say("done sat-finish", "18:11")
    assert served(plan("18:12")) == [6], "it was there after all"
    assert left(home) == 1


def test_a_finish_taken_to_be_done_goes_with_the_thaw_that_was_not(
    rotation: Run, say: Say, plan: Plan, home: Path
) -> None:
    plan("18:15")
    assert ("finish", False) in steps(home)
    say("skip sat-thaw", "18:16")
    assert ("finish", False) not in steps(home)
    assert left(home) == 2
    say("done sat-thaw --at 07:50", "18:17")
    say("done sat-finish", "18:18")
    ran = rotation("skip", "sat-thaw", "--household", home, "--now", "2027-03-06T18:19")
    assert (ran.code, "rotation done sat-finish --undo" in ran.err) == (2, True)


def test_what_was_skipped_is_not_thawed_for_the_same_meal_after_all(say: Say, plan: Plan, home: Path) -> None:
    say("skip sat-thaw", "07:50")
    document = plan("08:20")
    assert served(document) == [0]
    assert ("no finish", "country") in [(one["kind"], one["bread"]) for one in document["wishes"]]
    say("done sat-thaw --undo", "08:21")
    assert served(plan("08:22")) == [6]


def test_where_a_bag_is_not_there_another_is_taken(say: Say, plan: Plan, home: Path) -> None:
    say("freezer add country 1 --form part-baked --bagged 2027-03-01T12:00", "07:00")
    house = read_home(home)
    doing.not_there(house, "sat-thaw", datetime(2027, 3, 6, 7, 50, tzinfo=house.zone))
    document = plan("08:20")
    assert served(document) == [6]
    assert left(home) == 1


def test_all_as_planned_leaves_what_was_skipped_and_goes_on(say: Say, plan: Plan, home: Path) -> None:
    say("skip sat-thaw", "07:50")
    assert say("done all", "17:20").count("Done: ") == 2
    assert {step for step, _ in steps(home)} == {"mix", "shape"}
    assert left(home) == 2
    plan("18:15")
    assert "sat-thaw" not in say("done all", "20:00")
    assert {step for step, _ in steps(home)} == {"mix", "shape", "oven", "out"}
    assert left(home) == 2


def test_all_as_planned_takes_a_finished_loaf_out_once(say: Say, plan: Plan, home: Path) -> None:
    say("done sat-thaw", "07:50")
    say("done sat-finish", "18:00")
    plan("18:15")
    say("done all", "20:00")
    assert left(home) == 1, "the record of the finish knows its thaw, and that is done"


def test_all_as_planned_goes_on_where_a_bag_is_empty(say: Say, home: Path) -> None:
    say("freezer count A 0", "07:00")
    assert "sat-mix" in say("done all", "18:30")
    assert {step for step, _ in steps(home)} == {"mix", "shape", "oven"}
    assert left(home) == 0


def test_a_step_is_not_before_the_one_it_follows_nor_after_what_follows_it(rotation: Run, say: Say, home: Path) -> None:
    def wrong(words: str, at: str) -> str:
        ran = rotation(*words.split(), "--household", home, "--now", f"2027-03-06T{at}")
        assert ran.code == 2, words
        return ran.err

    say("done sat-mix", "17:10")
    said = wrong("done sat-shape --at 16:00", "18:20")
    assert "sat-shape cannot have begun before sat-mix, which began Sat 16:55." in said
    assert "Write a later time" in said
    assert "rotation done sat-mix --undo" in said
    say("done sat-shape --at 18:05", "18:20")
    assert "Known already" in say("done sat-shape --at 18:05", "18:21")
    say("done sat-thaw --at 08:00", "18:22")
    assert "before sat-thaw, which began Sat 8:00" in wrong("done sat-finish --at 07:55", "18:23")
    say("done sat-finish --at 17:40", "18:24")
    assert [step for step, sure in steps(home) if sure] == ["mix", "shape", "thaw", "finish"]


def test_a_step_told_late_is_not_after_what_followed_it(rotation: Run, say: Say, home: Path) -> None:
    say("done sat-finish --at 17:20", "17:50")
    ran = rotation("done", "sat-thaw", "--at", "17:30", "--household", home, "--now", "2027-03-06T17:51")
    assert (ran.code, "after sat-finish, which began Sat 17:20" in ran.err) == (2, True)
    say("done sat-thaw --at 07:50", "17:52")


@pytest.mark.parametrize("words", ["take A 1", "take country 1", "discard A --because burnt"])
def test_nothing_is_taken_out_in_time_to_come(rotation: Run, say: Say, home: Path, words: str) -> None:
    say("freezer count A 2", "07:00")
    when = ("--at", "2027-03-07T06:00", "--household", home, "--now", "2027-03-06T17:10")
    ran = rotation("freezer", *words.split(), *when)
    assert (ran.code, "Sun 7 Mar 6:00 is still to come. Say it once it is out." in ran.err) == (2, True), ran.err
    assert left(home) == 2


@pytest.mark.parametrize(
    ("step", "left_so"),
    [
        ("thaw", "the bag stays where it is"),
        ("finish", "it does not go into the oven then"),
        ("feed", "the starter is not fed then"),
    ],
)
def test_a_skipped_step_is_told_as_what_it_is(step: str, left_so: str) -> None:
    at = datetime(2027, 3, 6, 7, tzinfo=UTC)
    target = Target(f"sat-{step}", "x", step, "country", at, at, Carried(at, 3, "Home", Nothing()))
    row = Happened(id="skipped x", thing="x", step=step, what=What.SKIPPED, start=at)
    said = next(skipped(Noted(target, row), ZoneInfo("Europe/Berlin")))
    assert said == f"Skipped: sat-{step} (country), {left_so}."
