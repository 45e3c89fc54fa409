"""Weeks that are over are lived as they were: what was eaten, what the freezer held, who came."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from rotation.eaten import Day
from rotation.household.reading import Home, read_home
from rotation.ledger import Ledger, NewLot, Note
from rotation.rehearsal.chance import as_it_was
from rotation.rehearsal.runs import PLANNER_DAYS, Stage
from rotation.rehearsal.scenarios import scenario
from rotation.rehearsal.setting import world
from rotation.templates import Answers, laid_out
from rotation.weeks_over import deal, really, weeks_over

MONDAY = datetime(2027, 3, 1, 12, tzinfo=UTC)
NOW = MONDAY + timedelta(days=28)
WEEKS = 3
EATEN = 9
"""Slices a day, whatever the weekday."""


@pytest.fixture
def home(tmp_path: Path) -> Home:
    """Return a household as it is first laid out, with a ledger of four weeks."""
    for name, text in laid_out(Answers(date(2027, 3, 1))).items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / ".rotation").mkdir()
    with Ledger.open(tmp_path / ".rotation") as ledger:
        for day in range(28):
            now = MONDAY + timedelta(days=day)
            later = now + timedelta(days=90)
            if day % 7 == 0:
                new = NewLot(
                    bread="tin", form="sliced", units=90, bagged=now, through=now, eat_first=later, toast_after=later
                )
                ledger.add(new, Note(now=now), baked=True)
                mistaken = ledger.add(new, Note(now=now), baked=True)
                ledger.undo(mistaken.id, Note(now=now + timedelta(minutes=1)))
            ledger.take("tin", "sliced", EATEN, Note(now=now))
    return read_home(tmp_path)


def test_the_freezer_begins_as_it_was_then(home: Home) -> None:
    """Of what was put in and taken out until then, and not taken back, what is left; not what came later."""
    with Ledger.open(home.folder / ".rotation") as ledger:
        over = weeks_over(home, ledger, NOW, WEEKS, PLANNER_DAYS)
        before_all = weeks_over(home, ledger, NOW, WEEKS + 9, PLANNER_DAYS)
    assert [lot.units for lot in over.problem.lots] == [90 - 7 * EATEN]
    (lot,) = before_all.problem.lots
    assert lot.units == 90 - EATEN  # what was there at the moment of the first record, as old as it was then
    assert lot.bagged == 0
    assert lot.eat_first == 90 * 1440


def test_what_was_eaten_is_eaten_again(home: Home) -> None:
    """Each day that is known wants what was eaten on it, whatever the habit says; chance has the rest."""
    with Ledger.open(home.folder / ".rotation") as ledger:
        over = weeks_over(home, ledger, NOW, WEEKS, PLANNER_DAYS)
    assert over.known == over.days == 7 * WEEKS
    stage = Stage(home, over.problem, 0, WEEKS, over.eaten)
    rates = as_it_was(scenario("usual").rates)
    where, drawn = world(stage.home, stage.problem, stage.days, 5, rates, 1)
    luck = replace(drawn, eaten=stage.eaten)
    wanted: dict[int, int] = {}
    for meal in where.true.meals:
        day = where.true.day_of(meal.at)
        wanted[day] = wanted.get(day, 0) + luck.appetite(meal, day)
    assert {wanted[day] for day in range(7 * WEEKS)} == {EATEN}
    assert not [one for one in where.news if one.meal is None or one.meal.source == "chance"]


def test_days_out_of_bread_wanted_at_least_what_is_usual(home: Home) -> None:
    """A day on which bread ran out says only that so much was eaten."""
    with Ledger.open(home.folder / ".rotation") as ledger:
        problem = weeks_over(home, ledger, NOW, WEEKS, PLANNER_DAYS).problem
    day = problem.date_of(3)
    usual = sum(really(problem, [Day(day, {"tin": 2.0}, 8, out=True)]).values())
    assert usual == sum(meal.portions for meal in problem.meals if problem.day_of(meal.at) == 3)
    assert sum(really(problem, [Day(day, {"tin": 2.0}, 8)]).values()) == 2
    assert sum(really(problem, [Day(day, {"tin": 99.0}, 8, out=True)]).values()) == 99


def test_whole_slices_are_dealt_out(home: Home) -> None:
    """All of them, in proportion, none made or lost by rounding."""
    with Ledger.open(home.folder / ".rotation") as ledger:
        problem = weeks_over(home, ledger, NOW, WEEKS, PLANNER_DAYS).problem
    meals = list(problem.meals[:5])
    for portions in range(40):
        dealt = deal(meals, portions)
        assert sum(dealt.values()) == portions
        assert min(dealt.values()) >= 0
