"""What if: plans of the changed week that hold, compared with the plan kept; and how it is said."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from rotation.commands.spans import moment_and_rest, span
from rotation.errors import BadInput
from rotation.problem import Problem
from rotation.reasons.answers import Without
from rotation.reasons.compare import Look
from rotation.reasons.tried import comparable, touched, tried
from tests.commands.conftest import Run
from tests.homes import DAY
from tests.outside.tiny_homes import tiny_home
from tests.publishing.homes import NOW
from tests.reasons.houses import EIGHT, baker, house, oven, planned
from tests.reasons.test_command import files
from tests.reasons.test_why import sound

ZONE = ZoneInfo("Europe/Berlin")
FRIDAY = datetime(2027, 3, 5, 17, 30, tzinfo=ZONE)


def parts(problem: Problem, changed: Problem) -> list[Without]:
    """Return the plans of a changed problem, each found to hold, better than the one before."""
    plan = planned(problem, proven=False)
    found = list(tried(Look(problem, plan), plan, comparable(problem, changed), None))
    for part in found:
        assert part.look is not None
        assert part.difference is not None
        sound(part.look, part.difference)
        assert part.difference.cost == part.look.plan.total - plan.total
    return found


def test_what_still_holds_is_the_first_answer_and_costs_nothing() -> None:
    problem = house()
    (first, *_) = parts(problem, replace(problem, ovens=(oven(((1200, DAY),)),)))
    assert (first.within, first.difference and first.difference.cost) == ("kept", 0)


def test_an_oven_out_of_order_leaves_supper_short_at_the_price_of_going_short() -> None:
    problem = house()
    last = parts(problem, replace(problem, ovens=(oven(((0, DAY),)),)))[-1]
    assert last.difference is not None
    assert last.difference.cost == 4 * 50000 - 15000 - 3000
    assert [(one.before, one.after) for one in last.difference.short] == [(0, 4)]


def test_what_no_longer_holds_is_mended_where_there_is_another_hour() -> None:
    """Nobody is free before nine: the bake begins an hour later."""
    problem = house()
    last = parts(problem, replace(problem, people=(baker(free=((540, 800),)),)))[-1]
    assert last.difference is not None
    assert (last.difference.cost, last.difference.short) == (0, ())
    assert last.difference.changes[0] == "mix 1 Loaf Mon 1 Mar 9:00 (now 8:00)"


def test_only_days_that_are_other_are_touched() -> None:
    problem = house(midnights=(0, DAY, 2 * DAY, 3 * DAY), shown_days=3)
    assert touched(problem, problem) == set()
    assert touched(problem, replace(problem, ovens=(oven(((DAY + EIGHT, DAY + 600),)),))) == {1}
    assert touched(problem, replace(problem, meals=())) == {0}


@pytest.mark.parametrize("seed", [3, 7, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(50, 70))])
def test_whatever_is_supposed_in_any_home_the_plans_hold_and_the_differences_are_those_of_the_scores(seed: int) -> None:
    problem = replace(tiny_home(seed), published=None)
    first, *others = problem.people
    later = replace(first, free=tuple((a + 60, b + 60) for a, b in first.free if b + 60 < problem.end))
    assert parts(problem, replace(problem, people=(later, *others)))


@pytest.mark.parametrize(
    ("said", "since", "until", "rest"),
    [
        ("Sat 18:00-20:00 Jo out", "06T18:00", "06T20:00", "jo out"),
        ("saturday 9:30 - 10:00", "06T09:30", "06T10:00", ""),
        ("Sat-Mon", "06T00:00", "09T00:00", ""),
        ("fri", "05T00:00", "06T00:00", ""),
        ("Sat 10:00 to Sun 18:00 oven", "06T10:00", "07T18:00", "oven"),
        ("2027-03-08 10:00 to 2027-03-09", "08T10:00", "10T00:00", ""),
    ],
)
def test_a_stretch_of_time_is_understood(said: str, since: str, until: str, rest: str) -> None:
    found = span(said, FRIDAY, "--event")
    assert (f"{found.since:%dT%H:%M}", f"{found.until:%dT%H:%M}", found.rest) == (since, until, rest)


@pytest.mark.parametrize("said", ["", "someday", "Sat 18:00", "Sat 18:00-17:00", "Sat 25:00-26:00", "2027-13-01"])
def test_what_is_no_stretch_of_time_is_refused_with_an_example(said: str) -> None:
    with pytest.raises(BadInput, match=r"Write \"Sat 18:00-20:00\""):
        span(said, FRIDAY, "--event")


def test_a_moment_is_understood_with_what_follows_it() -> None:
    at, rest = moment_and_rest("Sun 12:00 6", FRIDAY, "--guests")
    assert (f"{at:%dT%H:%M}", rest) == ("07T12:00", "6")


def test_several_changes_are_tried_at_once_and_nothing_is_written(rotation: Run, lived: Path) -> None:
    before = files(lived)
    ran = rotation(
        "try", "--oven-out", "Sat-Sun", "--event", "Sat 8:00-9:00 jo busy", "--no-event", "supper", "--baker", "Ann",
        "--freezer", "20", "--guests", "Sun 18:00 3", "--drop", "country", "--json", "--household", lived, "--now", NOW,
    )  # fmt: skip
    assert ran.code == 0, ran.err
    answer = json.loads(ran.out)
    assert len(answer["supposed"]) == 7
    last = answer["parts"][-1]["difference"]
    assert [meal["short_after"] for meal in last["meals"] if "runch" in meal["summary"]] == [8]
    assert files(lived) == before


def test_a_week_without_the_oven_is_told_in_words(rotation: Run, lived: Path) -> None:
    ran = rotation("try", "--oven-out", "Sat-Sun", "--household", lived, "--now", NOW)
    assert ran.out.startswith("IF no oven, Sat 6 Mar to Sun 7 Mar\n")
    assert "guests short by 14 more" in ran.out
    assert "Nothing is written" in ran.out


@pytest.mark.parametrize(
    ("words", "near"),
    [
        ((), "say what is to be tried"),
        (("--drop", "cuntry"), 'Do you mean "country"?'),
        (("--event", "Sat 8:00-9:00 joe out"), 'Do you mean "jo"?'),
        (("--event", "Sat 8:00-9:00 jo asleep"), "does not say who is out"),
        (("--no-event", "picnic"), "no event is called"),
        (("--oven-out", "Sat stove"), "there is no oven"),
        (("--guests", "Sat 18:00 many"), "does not say how many"),
        (("--guests", "many"), "does not say when"),
    ],
)
def test_what_cannot_be_tried_is_refused(rotation: Run, lived: Path, words: tuple[str, ...], near: str) -> None:
    ran = rotation("try", *words, "--household", lived, "--now", NOW)
    assert ran.code == 2
    assert near in ran.err
