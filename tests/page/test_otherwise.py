"""What went otherwise than planned: the page counts from it, says so, and offers to plan again until that is done."""

from __future__ import annotations

import json

from rotation.happened import Happened, What
from rotation.ledger import Happenings, Ledger
from tests.page.kitchen import SATURDAY, Clock, Person, at, clock, person, planned, words

__all__ = ["clock", "person", "planned"]

LATE = "Oven, 1 Milk loaf: 20 min later than planned."


def test_bread_that_went_in_late_comes_out_as_much_later(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}18:20")
    assert "18:50 Jo OUT: 1 Milk loaf" in person.see("/")
    assert "Oven, 1 Milk loaf" not in person.see("/"), "who says nothing is not late"
    clock.now = at(f"{SATURDAY}18:40")
    assert f"{LATE} Undo Plan again" in person.tap("/step/sat-oven/done", at="18:35")
    for page in ("/", "/timers"):
        seen = person.see(page)
        assert f"{LATE} Plan again" in seen
        assert "19:10 Jo OUT: 1 Milk loaf" in seen, seen
        assert "18:50" not in seen
    assert "19:10 out." in person.see("/step/sat-oven")
    assert "An adult stays in until 19:40" in person.see("/step/sat-out"), "half an hour after it is off"
    person.work("/plan", work="quick")
    assert "later than planned" not in person.see("/")
    assert "19:10 Jo OUT: 1 Milk loaf" in person.see("/")


def test_dough_that_is_late_is_shaped_later_and_what_is_on_time_offers_nothing(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}16:00")
    assert "Plan again" not in person.tap("/step/sat-mix/done", at="15:23")
    assert "17:05 Jo SHAPE 1 Milk loaf" in person.see("/")
    person.tap("/take-back", step="sat-mix")
    told = person.tap("/step/sat-mix/done", at="15:35")
    assert "Mix, 1 Milk loaf: 15 min later than planned. Undo Plan again" in told
    assert "17:20 Jo SHAPE 1 Milk loaf" in person.see("/")
    assert "By the clock, in 80 min : SHAPE 1 Milk loaf" in person.see("/")


def test_loaves_lost_are_promised_no_more(person: Person, clock: Clock) -> None:
    clock.now = at(f"{SATURDAY}18:52")
    told = person.tap("/step/sat-out/done", count="0")
    assert "None of 1 Milk loaf came out. Undo Plan again" in told
    seen = person.see("/")
    assert "Bread today: less than planned" in seen
    assert "None of 1 Milk loaf came out. Plan again" in seen
    assert "Freezer tonight" not in seen
    assert "None of 1 Milk loaf came out. Plan again" in person.see("/week")
    person.tap("/take-back", step="sat-out")
    assert "Bread today: enough" in person.see("/")


def test_the_bag_of_a_lost_loaf_is_no_step_any_more(person: Person, clock: Clock) -> None:
    """Of two loaves, one for the table, the one that is lost was for the freezer."""
    with Ledger.open(person.folder / ".rotation") as ledger:
        plan = json.loads(ledger.kept_plan() or "")
        (bake,) = plan["bakes"]
        bag = bake["steps"][0] | {"name": "bag", "short": "sat-bag"}
        bag |= {"start": f"{SATURDAY}22:00+01:00", "end": f"{SATURDAY}22:05+01:00"}
        bake |= {"pieces": 2, "to_table": 1, "to_freezer": 1, "steps": [*bake["steps"], bag]}
        ledger.keep_plan(json.dumps(plan), clock.now)
        thing = bake["id"]
    clock.now = at(f"{SATURDAY}18:52")
    assert "22:00 Jo BAG 2 Milk loaves" in person.see("/")
    row = Happened(id="done out", thing=thing, step="out", what=What.DONE, start=at(f"{SATURDAY}18:50"), count=1)
    with Ledger.open(person.folder / ".rotation") as ledger:
        Happenings(ledger).record([row], clock.now)
    seen = person.see("/")
    assert "Only 1 of 2 Milk loaves came out. Plan again" in seen
    assert "BAG" not in seen
    gone = words(person.client.get("/step/sat-bag").text)
    assert "Fewer came out than planned, so nothing is left for that step." in gone
