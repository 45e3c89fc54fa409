"""Breads: waits that follow the room, forms, routes; what stock is worth; what is there at the start."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from rotation.fermentation import OutsideRange, scaled
from rotation.household import Bread, Household, Stock
from rotation.household.reading import Home
from rotation.intake import Bag, Intake, PublishedBake, build
from rotation.intake.breads import lead
from rotation.problem import TABLE, Kept, Process, Programme, Stage, Treatment, Wait

Understood = Callable[..., Intake]
BERLIN = ZoneInfo("Europe/Berlin")
MONDAY = datetime(2027, 3, 1, tzinfo=BERLIN)


def loaf(**more: Any) -> dict[str, Any]:
    return {
        "name": "Loaf", "portions": 10, "piece_grams": 800,
        "formula": {"flours": {"wheat flour": 100}, "water_percent": 70, "others": {"salt": 2}},
        "oven": {"degc": 230, "covered_minutes": 20, "uncovered_minutes": 20, "handling_minutes": 4},
        "forms": {"part-baked": {}, "sliced": {}},
        "processes": [{
            "id": "day", "pieces": [1, 2],
            "stages": [
                {"name": "mix", "hands_minutes": 10, "then_minutes": [30, 40]},
                {"name": "fold", "hands_minutes": 3, "then_minutes": [20, 200]},
                {"name": "shape", "hands_minutes": 5, "hands_minutes_per_piece": 2, "then_minutes": [60, 90],
                 "warm": True},
                {"name": "oven", "hands_minutes": 9},
                {"name": "bag", "hands_minutes": 2, "hands_minutes_per_piece": 1},
            ],
            "spans": [{"first": "mix", "second": "shape", "minutes": [120, 150], "warm": True}],
        }],
        **more,
    }  # fmt: skip


def process(intake: Intake) -> Process:
    return intake.problem.bread("loaf").processes[0]


def test_a_process_is_taken_over_stage_by_stage(understood: Understood) -> None:
    made = process(understood(breads={"loaf": loaf()}))
    assert made.stages == (
        Stage("mix", 10), Stage("fold", 3), Stage("shape", 5, 2), Stage("oven", 4), Stage("bag", 2, 1),
    )  # fmt: skip
    assert made.waits == (
        Wait("mix", "fold", ((30, 40),)), Wait("fold", "shape", ((20, 200),)), Wait("shape", "oven", ((60, 90),)),
        Wait("mix", "shape", ((120, 150),), True),
    )  # fmt: skip
    assert made.programme == Programme(230, 20, 1, 4)
    assert made.treatments == (
        Treatment(TABLE, 20, 60), Treatment("part-baked", 10, 120, 840, 720), Treatment("sliced", 20, 120, 840, 720),
    )  # fmt: skip


def test_warm_waits_follow_the_room_on_each_day(understood: Understood) -> None:
    cold = {"from": "2027-03-03", "until": "2027-03-04", "setting": "room_degc", "value": 17}
    waits = {
        wait.first: wait
        for wait in process(understood(breads={"loaf": loaf()}, exceptions=[cold])).waits
        if wait.second == "oven"
    }
    slow = (scaled(60, 21, 17, "starter"), scaled(90, 21, 17, "starter"))
    assert slow[0] > 75
    assert [waits["shape"].on(day) for day in range(5)] == [(60, 90), (60, 90), slow, slow, (60, 90)]
    cool = process(understood(breads={"loaf": loaf()}, kitchen={"room_degc": 19}))
    assert cool.waits[0].bounds == ((30, 40),)  # a fold does not wait for the room
    assert cool.waits[2].bounds == ((scaled(60, 21, 19, "starter"), scaled(90, 21, 19, "starter")),)


def test_waits_that_no_longer_agree_are_noted(understood: Understood) -> None:
    bread = loaf()
    bread["processes"][0]["stages"][1]["then_minutes"] = [20, 70]
    cold = {"from": "2027-03-03", "until": "2027-03-04", "setting": "room_degc", "value": 16}
    notes = [str(note) for note in understood(breads={"loaf": bread}, exceptions=[cold]).notes]
    assert [note for note in notes if "16 degC" in note and "mix to shape" in note and "2 times" in note]
    assert not [n for n in understood(breads={"loaf": bread}).notes if n.about == "breads" and "agree" in n.text]


def test_a_room_nobody_knows_anything_about_is_said(understood: Understood) -> None:
    with pytest.raises(OutsideRange, match="8 degC"):
        understood(breads={"loaf": loaf()}, kitchen={"room_degc": 8})


def test_without_a_bag_nothing_is_frozen_and_without_a_table_nothing_is_fresh(understood: Understood) -> None:
    bread = loaf()
    del bread["processes"][0]["stages"][-1]
    assert [t.id for t in process(understood(breads={"loaf": bread})).treatments] == [TABLE]
    assert [t.id for t in process(understood(breads={"loaf": loaf(table=False)})).treatments] == [
        "part-baked",
        "sliced",
    ]


def test_forms_and_routes_have_the_usual_figures(understood: Understood) -> None:
    bread = understood(breads={"loaf": loaf()}).problem.bread("loaf")
    part, sliced = bread.form("part-baked"), bread.form("sliced")
    assert (part.units_per_piece, part.portions_per_unit, part.unit_grams, part.load_grams) == (1, 10, 696, 418)
    assert (sliced.units_per_piece, sliced.portions_per_unit) == (10, 1)
    assert part.unit_dl <= sliced.unit_dl * 10
    assert (part.eat_first, part.toast_after, part.strict) == (4 * 10080, 12 * 10080, None)
    toast = bread.route("toast")
    assert (toast.handling_out, toast.thaw, toast.oven, toast.place, toast.keeps) == (0, (0, 0), None, "", 0)
    assert {route.place for route in bread.routes} == {"worktop", "fridge", ""}
    hot = understood(breads={"loaf": loaf()}, kitchen={"room_degc": 29}).problem.bread("loaf")
    assert "worktop" not in {route.place for route in hot.routes}


def test_a_finish_in_parts_begins_at_the_first_heat_and_says_when_to_set_the_next(understood: Understood) -> None:
    """A loaf straight from the freezer, by T07: half an hour at 150 degC, then twenty minutes at 230."""
    bread = understood(breads={"loaf": loaf()}).problem.bread("loaf")
    route = bread.route("part-baked-frozen")
    assert (route.oven, route.turns) == ((150, 50), ((30, 230),))
    assert all(other.turns == () for other in bread.routes if other is not route)


def test_a_bake_at_two_temperatures_says_when_to_set_the_second(understood: Understood) -> None:
    lid_off = {
        "degc": 250,
        "covered_minutes": 25,
        "uncovered_minutes": 20,
        "then": [{"after_minutes": 25, "degc": 220}],
    }
    programme = process(understood(breads={"loaf": loaf(oven=lid_off)})).programme
    assert (programme.degc, programme.covered, programme.turns) == (250, 25, ((25, 220),))
    assert process(understood(breads={"loaf": loaf()})).programme.turns == ()


def test_a_day_off_the_rhythm_costs_more(understood: Understood) -> None:
    made = process(
        understood(breads={"loaf": loaf()}, plan={"usual_days": ["wed", "sat"]}, weights={"bake": 8, "unusual_day": 3})
    )
    assert [made.mixed_on(day) for day in range(7)] == [11000, 11000, 8000, 11000, 11000, 8000, 11000]
    assert process(understood(breads={"loaf": loaf()}, plan={"usual_days": "every day"})).unusual == ()


def test_what_a_household_says_of_an_ingredient_counts(understood: Understood) -> None:
    odd = loaf(formula={"flours": {"wheat flour": 100}, "water_percent": 70, "others": {"grandmother's mix": 5}})
    assert "?" in understood(breads={"loaf": odd}).problem.bread("loaf").allergens
    said = understood(breads={"loaf": odd}, contains={"grandmother's mix": ["sesame"]}).problem.bread("loaf").allergens
    assert said == {"gluten", "wheat", "sesame"}


def test_lead_is_the_shortest_whole_run() -> None:
    made = Process(
        "p", "p", (Stage("mix", 10), Stage("fold", 3), Stage("shape", 5, 2), Stage("oven", 4), Stage("bag", 2)),
        (Wait("mix", "fold", ((30, 40),)), Wait("fold", "shape", ((20, 200),)), Wait("shape", "oven", ((60, 90),)),
         Wait("mix", "shape", ((120, 150),), True)),
        (), Programme(230, 20, 1, 4), (Treatment("table", 20, 60), Treatment("part-baked", 10, 120, 840, 720)),
        (1, 2), 0,
    )  # fmt: skip
    assert lead(made) == 120 + 9 + 60 + 4 + 2 + 40 + 840


def test_stock_is_worth_its_effort_then_half_then_nothing(understood: Understood) -> None:
    habits = {"loaves_a_week": 2, "slices_a_loaf": 10}
    more = {
        "habits": habits,
        "shop": {"price_minutes": 100},
        "weights": {"bake": 10},
        "kitchen": {"freezer_litres": 80},
    }
    held = {"portions": 12, "stocked_weeks": 0, "beyond_share": 0.5, "cover_weeks": 2}
    bread = understood(breads={"loaf": loaf()}, reserve=held, **more).problem.bread("loaf")
    fuller = understood(breads={"loaf": loaf()}, reserve=held | {"stocked_weeks": 1.5}, **more).problem.bread("loaf")
    hands = 10 + 3 + 9 + 4 + (2 * 3 - 1) * 4 + 4  # two loaves, each in, lid off, out
    worth = round((10 + hands) * 1000 / 20)
    assert bread.worth == ((12, worth), (40 - 12, round(worth / 2)))
    assert fuller.worth == ((30, worth), (40 - 30, round(worth / 2)))  # twenty slices a week
    cheap = understood(breads={"loaf": loaf()}, **{**more, "shop": {"price_minutes": 16}}).problem
    assert cheap.bread("loaf").worth[0][1] == 900  # never the price of an unmet portion
    assert cheap.weights.unmet_portion == 1000


def test_bread_nobody_eats_by_habit_is_worth_nothing(understood: Understood) -> None:
    other = deepcopy(loaf(name="Other"))
    eaten = [{"name": "Supper", "at": "18:30", "share": 1.0, "breads": ["loaf"]}]
    problem = understood(breads={"loaf": loaf(), "other": other}, habits={"eaten": eaten}).problem
    assert problem.bread("loaf").worth
    assert problem.bread("other").worth == ()


def test_the_reserve_is_shared_out_among_breads_that_stand_in_for_each_other(understood: Understood) -> None:
    eaten = [{"name": "Breakfast", "at": "07:00", "share": 0.25, "breads": ["sweet"]},
             {"name": "Supper", "at": "18:30", "share": 0.75, "breads": ["loaf", "other"]}]  # fmt: skip
    guests = {"summary": "guests*", "breads": ["loaf", "sweet"], "ways": ["fresh", "finished"], "strict": True}
    breads = {name: deepcopy(loaf()) for name in ("loaf", "other", "sweet")}
    prices = {"reserve_night": 0.3, "stocked_lowest": 0.4, "reserve_lowest": 2}
    more = {"habits": {"eaten": eaten, "loaves_a_week": 2, "slices_a_loaf": 20}, "meals": [guests], "weights": prices}
    more["kitchen"] = {"freezer_litres": 80}
    loaves = ("loaf", "sliced"), ("other", "sliced")  # what is part-baked wants an oven first
    held = {"portions": 20, "guests": 9, "stocked_weeks": 1.5}
    problem = understood(breads=breads, reserve=held, **more).problem
    suppers = sum(meal.portions for meal in problem.meals if len(meal.accepts) > 1)
    share = suppers / sum(meal.portions for meal in problem.meals)
    a_week = suppers * 7 / problem.days
    assert (share, a_week) == (pytest.approx(0.75, abs=0.1), pytest.approx(30, abs=3)), "of forty a week"
    assert problem.reserve == (
        Kept(loaves, round(1.5 * a_week), 300, 400),
        Kept(loaves, round(20 * share), 0, 2000),
        Kept((("sweet", "sliced"),), round(1.5 * a_week * (1 - share) / share), 300, 400),
        Kept((("sweet", "sliced"),), round(20 * (1 - share)), 0, 2000),
        Kept((("loaf", "part-baked"), ("sweet", "part-baked")), 9, 300, 2000),  # slices are for the toaster
    )
    nothing = {"portions": 0, "guests": 0, "stocked_weeks": 0}
    assert understood(breads=breads, reserve=nothing, **more).problem.reserve == ()


def test_no_more_is_to_be_stocked_than_half_the_freezer(understood: Understood) -> None:
    eaten = [{"name": "Supper", "at": "18:30", "share": 1.0, "breads": ["loaf"]}]
    more = {"habits": {"eaten": eaten, "loaves_a_week": 5, "slices_a_loaf": 20}, "kitchen": {"freezer_litres": 10}}
    problem = understood(breads={"loaf": loaf()}, reserve={"portions": 10}, **more).problem
    stocked, kept = problem.reserve
    slice_dl = problem.bread("loaf").form("sliced").unit_dl
    assert (stocked.portions, kept.portions) == (50 // slice_dl, 10)
    assert 50 // slice_dl < 100


def test_breads_eaten_apart_share_half_the_freezer(understood: Understood) -> None:
    eaten = [{"name": "Breakfast", "at": "07:00", "share": 0.25, "breads": ["sweet"]},
             {"name": "Supper", "at": "18:30", "share": 0.75, "breads": ["loaf"]}]  # fmt: skip
    more = {"habits": {"eaten": eaten, "loaves_a_week": 9, "slices_a_loaf": 20}, "kitchen": {"freezer_litres": 20}}
    breads = {name: deepcopy(loaf()) for name in ("loaf", "sweet")}
    problem = understood(breads=breads, reserve={"portions": 4, "guests": 0}, **more).problem
    dl = {bread.id: bread.form("sliced").unit_dl for bread in problem.breads}
    stocked = {kept.forms[0][0]: kept.portions for kept in problem.reserve if kept.milli}
    assert 90 <= sum(dl[bread] * portions for bread, portions in stocked.items()) <= 100
    assert stocked["loaf"] > 2 * stocked["sweet"]
    assert {bread.id: bread.worth[0][0] for bread in problem.breads} == pytest.approx(stocked, abs=1)


def test_what_wants_an_oven_first_is_not_counted_as_reserve(understood: Understood) -> None:
    eaten = [{"name": "Supper", "at": "18:30", "share": 1.0, "breads": ["loaf"], "ways": ["finished"]}]
    held = {"portions": 20, "guests": 0}
    problem = understood(breads={"loaf": loaf()}, habits={"eaten": eaten}, reserve=held).problem
    assert problem.reserve == ()
    worth, _ = problem.bread("loaf").worth
    assert worth[0] == 20, "nor is more of it worth its effort at the end"


def test_opening_stock(understood: Understood) -> None:
    stock = {
        "lots": [
            {"bread": "loaf", "form": "sliced", "units": 7, "bagged": "2027-02-20", "letter": "a"},
            {"bread": "loaf", "form": "part-baked", "units": 2, "bagged": "2027-02-10T20:00:00"},
        ],
        "box": [
            {"bread": "loaf", "portions": 4, "ready": "2027-02-28T18:00:00"},
            {"bread": "loaf", "portions": 9, "ready": "2027-02-20T18:00:00"},
        ],
        "under_way": [
            {"bread": "loaf", "process": "day", "pieces": 2,
             "done": [{"step": "mix", "start": "2027-02-28T23:30:00", "end": "2027-02-28T23:41:00"}]},
        ],
    }  # fmt: skip
    intake = understood(breads={"loaf": loaf()}, stock=stock)
    old, new = intake.problem.lots
    assert (old.letter, old.units, old.form, old.bagged, old.through) == (
        "B",
        2,
        "part-baked",
        -19 * 1440 + 1200,
        -19 * 1440 + 1920,
    )
    assert (new.letter, new.units, new.bagged) == ("A", 7, -9 * 1440 + 720)
    assert new.eat_first == 20 * 1440  # four weeks later, at the end of that day
    assert [(item.portions, item.ready, item.until) for item in intake.problem.box] == [(4, -360, -360 + 4320)]
    assert any("past their keeping time" in str(note) for note in intake.notes)
    assert [(u.id, u.pieces, u.done) for u in intake.problem.under_way] == [("begun-1", 2, (("mix", -30, -19),))]


def test_what_happens_after_the_plan_begins_is_not_there_yet(understood: Understood) -> None:
    stock = {
        "lots": [{"bread": "loaf", "form": "sliced", "units": 7, "bagged": "2027-03-02"}],
        "under_way": [
            {"bread": "loaf", "process": "day", "pieces": 2,
             "done": [{"step": "mix", "start": "2027-03-01T08:00:00", "end": "2027-03-01T08:10:00"}]},
        ],
    }  # fmt: skip
    intake = understood(breads={"loaf": loaf()}, stock=stock)
    assert (intake.problem.lots, intake.problem.under_way) == ((), ())
    assert sum("after the plan begins" in str(note) for note in intake.notes) == 2


def home(**more: Any) -> Home:
    people = [{"id": "jo", "bakes": True}]
    return Home(
        Path(), Household.model_validate({"people": people, **more}), {"loaf": Bread.model_validate(loaf())}, Stock()
    )


def test_bags_of_a_bread_that_is_gone_are_noted() -> None:
    at = datetime(2027, 2, 1, tzinfo=BERLIN)
    bags = [
        Bag("lot-1", "Q", bread, form, 3, at, at, at, at, None)
        for bread, form in (("gone", "sliced"), ("loaf", "baked"))
    ]
    intake = build(home(), {}, bags, (), (), None, MONDAY, 3)
    assert intake.problem.lots == ()
    assert sum("no bread file has" in str(note) for note in intake.notes) == 2


def test_changes_against_the_published_plan_fade_beyond_the_published_days() -> None:
    weights, plan = {"changed_bake": 20, "change_fades_days": 4}, {"publish_days": 2}
    bakes = [PublishedBake("loaf", "day", date(2027, 3, day)) for day in (1, 3, 6)]
    bakes.append(PublishedBake("loaf", "day", date(2027, 2, 27)))
    problem = build(home(weights=weights, plan=plan), {}, (), (), (), bakes, MONDAY, 7).problem
    assert problem.weights.changed_by_day == (20000, 20000, 20000, 15000, 10000, 5000)
    assert problem.published is not None
    assert [(p.day, p.price) for p in problem.published] == [(0, 20000), (2, 20000), (5, 5000)]
    assert build(home(), {}, (), (), (), None, MONDAY, 7).problem.published is None


def test_what_is_near_is_held_and_what_is_moved_costs_a_share_as_the_settings_say() -> None:
    weights = {"changed_bake": 10, "change_fades_days": 5, "moved_share": 0.3, "held_times": 4}
    bakes = [
        PublishedBake("loaf", "day", date(2027, 3, day), (("mix", datetime(2027, 3, day, 9, tzinfo=BERLIN)),))
        for day in (1, 3)
    ]
    held = home(weights=weights, plan={"hold_fixed_hours": 24, "publish_days": 1})
    problem = build(held, {}, (), (), (), bakes, MONDAY, 7).problem
    assert problem.published is not None
    assert [(p.price, p.moved) for p in problem.published] == [(40_000, 12_000), (8000, 2400)]


def test_wishes_that_are_over_are_noted() -> None:
    wishes = [
        {"kind": "no bake", "bread": "loaf", "at": "2027-03-02T08:00:00", "until": "2027-03-02T20:00:00"},
        {"kind": "fixed", "bread": "loaf", "at": "2027-02-27T08:00:00", "step": "mix", "said": "early"},
    ]
    intake = build(home(wishes=wishes), {}, (), (), (), None, MONDAY, 7)
    assert [(w.kind, w.at, w.until) for w in intake.problem.wishes] == [("no bake", 1920, 2640)]
    assert any("early" in str(note) for note in intake.notes)


def test_the_shop_closes_by_the_wall_clock() -> None:
    closes = {"weekdays": "20:00", "weekends": "18:00", "sun": "closed"}
    problem = build(
        home(shop={"closes": closes}), {}, (), (), (), None, datetime(2027, 3, 26, tzinfo=BERLIN), 4
    ).problem
    said = [f"{problem.instant(at):%a %H:%M}" for at in problem.shop.closes[:4]]
    assert said == ["Fri 20:00", "Sat 18:00", "Mon 20:00", "Tue 20:00"]
    assert all(a < b for a, b in pairwise(problem.shop.closes))


def test_the_tail_is_longer_where_hands_are_rare() -> None:
    often = build(home(), {}, (), (), (), None, MONDAY, 14).problem
    rare = {"id": "jo", "bakes": True, "free": {"sat": ["08:00-18:00"]}}
    weekly = build(home(people=[rare]), {}, (), (), (), None, MONDAY, 14).problem
    assert often.shown_days == weekly.shown_days == 14
    assert often.days == 14 + 2
    assert weekly.days == 14 + 7
