"""The starter is fed weekly: what feeds it is remembered, and what no bake does is said."""

from __future__ import annotations

from datetime import datetime, timedelta

from rotation.happened import Happened, What
from rotation.plan import Plan
from rotation.starter import notes
from tests.doing.conftest import Say
from tests.show.sample import plan, problem


def fed(at: datetime) -> Happened:
    return Happened(id="x", thing="starter", step="feed", what=What.DONE, start=at, end=at)


def test_what_no_bake_feeds_is_due_a_week_after_the_last_feed() -> None:
    house = problem()
    (said,) = notes(house, Plan(), [fed(house.zero - timedelta(days=5))])
    assert said.startswith("Starter: fed last")
    assert "Feed it by" in said


def test_a_bake_in_time_is_enough_and_after_a_cold_week_it_is_fed_twice() -> None:
    house, of = problem(), plan()
    assert not list(notes(house, of, [fed(house.zero - timedelta(days=1))]))
    _, twice = notes(house, of, [fed(house.zero - timedelta(days=9))])
    assert "Feed it twice" in twice
    assert not list(notes(house, of, ()))


def test_it_is_said_in_a_word(say: Say) -> None:
    assert say("done starter --at 07:30", "08:00") == "Starter fed, Sat 6 Mar 7:30."
