"""The strips of a plan: whatever a picture shows is what the plan says, within the shown days and the house."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from typing import Any

from rotation.facts import jobs
from rotation.plan import Bake, Feeding
from rotation.show.strips import strips_json
from rotation.telling import shown
from tests.show.sample import plan, problem

HOUSE = problem()
STRIPS = strips_json(HOUSE, shown(HOUSE, plan()))


def minute(said: str) -> int:
    return int((datetime.fromisoformat(said) - HOUSE.zero).total_seconds()) // 60


def test_every_minute_of_hands_is_in_them() -> None:
    told = {
        (one["id"], job["what"], minute(job["start"]), minute(job["end"]))
        for one in STRIPS["people"]
        for job in one["jobs"]
    }
    found = [job for job in jobs(HOUSE, shown(HOUSE, plan())) if job.start < HOUSE.midnights[HOUSE.shown_days]]
    assert told == {(job.person, job.step, job.start, job.end) for job in found}
    assert told


def test_a_feed_beside_any_bake_is_work_too() -> None:
    fed = replace(plan(), feedings=(Feeding("feed-1", 1500, 1505, "sam"),))
    (sam,) = (one for one in strips_json(HOUSE, shown(HOUSE, fed))["people"] if one["id"] == "sam")
    assert ("feed", 1500) in [(job["what"], minute(job["start"])) for job in sam["jobs"]]


def test_jobs_lie_where_hands_are_free() -> None:
    for one in STRIPS["people"]:
        free = [(span["start"], span["end"]) for span in one["free"]]
        assert all(any(since <= job["start"] and job["end"] <= until for since, until in free) for job in one["jobs"])


def test_ovens_show_each_stay_from_the_moment_it_is_switched_on() -> None:
    (oven,) = STRIPS["ovens"]
    stays = [bake.stay for bake in plan().bakes] + [finish.stay for finish in plan().finishes]
    assert {one["id"] for one in oven["on"]} == {stay.id for stay in stays}
    assert all(one["heat_from"] <= one["start"] < one["end"] for one in oven["on"])


def test_levels_change_only_where_something_does_and_never_exceed_what_there_is() -> None:
    for what in ("fridge", "freezer"):
        levels: list[dict[str, Any]] = STRIPS[what]
        assert minute(levels[0]["time"]) == 0
        assert all(one["used"] <= one["of"] for one in levels)
        pairs = [(one["used"], one["of"]) for one in levels]
        assert all(before != after for before, after in pairwise(pairs))
        assert [one["time"] for one in levels] == sorted(one["time"] for one in levels)
    assert max(one["used"] for one in STRIPS["fridge"]) == 3, "the loaves of the bake in cold proof"


def test_what_is_in_the_fridge_follows_the_plan() -> None:
    """A bake that holds twice as many pieces holds twice the spots."""

    def twice(bake: Bake) -> Bake:
        return replace(bake, pieces=tuple((id_, 2 * number) for id_, number in bake.pieces))

    more = replace(plan(), bakes=tuple(map(twice, plan().bakes)))
    before, after = (max(one["used"] for one in strips_json(HOUSE, shown(HOUSE, which))["fridge"])
                     for which in (plan(), more))  # fmt: skip
    assert after == 2 * before
