"""The starter is fed weekly, twice after a cold week: by a bake, or beside one, at a minute the plan leaves free."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

from rotation.happened import Happened, What
from rotation.naming import names_of
from rotation.plan import Plan
from rotation.problem import Problem, Starter
from rotation.reasons.explain import Explain
from rotation.reasons.items import find
from rotation.rules.checked import broken
from rotation.show.notes import notes
from rotation.show.why import lines
from rotation.starter import fed, with_feeds
from tests.commands.conftest import Run
from tests.doing.conftest import steps
from tests.publishing.clients import Family, FolderClient
from tests.publishing.homes import NOW
from tests.rules.house import DAY, FRI, SAT, SUN, at, problem
from tests.rules.sample import plan as sample

Say = Callable[..., str]
BAKELESS = replace(sample(), bakes=(), servings=tuple(one for one in sample().servings if one.source != "b1"))


def house(last: int, *moved: int, every: int = 7 * DAY) -> Problem:
    return replace(problem(), starter=Starter(last, every, 5, moved))


def feeds(of: Problem, plan: Plan) -> list[tuple[int, int | None]]:
    made = with_feeds(of, plan)
    assert not [one for one in broken(of, made) if one.rule in ("starter", "hands", "grid", "horizon")]
    return [(feed.start, feed.ahead) for feed in made.feedings]


def test_a_bake_in_time_is_enough_and_what_none_feeds_is_fed_by_the_week() -> None:
    assert feeds(house(-DAY), sample()) == []
    assert feeds(house(-5 * DAY), BAKELESS) == [(at(SAT, 20, 55), None)]


def test_after_a_cold_week_it_is_fed_twice_before_it_raises_dough() -> None:
    """The bake of Saturday feeds it on Friday at 20:00; twelve hours before is best."""
    assert feeds(house(at(FRI, 10) - 7 * DAY), sample()) == [(at(FRI, 8), at(FRI, 20))]


def why(of: Problem) -> list[str]:
    """Return the answer to why it is fed, of the one feed beside any bake, in lines."""
    plan = with_feeds(of, sample())
    (feeding,) = plan.feedings
    item = find(of, plan, names_of(of, plan)[feeding.id, "feed"])
    return [line.strip() for part in Explain(of, plan, None).parts(item) for line in lines(of, part)]


def test_asked_why_it_is_fed_what_it_is_for_and_until_when_is_said() -> None:
    assert why(house(at(FRI, 10) - 7 * DAY)) == [
        "It makes the starter strong for 2 sourdough, fed for Fri 5 Mar 20:00.",
        "Fed last Fri 26 Feb 10:00, it may go 7 days unfed: until Fri 5 Mar 10:00.",
    ]


def test_a_feed_is_explained_by_its_name_or_its_day(rotation: Run, fed_home: Path) -> None:
    planned(rotation, fed_home, NOW)
    for said in ("sat-feed", "feed saturday"):
        ran = rotation("why", said, "--household", fed_home, "--now", NOW)
        assert ran.code == 0, ran.err
        assert ran.out.splitlines() == [
            "WHY feed the starter, Sat 6 Mar 12:00 [sat-feed]",
            "  It keeps the starter; it is for no bake.",
            "    Fed last Sat 27 Feb 12:00, it may go 7 days unfed: until Sat 6 Mar 12:00.",
        ]
    (part,) = json.loads(rotation("why", "sat-feed", "--household", fed_home, "--now", NOW, "--json").out)["parts"]
    assert (part["kind"], part["for"], part["by"]) == ("feed", None, "2027-03-06T12:00+01:00")


def test_overdue_it_is_fed_as_soon_as_somebody_can() -> None:
    assert feeds(house(-9 * DAY), sample())[0][0] == at(FRI, 7, 30)


def test_where_nobody_can_it_is_said() -> None:
    away = replace(house(-9 * DAY), people=tuple(replace(p, free=(), quick=()) for p in problem().people))
    made = with_feeds(away, Plan())
    assert made.feedings == ()
    assert [one for one in notes(away, made) if one.startswith("Starter: unfed for 12 days by Mon 8 Mar")]


def test_a_feed_the_family_moved_stays_there() -> None:
    assert feeds(house(-5 * DAY, at(SUN, 6, 40)), sample()) == [(at(SUN, 6, 40), None)]


def test_a_feed_moved_to_when_nobody_is_in_leaves_every_plan_as_good() -> None:
    """It is no wish that could be dropped: whoever moved it is there, whatever the hours say."""
    away = house(-5 * DAY, at(SUN, 5, 20))
    away = replace(away, people=tuple(replace(p, inside=(), free=(), quick=()) for p in away.people))
    made = with_feeds(away, Plan())
    assert [feed.start for feed in made.feedings] == [at(SUN, 5, 20)]
    assert not [one for one in broken(away, made) if one.rule == "hands"]


def test_known_minutes_are_kept_where_they_still_do() -> None:
    alone = BAKELESS
    made = with_feeds(house(-5 * DAY), alone, [at(SAT, 12)])
    assert [feed.start for feed in made.feedings] == [at(SAT, 12)]


def test_what_feeds_it_is_read_from_the_record() -> None:
    now = problem().zero
    rows = [
        Happened(id=str(days), thing="starter", step="feed", what=What.DONE, start=now - timedelta(days=days))
        for days in (9, 2, -1)
    ]
    assert fed(rows, now) == now - timedelta(days=2)
    assert fed((), now) is None


def planned(rotation: Run, home: Path, now: str) -> dict[str, Any]:
    ran = rotation("plan", "--household", home, "--from", now, "--json", "--work", "quick")
    assert ran.code == 0, ran.err
    document: dict[str, Any] = json.loads(ran.out)
    return document


def test_a_feed_is_printed_written_ticked_and_moved(rotation: Run, fed_home: Path) -> None:
    (feed,) = planned(rotation, fed_home, NOW)["feeds"]
    assert feed["start"] == "2027-03-06T12:00+01:00"
    assert feed["what"] == "5.0 g starter + 25 wheat flour + 25 water, KEEP 30 starter"
    printed = rotation("plan", "--household", fed_home, "--from", NOW, "--work", "quick").out
    assert "12:00 Jo  FEED STARTER: 5.0 g starter + 25 wheat flour + 25 water, KEEP 30 starter." in printed
    assert "[sat-feed]" in printed
    assert "FEED STARTER" in rotation("now", "--household", fed_home, "--now", "2027-03-06T11:50").out
    assert rotation("publish", "--household", fed_home, "--now", NOW, "--yes").code == 0
    jo = Family(FolderClient(fed_home / "calendars" / "bread"))
    jo.move(jo.named("Feed starter"), "20270306T075500Z", "20270306T080000Z")
    (feed,) = planned(rotation, fed_home, "2027-03-05T18:00")["feeds"]
    assert feed["start"] == "2027-03-06T08:55+01:00", "where the family moved it"
    assert rotation("publish", "--household", fed_home, "--now", "2027-03-05T18:00", "--yes").code == 0
    jo.tick(jo.named("Feed starter"))
    assert planned(rotation, fed_home, "2027-03-06T09:30")["feeds"] == []
    assert ("feed", True) in steps(fed_home)


def test_it_is_done_skipped_or_deleted_like_any_step(rotation: Run, fed_home: Path) -> None:
    planned(rotation, fed_home, NOW)
    assert rotation("publish", "--household", fed_home, "--now", NOW, "--yes").code == 0
    jo = Family(FolderClient(fed_home / "calendars" / "bread"))
    jo.delete(jo.named("Feed starter"))
    document = planned(rotation, fed_home, "2027-03-05T18:00")
    assert len(document["feeds"]) == 1
    assert [one for one in document["notes"] if "put back: the starter wants it" in one["text"]]
    at_nine = ("--household", fed_home, "--now", "2027-03-06T09:00")
    assert "Done: sat-feed" in rotation("done", "sat-feed", *at_nine).out
    assert planned(rotation, fed_home, "2027-03-06T09:05")["feeds"] == []
    assert rotation("done", "sat-feed", "--undo", *at_nine).code == 0
    assert len(planned(rotation, fed_home, "2027-03-06T09:10")["feeds"]) == 1
    assert rotation("done", "starter", *at_nine).out.startswith("Starter fed, Sat 6 Mar 9:00.")
    assert planned(rotation, fed_home, "2027-03-06T09:15")["feeds"] == []


def test_it_is_said_in_a_word(say: Say) -> None:
    assert say("done starter --at 07:30", "08:00") == "Starter fed, Sat 6 Mar 7:30."


def test_a_feed_that_was_not_one_is_taken_back_the_last_said_first(rotation: Run, fed_home: Path) -> None:
    before, at_nine = (("--household", fed_home, "--now", f"2027-03-06T{when}") for when in ("08:00", "09:00"))
    assert len(planned(rotation, fed_home, NOW)["feeds"]) == 1
    rotation("done", "starter", *before)
    rotation("done", "starter", *at_nine)
    assert rotation("done", "starter", "--undo", *at_nine).out == "Taken back: starter fed, Sat 6 Mar 9:00.\n"
    assert planned(rotation, fed_home, "2027-03-06T09:10")["feeds"] == [], "the one of eight o'clock stands"
    assert rotation("done", "starter", "--undo", *at_nine).out == "Taken back: starter fed, Sat 6 Mar 8:00.\n"
    assert len(planned(rotation, fed_home, "2027-03-06T09:15")["feeds"]) == 1
    refused = rotation("done", "starter", "--undo", *at_nine)
    assert (refused.code, refused.out) == (2, "")
    assert "no feed of the starter was said" in refused.err
    assert rotation("done", "starter", *at_nine).code == 0, "and said again"
    assert planned(rotation, fed_home, "2027-03-06T09:20")["feeds"] == []


def test_a_feed_to_come_or_counted_is_refused(rotation: Run, home: Path) -> None:
    for words in (("starter", "--at", "2027-03-06T12:00"), ("starter", "--count", "2"), ("starter", "sat-mix")):
        ran = rotation("done", *words, "--household", home, "--now", "2027-03-06T08:00")
        assert (ran.code, ran.out) == (2, ""), words
    assert steps(home) == []
