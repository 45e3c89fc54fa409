"""What is at hand, of a kept plan of one part-baked loaf and one bake; a plan as text is all that it needs."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from rotation.happened import Happened, What
from rotation.ledger import Happenings, Ledger
from tests.commands.conftest import Run
from tests.commands.test_quick import HEAVY, loaded

DAY = "2027-03-02T"


def at(time: str) -> str:
    return f"{DAY}{time}+01:00"


def step(name: str, start: str, end: str) -> dict[str, Any]:
    return {"name": name, "short": f"tue-{name}", "start": at(start), "end": at(end), "who": "jo"}


def stay(of: str, heat: str, start: str, end: str, who_on: str | None) -> dict[str, Any]:
    out = {"name": "out", "start": at(end), "end": at(end), "who": "jo"}
    return {"id": f"{of}:oven", "oven": "oven", "heat": heat, "heat_from": at("09:45"), "start": at(start),
            "end": at(end), "who_on": who_on, "programme": {"degc": 220}, "events": [out]}  # fmt: skip


PLAN: dict[str, Any] = {
    "schema": "rotation/plan/1",
    "horizon": {"end": "2027-03-03T00:00+01:00"},
    "people": [{"id": "jo", "name": "Jo"}],
    "meals": [{"id": "m", "summary": "Supper", "start": at("18:30")}],
    "lots": [{"id": "lot-a", "letter": "A"}],
    "bakes": [{"id": "bake", "bread": "country", "pieces": 2, "stay": "bake:oven", "short_out": "tue-out",
               "steps": [step("mix", "08:00", "08:15"), step("oven", "10:00", "10:05"),
                         step("bag", "14:00", "14:10")]}],
    "oven": [stay("bake", "cold", "10:00", "10:45", "jo"), stay("thaw", "after:bake:oven", "11:00", "11:15", None)],
    "thaws": [{"id": "thaw", "short": "tue-thaw", "start": at("06:45"), "who": "jo", "bread": "country", "pieces": 1,
               "form": "part-baked", "place": "worktop", "lots": [{"id": "lot-a", "pieces": 1}],
               "meals": [{"id": "m"}]}],
    "finishes": [{"id": "finish", "short": "tue-finish", "thaw": "thaw", "stay": "thaw:oven", "bread": "country",
                  "pieces": 1, "start": at("11:00"), "end": at("11:15"), "ready": at("11:30"), "who": "jo",
                  "who_out": "jo", "meals": [{"id": "m"}]}],
    "bought": [{"loaves": 1, "buy_by": at("18:00"), "meals": []}],
    "discards": [],
}  # fmt: skip


@pytest.fixture
def kept(home: Path) -> Path:
    (home / ".rotation").mkdir()
    with Ledger.open(home / ".rotation") as ledger:
        ledger.keep_plan(json.dumps(PLAN), datetime(2027, 3, 1, 17, tzinfo=UTC))
    return home


def said(rotation: Run, home: Path, time: str) -> list[str]:
    ran = rotation("now", "--household", home, "--now", f"{DAY}{time}")
    assert ran.code == 0, ran.err
    return ran.out.replace("\n      ", " ").splitlines()  # what goes on beneath is one line


def test_three_lines_say_what_is_due_and_what_comes(rotation: Run, kept: Path) -> None:
    lines = said(rotation, kept, "06:50")
    assert [line.split()[0] for line in lines] == ["NOW", "NEXT", "THEN"]
    assert "Jo: BREAD OUT 1 " in lines[0]
    assert "bag A, freezer to worktop, for Supper. [tue-thaw]" in lines[0]
    assert "8:00 Jo: MIX 2 " in lines[1]
    assert "9:45 Jo: OVEN ON 220" in lines[2]


def test_what_is_bought_any_time_of_a_day_has_no_clock_but_its_deadline(rotation: Run, kept: Path) -> None:
    assert said(rotation, kept, "06:10")[0].startswith("NOW   BUY 1 loaf by 18:00.")
    ran = rotation("now", "--household", kept, "--now", "2027-03-01T20:00")
    assert ran.out.splitlines()[1] == "NEXT  BUY 1 loaf by Tue 18:00."


def test_a_thaw_is_assumed_and_a_step_nobody_spoke_of_is_asked_about(rotation: Run, kept: Path) -> None:
    text = " ".join(said(rotation, kept, "09:50"))
    assert "Not said yet: tue-mix. All as planned? rotation done all" in text
    assert "BREAD OUT" not in text
    assert "OVEN ON" in text, "it is due until the loaves go in"


def test_what_was_done_is_asked_for_no_more(rotation: Run, kept: Path) -> None:
    rows = [Happened(id=f"done {step}", thing="bake@2027", step=step, what=What.DONE) for step in ("mix", "oven")]
    with Ledger.open(kept / ".rotation") as ledger:
        Happenings(ledger).record(rows, datetime(2027, 3, 2, 9, 30, tzinfo=UTC))
    lines = said(rotation, kept, "10:10")
    assert "MIX" not in lines[0]
    assert "IN: 2" not in lines[0]
    assert "OVEN ON" not in " ".join(lines)
    assert "10:45 Jo: OUT: 2 " in lines[1]


def happened(kept: Path, step: str, time: str, count: int | None = None) -> None:
    start = datetime.fromisoformat(at(time))
    row = Happened(id=f"done {step}", thing="bake@2027", step=step, what=What.DONE, start=start, count=count)
    with Ledger.open(kept / ".rotation") as ledger:
        Happenings(ledger).record([row], start)


def test_bread_stays_in_the_oven_as_long_as_planned_however_late_it_went_in(rotation: Run, kept: Path) -> None:
    happened(kept, "oven", "10:18")
    assert "11:03 Jo: OUT: 2 " in " ".join(said(rotation, kept, "10:50")), "45 minutes from 10:18"
    happened(kept, "out", "11:04")
    assert "14:19 Jo: BAG 2 " in " ".join(said(rotation, kept, "11:30")), "it cools as long as planned"


def test_what_follows_late_dough_is_as_late_and_what_is_a_few_minutes_late_is_not(rotation: Run, kept: Path) -> None:
    happened(kept, "mix", "08:04")
    assert "9:45 Jo: OVEN ON" in " ".join(said(rotation, kept, "09:00"))
    with Ledger.open(kept / ".rotation") as ledger:
        Happenings(ledger).take_back(["done mix"], datetime(2027, 3, 2, 8, tzinfo=UTC))
    happened(kept, "mix", "08:30")
    lines = " ".join(said(rotation, kept, "09:00"))
    assert "10:15 Jo: OVEN ON" in lines
    assert "10:30 Jo: IN: 2 " in lines


def test_no_bag_is_asked_for_that_nothing_is_left_for(rotation: Run, kept: Path) -> None:
    happened(kept, "out", "10:45", 1)
    assert "14:00 Jo: BAG 1 " in " ".join(said(rotation, kept, "11:30"))
    with Ledger.open(kept / ".rotation") as ledger:
        Happenings(ledger).take_back(["done out"], datetime(2027, 3, 2, 10, tzinfo=UTC))
    happened(kept, "out", "10:45", 0)
    assert "BAG" not in " ".join(said(rotation, kept, "11:30"))


def test_a_bake_that_is_off_asks_for_nothing(rotation: Run, kept: Path) -> None:
    row = Happened(id="skipped", thing="bake", step="mix", what=What.SKIPPED)
    with Ledger.open(kept / ".rotation") as ledger:
        Happenings(ledger).record([row], datetime(2027, 3, 2, 5, tzinfo=UTC))
    lines = said(rotation, kept, "07:50")
    assert "11:00 Jo: IN: 1 " in lines[1]


def test_the_end_of_the_plan_is_said(rotation: Run, kept: Path) -> None:
    lines = said(rotation, kept, "20:00")
    assert lines[1] == "NEXT  Nothing more until the plan ends, Tue 2 Mar."
    assert lines[2] == "THEN  Plan on: rotation plan"


def test_without_a_plan_one_is_asked_for(rotation: Run, home: Path) -> None:
    assert said(rotation, home, "20:00") == ["No plan is kept. Make one: rotation plan"]
    ran = rotation("now", "--household", home, "--now", f"{DAY}20:00", "--json")
    assert json.loads(ran.out)["next"] == []


def test_json_has_the_same(rotation: Run, kept: Path) -> None:
    ran = rotation("now", "--household", kept, "--now", f"{DAY}07:50", "--json")
    document = json.loads(ran.out)
    assert document["schema"] == "rotation/now/1"
    kinds = {part: [task["kind"] for task in document[part]] for part in ("now", "next", "then", "unsaid")}
    assert kinds == {"now": ["buy"], "next": ["step"], "then": ["on"], "unsaid": []}


def test_it_is_quick(kept: Path) -> None:
    code, names = loaded("now", "--household", str(kept), "--now", f"{DAY}07:50")
    assert code == 0
    assert not names & {*HEAVY, "highspy", "scipy"}
