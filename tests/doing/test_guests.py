"""Guests are asked about without writing, and written with a word so that the next plan counts on them."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.commands.conftest import Run
from tests.doing.conftest import EXAMPLE

Say = Callable[..., str]
Plan = Callable[[str], dict[str, Any]]
FRIDAY = "2027-03-05T18:00"


def said(rotation: Run, home: Path, *words: str, now: str = FRIDAY) -> str:
    ran = rotation("guests", *words, "--household", home, "--now", now)
    assert ran.code == 0, ran.err
    return " ".join(ran.out.split())


def test_a_question_says_yes_by_when_and_what_else_and_writes_nothing(rotation: Run, home: Path) -> None:
    """A loaf wants five hours to thaw and 18 minutes in the oven, so 7:40 is the last minute of the grid for 13:00."""
    before = {path: path.read_bytes() for path in home.rglob("*.toml")}
    answer = said(rotation, home, "Sat 13:00", "6", "--slices", "3")
    assert answer.startswith("Yes: 18 slices. Decide by Sat 6 Mar 7:40 (sat-thaw). Left until then: sat-thaw Sat 6 Mar")
    assert "Else buy 2 loaves by Fri 5 Mar 20:00." in answer
    assert answer.endswith("say it again with --write.")
    assert {path: path.read_bytes() for path in home.rglob("*.toml")} == before
    assert not (home / "calendars" / "guests").exists()


@pytest.mark.parametrize(
    ("when", "heads", "last", "after"),
    [("Sat 13:00", "6", "2027-03-06T07:40", "2027-03-06T07:45"), ("Sun 17:00", "12", "", "")],
)
def test_asked_at_the_last_moment_it_is_yes_and_after_it_no(
    rotation: Run, home: Path, when: str, heads: str, last: str, after: str
) -> None:
    """The moment is found by plans that do nothing new before it; here by asking when all really went on as planned."""
    if not last:
        answer = said(rotation, home, when, heads, "--slices", "3")
        found = re.search(r"Decide by \w+ (\d+) Mar (\d+):(\d+)", answer)
        assert found, answer
        moment = datetime(2027, 3, int(found[1]), int(found[2]), int(found[3]), tzinfo=UTC)
        last, after = (f"{moment + timedelta(minutes=later):%Y-%m-%dT%H:%M}" for later in (0, 5))
    rotation("done", "all", "--household", home, "--now", last)
    assert said(rotation, home, when, heads, "--slices", "3", now=last).startswith("Yes")
    assert said(rotation, home, when, heads, "--slices", "3", now=after).startswith("No")


@pytest.mark.long
def test_what_is_baked_anew_for_other_meals_is_no_deadline(rotation: Run, tmp_path: Path) -> None:
    """With guests on Saturday the reserve is baked again on the Thursday after: that is not what decides."""
    home = Path(shutil.copytree(EXAMPLE, tmp_path / "home"))
    assert rotation("plan", "--household", home, "--from", "2027-03-01", "--days", "7", "--work", "quick").code == 0
    assert rotation("done", "all", "--household", home, "--now", "2027-03-04T21:00").code == 0
    answer = said(rotation, home, "Sat 18:00", "6", now="2027-03-04T22:00")
    found = re.search(r"Decide by \w+ (\d+) Mar", answer)
    assert found, answer
    assert int(found[1]) <= 6


def test_what_is_planned_anyway_has_not_to_be_decided(rotation: Run, home: Path) -> None:
    answer = said(rotation, home, "Sun 13:00", "2", "--slices", "1")
    assert "What is there and planned will do; nothing has to be decided." in answer


def test_a_loaf_to_buy_for_others_has_to_be_decided(rotation: Run, home: Path) -> None:
    """The guests eat of the loaf that is out; the supper after them wants one of the shop, which closes at 18:00."""
    assert rotation("done", "sat-thaw", "--household", home, "--now", "2027-03-06T07:45").code == 0
    settings = home / "household.toml"
    text = settings.read_text(encoding="utf-8")
    bought = 'breads = ["country"]\nways = ["finished", "bought"]'
    text = text.replace('breads = ["country"]\nstrict = true', bought) + "\n[weights]\nunmet_portion = 20\n"
    settings.write_text(text, encoding="utf-8")
    answer = said(rotation, home, "Sat 18:15", "4", "--slices", "3", now="2027-03-06T14:00")
    assert answer.startswith(
        "Yes: 12 slices. Decide by Sat 6 Mar 18:00 (1 loaf to buy). Changed: 1 loaf to buy, was 0."
    )
    assert "nothing has to be decided" not in answer


def test_too_many_too_soon_is_no(rotation: Run, home: Path) -> None:
    answer = said(rotation, home, "Fri 20:30", "20", "--slices", "3", "--without", "sesame")
    assert answer.startswith("No: short by 60 of 60 slices.")
    assert "Not for who may not have sesame: look at the label." in answer


def test_what_is_written_is_a_meal_of_the_next_plan(rotation: Run, plan: Plan, home: Path) -> None:
    assert "Written into calendars/guests" in said(rotation, home, "Sun 17:00", "12", "--slices", "3", "--write")
    (meal,) = [meal for meal in plan(FRIDAY)["meals"] if "12 at the table" in meal["summary"]]
    assert (meal["portions"], meal["strict"], meal["start"][:16]) == (36, True, "2027-03-07T17:00")
    said(rotation, home, "Sat 13:00", "2", "--write")
    assert len([meal for meal in plan(FRIDAY)["meals"] if "at the table" in meal["summary"]]) == 2


def test_asked_or_written_who_is_at_the_table_is_counted_alike(rotation: Run, plan: Plan, home: Path) -> None:
    """Mia is in and eats half; supper is eaten with the guests. The page asks in the same way."""
    settings = home / "household.toml"
    text = settings.read_text(encoding="utf-8").replace("loaves_a_week = 0", "loaves_a_week = 3")
    mia = '[[people]]\nid = "mia"\nadult = false\nunder_six = true\ninside = ["00:00-24:00"]\n\n'
    settings.write_text(text.replace("[[ovens]]", f"{mia}[[ovens]]", 1), encoding="utf-8")
    answer = said(rotation, home, "Sun 19:00", "6")
    assert "11 slices. Children of the house under six are among them, and eat less." in answer
    assert "In place of Supper that day." in answer
    said(rotation, home, "Sun 19:00", "6", "--write")
    meals = [meal for meal in plan(FRIDAY)["meals"] if meal["start"].startswith("2027-03-07T1")]
    (meal,) = [meal for meal in meals if meal["summary"].startswith("6 at the table")]
    assert meal["portions"] == 11
    assert not [meal for meal in meals if meal["summary"] == "Supper"]
    assert "11 slices" in said(rotation, home, "Sun 19:00", "6"), "asked once more, they come but once"
    settings.write_text(settings.read_text(encoding="utf-8").replace("under_six", 'without = ["gluten"]\nunder_six', 1))
    assert said(rotation, home, "Sun 19:00", "6").startswith("No: short by 11 of 11"), "nor does she get what harms her"


def test_what_is_over_or_no_time_is_refused(rotation: Run, home: Path) -> None:
    for when in ("2027-03-05T12:00", "2027-06-01T12:00", "Sat 25:00", "someday"):
        assert rotation("guests", when, "4", "--household", home, "--now", FRIDAY).code == 2
