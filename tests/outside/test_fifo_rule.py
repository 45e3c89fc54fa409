"""Issue from the freezer by hand: oldest first is accepted by the checker, youngest first is caught."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from rotation.costs import scores
from rotation.oven_turns import bake_turns, events
from rotation.plan import Bake, Discard, Load, Plan, Serving, Stay, Step, TakeOut
from rotation.problem import (
    TOAST,
    Accept,
    Bread,
    Form,
    Meal,
    Problem,
    Process,
    Programme,
    Route,
    Shop,
    Stage,
    Treatment,
    Wait,
    Weights,
)
from rotation.rules.checked import broken
from tests import homes
from tests.homes import DAY

# Source: data/instances.json, "fifo_lifo_hand", kind "issuing policy, life 4 periods incl. receipt period": own
# construction, hand-checkable. A period is a day; what comes in is baked at 8, what is wanted is eaten at 18.
INSTANCES = json.loads((Path(__file__).parent / "data" / "instances.json").read_text())["instances"]
CASE = next(instance for instance in INSTANCES if instance["id"] == "fifo_lifo_hand")
RECEIPTS = {int(day): units for day, units in CASE["data"]["receipts"].items()}
DEMAND: list[int] = CASE["data"]["demand"]
LIFE: int = CASE["data"]["life"]


def rolls() -> Bread:
    """Return rolls that are frozen at once and may leave the freezer within `LIFE` days."""
    process = Process(
        id="plain",
        name="plain",
        stages=(Stage("mix", 10), Stage("oven", 1), Stage("bag", 1)),
        waits=(Wait("mix", "oven", ((0, 60),)),),
        uses=(),
        programme=Programme(220, 0, 12, 1),
        treatments=(Treatment("baked", 15, 10, bag_by=60, freeze=60),),
        pieces=tuple(sorted(set(RECEIPTS.values()))),
        fixed=0,
    )
    form = Form("baked", 1, 1, 1, 50, 50, DAY, LIFE * DAY, strict=(LIFE - 1) * DAY)
    route = Route("toast", "baked", TOAST)
    return Bread("rolls", "rolls", 1, 80, DAY, False, frozenset(), (process,), (form,), (route,))


def problem() -> Problem:
    """Return the case as a house with somebody always at home; one milli for each portion unmet or wasted."""
    days = len(DEMAND)
    always = ((0, days * DAY),)
    accepts = (Accept("rolls", frozenset({TOAST}), 0),)
    much = 10**6
    return Problem(
        zero=datetime(2027, 3, 1, tzinfo=UTC),
        zone=ZoneInfo("UTC"),
        midnights=tuple(day * DAY for day in range(days + 1)),
        shown_days=days,
        people=(homes.person("jo", always, always, price=((0, 0),)),),
        ovens=(homes.oven((), places=1, vessels=0),),
        kitchen=homes.kitchen(much, much, bowls=much, dough_grams=much, bannetons=much, fridge_spots=much),
        breads=(rolls(),),
        meals=tuple(
            Meal(f"day {day}", "", "", day * DAY + 1080, 1, portions, False, accepts, frozenset(), 0)
            for day, portions in enumerate(DEMAND)
        ),
        lots=(),
        box=(),
        under_way=(),
        shop=Shop((), 0, 0, 0, frozenset()),
        weights=Weights(0, unmet_portion=1, strict_portion=0, portion_day_frozen=0, wasted_portion=1, unit_past_date=0),
    )


def bake(day: int, units: int) -> Bake:
    """Return the bake of a receipt, in the freezer before noon."""
    mix, into = day * DAY + 480, day * DAY + 510
    pieces = (("baked", units),)
    turns = bake_turns(rolls().processes[0], pieces, problem().ovens[0])
    loads = tuple(Load(turn.pieces, into + turn.start, into + turn.uncover, into + turn.out) for turn in turns)
    at_oven = events(turns, rolls().processes[0].programme)
    hands = tuple(Step(e.name, into + e.offset, into + e.offset + 1, "jo") for e in at_oven)
    stay = Stay(f"stay {day}", "oven", 220, False, "cold", into - 15, into, loads[-1].out, loads, "jo", hands)
    bag = stay.end + 10
    steps = (Step("mix", mix, mix + 10, "jo"), Step("oven", into, into + 1, "jo"), Step("bag", bag, bag + 1, "jo"))
    lots = (("baked", f"bake {day}:baked"),)
    return Bake(f"bake {day}", "rolls", "plain", day, pieces, steps, stay, stay.end, bag + 1, lots)


@dataclass
class Issued:
    """What a policy does with the case: units by day and receipt, units gone past their life by receipt."""

    taken: list[tuple[int, int, int]]
    gone: dict[int, int]


def issue(youngest: bool) -> Issued:
    """Deal out the demand day by day from what is alive, oldest or youngest receipt first."""
    left: dict[int, int] = {}
    issued = Issued([], {})
    for day, wanted in enumerate(DEMAND):
        left |= {day: RECEIPTS[day]} if day in RECEIPTS else {}
        for receipt in sorted(left, reverse=youngest):
            units = min(wanted, left[receipt])
            wanted, left[receipt] = wanted - units, left[receipt] - units
            issued.taken += [(day, receipt, units)] if units else []
        for receipt in [receipt for receipt in left if receipt + LIFE - 1 <= day]:
            issued.gone[receipt] = left.pop(receipt)
    return issued


def plan(issued: Issued) -> Plan:
    """Return a policy's dealing as a plan; what is past its life is thrown away at the midnight that ends it."""
    outs = []
    for day in range(len(DEMAND)):
        lots = tuple(sorted((f"bake {receipt}:baked", units) for of, receipt, units in issued.taken if of == day))
        minute, units = day * DAY + 1080, sum(units for _, units in lots)
        if lots:
            outs.append(TakeOut(f"out {day}", "rolls", "baked", "toast", units, lots, minute, None, "", minute))
    discards = tuple(
        Discard(f"bake {receipt}:baked", units, (receipt + LIFE) * DAY)
        for receipt, units in issued.gone.items()
        if units
    )
    return Plan(
        bakes=tuple(bake(day, units) for day, units in RECEIPTS.items()),
        take_outs=tuple(outs),
        discards=discards,
        servings=tuple(Serving(f"day {out.at // DAY}", out.id, out.units) for out in outs),
    )


@pytest.mark.parametrize(("policy", "youngest"), [("FIFO", False), ("LIFO", True)])
def test_the_scores_are_those_counted_by_hand(policy: str, youngest: bool) -> None:
    issued = issue(youngest)
    costs = dict(scores(problem(), plan(issued)))
    units = sum(units for _, _, units in issued.taken)
    mean_age = sum((day - receipt) * units for day, receipt, units in issued.taken) / units
    found = {"waste": costs["wasted"], "unmet": costs["unmet"], "mean_age": round(mean_age, 4)}
    assert found == CASE["expected"][policy]


def test_oldest_first_is_accepted() -> None:
    assert broken(problem(), plan(issue(youngest=False))) == ()


def test_youngest_first_is_caught() -> None:
    found = broken(problem(), plan(issue(youngest=True)))
    assert {one.rule for one in found} == {"fifo"}
    assert found[0].where == "out 2", "the first day on which an older lot is passed over"


def test_past_its_life_nothing_is_eaten() -> None:
    late = replace(plan(issue(youngest=True)), discards=())
    extra = TakeOut(
        "out late", "rolls", "baked", "toast", 1, (("bake 0:baked", 1),), 6 * DAY + 1080, None, "", 6 * DAY + 1080
    )
    servings = (*late.servings, Serving("day 6", extra.id, 1))
    found = broken(problem(), replace(late, take_outs=(*late.take_outs, extra), servings=servings))
    assert "dates" in {one.rule for one in found}
