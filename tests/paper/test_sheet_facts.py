"""What the sheet says is what the plan says: every line, meal and bag, from today on, with what is done by now."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from rotation.buying import Loaves
from rotation.happened import Happened, What
from rotation.household.reading import Home
from rotation.keeping import HOT_IRON, RAW, STEAM
from rotation.show.sheet import Sheet, sheet
from rotation.show.strip_table import rows
from rotation.units import Display
from tests.paper.sample import DAY, FRIDAY, LOTS, NOTHING, document, told
from tests.show.sample import ZONE


def test_every_line_of_the_plan_is_on_it(weekend: Sheet) -> None:
    of = document()
    lines = [line for day in of["days"] for line in day["lines"] if line["kind"] == "do"]
    acts = [act for day in weekend.days for act in day.acts]
    joined = [f"{act.act}{act.what}{' ' if act.detail else ''}{act.detail}" for act in acts]
    assert joined == [line["what"] for line in lines]
    assert [(act.times, act.who, act.short) for act in acts] == [
        (line["times"], line["who"], line["short"] or "") for line in lines
    ]
    assert [meal.title for day in weekend.days for meal in day.meals] == [meal["summary"] for meal in of["meals"]]
    assert [day.tonight for day in weekend.days] == [day["freezer_tonight"] for day in of["days"]]


def test_acts_are_told_from_what_to_weigh_and_for_whom(weekend: Sheet) -> None:
    found = {act.act: act for day in weekend.days for act in day.acts}
    mix, out, pot = found["MIX"], found["BREAD OUT"], found["IN"]
    assert (mix.what, mix.detail[:13]) == (" 3 sourdough (by 11:35):", "200 g starter")
    assert out.detail == "For Breakfast with Grandma (Sat 8:35)."
    assert pot.caution == HOT_IRON


def test_days_begin_with_today(house: Home) -> None:
    later = told(house, FRIDAY + DAY)
    assert later is not None
    assert [day.date.day for day in later.days] == [6, 7]
    assert told(house, FRIDAY + 3 * DAY) is None
    one = told(house, days=1)
    assert one is not None
    assert (len(one.days), one.span) == (1, "Fri 5 Mar 2027")
    assert later.span == "Sat 6 Mar to Sun 7 Mar 2027"


def test_an_old_plan_is_said_to_be_old(house: Home) -> None:
    ages = [told(house, FRIDAY + hours * timedelta(hours=1)) for hours in (0, 23, 24, 49)]
    assert [found.old[:25] if found else None for found in ages] == [
        "", "", "This plan is a day old. P", "This plan is 2 days old. "
    ]  # fmt: skip


def test_what_is_done_is_marked(house: Home) -> None:
    done = [Happened(id=step, thing="bake-1", step=step, what=What.DONE) for step in ("mix", "fold 3")]
    marked = told(house, happened=tuple(done))
    assert marked is not None
    assert [(act.act, act.over) for day in marked.days for act in day.acts if act.over] == [
        ("MIX", "done"), ("fold", "done")
    ]  # fmt: skip


def test_what_will_not_be_done_is_off_with_all_that_is_part_of_it(house: Home) -> None:
    rows = (
        Happened(id="1", thing="bake-1", step="feed", what=What.DONE),
        Happened(id="2", thing="bake-1", step="mix", what=What.SKIPPED),
    )
    marked = told(house, happened=rows)
    assert marked is not None
    sunday = marked.days[2].acts
    assert {act.over for act in sunday} == {"off"}, "the oven is not switched on either"
    assert [act.over for act in marked.days[0].acts if act.act == "FEED STARTER"] == ["done"]


def test_the_freezer_is_oldest_first_and_says_what_wants_eating(weekend: Sheet) -> None:
    assert [(bag.letter, bag.what, bag.standing, bag.soon) for bag in weekend.bags] == [
        ("C", "1 Country loaf, part-baked", "eat first", True),
        ("A", "30 slices of Tin loaf", "eat within 15 days", False),
    ]


def test_what_to_buy_by_then_stands_together(house: Home) -> None:
    by = datetime(2027, 3, 6, 17, tzinfo=UTC)
    shopping = replace(NOTHING, loaves=(Loaves("one", 1, by, ()), Loaves("two", 2, by, ())))
    found = sheet(house, document(), (), LOTS, {}, shopping, FRIDAY)
    assert found is not None
    assert found.buy == (("by Sat 6 Mar 18:00", "1 loaf of bread and 2 loaves of bread"),)


def test_cautions_are_those_of_the_days(house: Home, weekend: Sheet) -> None:
    assert {RAW, HOT_IRON, STEAM} <= set(weekend.cautions)
    friday = told(house, days=1)
    assert friday is not None
    assert not {RAW, HOT_IRON, STEAM} & set(friday.cautions)


def test_the_table_says_what_the_picture_shows(weekend: Sheet) -> None:
    days = tuple(day.date for day in weekend.days)
    told_rows = rows(weekend.strips, days, weekend.names, ZONE, Display())
    jobs = sum(len(one["jobs"]) for one in weekend.strips["people"])
    spans = sum(len(one["taken"]) + len(one["on"]) for one in weekend.strips["ovens"])
    levels = len(weekend.strips["fridge"]) + len(weekend.strips["freezer"])
    free = [row for row in told_rows if row.what.startswith("hands free")]
    assert len(told_rows) - len(free) == jobs + spans + levels
    assert [row.what for row in told_rows if row.strip == "oven"] == [
        "Small rolls in, 220 degC, on from 7:45", "sourdough in, 230 degC, on from 7:45", "taken, not for bread"
    ]  # fmt: skip
    in_degf = rows(weekend.strips, days, weekend.names, ZONE, Display(temperature="degF"))
    assert any("425 degF" in row.what for row in in_degf)
