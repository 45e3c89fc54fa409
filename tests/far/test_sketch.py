"""Far-off days: what is left of the plan before them, a sketch that keeps every daily rule, and each rule broken."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from jsonschema import Draft202012Validator

from rotation import facts
from rotation.errors import CheckFailed
from rotation.far import After, Ready, Sketch, after, daily
from rotation.plan import Plan
from rotation.problem import BoxItem, Bread, Problem
from rotation.rules.checked import refuse
from rotation.show.schema import plan_schema
from rotation.show.sketch import sketch_json, sketch_lines
from rotation.solve import limits, solve
from rotation.solve.sketching import sketch
from rotation.telling import bags
from tests.solve.homes import home

NEAR = 7


@cache
def planned() -> tuple[Problem, Plan]:
    near = home(NEAR, 2, tail=4)
    return near, solve(near, limits("quick"))


@cache
def made() -> After:
    near, plan = planned()
    rest = after(home(21, 2, tail=4), near, plan)
    return After(rest, sketch(rest, NEAR))


def changed(**fields: object) -> tuple[Problem, Sketch]:
    return made().problem, replace(made().sketch, **fields)  # type: ignore[arg-type]  # any field, by name


def rules(problem: Problem, of: Sketch) -> set[str]:
    return {one.rule for one in daily.broken(problem, of)}


def test_a_sketch_keeps_every_daily_rule_and_bakes() -> None:
    problem, of = made().problem, made().sketch
    assert daily.broken(problem, of) == ()
    assert of.bakes
    assert {problem.day_of(meal.at) >= NEAR for meal in problem.meals} == {True}
    refuse(daily.broken(problem, of), "The sketch found")


def test_the_same_days_make_the_same_sketch() -> None:
    assert sketch(made().problem, NEAR) == made().sketch


def test_what_the_plan_leaves_is_there_to_begin_with() -> None:
    near, plan = planned()
    rest, since = made().problem, near.midnights[NEAR]
    moves = [move for move in facts.moves(near, plan) if move.at < since]
    late = {lot for bake in plan.bakes if bake.day >= NEAR for _, lot in bake.lots}
    for bag in bags(near, plan):
        left = sum(move.units for move in moves if move.lot == bag.id)
        if bag.id not in late and bag.bagged < since:
            assert sum(lot.units for lot in rest.lots if lot.id == bag.id) == left
    assert not {lot.id for lot in rest.lots} & late


@pytest.mark.parametrize("day", [NEAR, NEAR + 6, NEAR + 13])
def test_bread_is_neither_made_nor_lost(day: int) -> None:
    """Opening stock and what is put in by a day, less what leaves by then, is what is in the freezer."""
    problem, of = made().problem, made().sketch
    frozen = {(bread.id, form.id): form.units_per_piece for bread in problem.breads for form in bread.forms}
    for key, each in frozen.items():
        there = sum(lot.units for lot in problem.lots if (lot.bread, lot.form) == key)
        there += sum(each * b.count(key[1]) for b in of.bakes if b.bread == key[0] and (b.put_in or 999) <= day)
        there -= sum(out.units for out in of.outs if (out.bread, out.form) == key and out.day <= day)
        assert of.stock(problem, day).get(key, 0) == there


def test_a_sketch_that_breaks_a_rule_is_refused() -> None:
    problem, of = changed(outs=())
    with pytest.raises(CheckFailed, match=r"The sketch found breaks \d+ rule"):
        refuse(daily.broken(problem, of), "The sketch found")


def broken_ways() -> dict[str, tuple[Problem, Sketch]]:
    """Return, by rule, a sketch that breaks it."""
    problem, of = made().problem, made().sketch
    bake = next(bake for bake in of.bakes if bake.put_in is not None)
    others = tuple(other for other in of.bakes if other is not bake)
    out = next(out for out in of.outs if out.ready is not None)
    meal, source, portions = of.servings[0]
    idle = tuple(replace(person, free=(), quick=()) for person in problem.people)
    strict = tuple(
        replace(bread, forms=tuple(replace(form, strict=0) for form in bread.forms)) for bread in problem.breads
    )
    old = tuple(replace(lot, strict=problem.midnights[NEAR]) for lot in problem.lots)
    none = replace(problem, kitchen=replace(problem.kitchen, freezer_dl=((0, 0),)))
    slow = replace(problem, kitchen=replace(problem.kitchen, freezing_grams_24h=((0, 1),)))
    barred = tuple(replace(one, without=frozenset({"wheat"})) for one in problem.meals)
    choosy = tuple(replace(one, accepts=(), bought=False) for one in problem.meals)
    wheat = tuple(replace(bread, allergens=frozenset({"wheat"})) for bread in problem.breads)
    return {
        "pieces": (problem, replace(of, bakes=(*others, replace(bake, pieces=((bake.pieces[0][0], 99),))))),
        "horizon": (problem, replace(of, bakes=(*others, replace(bake, day=NEAR - 1)))),
        "waits": (problem, replace(of, bakes=(*others, replace(bake, put_in=bake.day - 1)))),
        "one_mix": (problem, replace(of, bakes=(*of.bakes, bake))),
        "hands": (replace(problem, people=idle), of),
        "freezer_room": (none, of),
        "freezing_rate": (slow, of),
        "stock": (problem, replace(of, outs=(*of.outs, replace(out, units=500, ready=None)))),
        "dates": (replace(problem, lots=old, breads=strict), of),
        "portions": (problem, replace(of, servings=((meal, source, portions + 50), *of.servings[1:]))),
        "buying": (problem, replace(of, bought=((1, 1),))),
        "accepted": (replace(problem, meals=choosy), of),
        "allergens": (replace(problem, meals=barred, breads=wheat), of),
    }


DAILY = "pieces horizon waits one_mix hands freezer_room freezing_rate stock dates portions buying accepted allergens"


@pytest.mark.parametrize("rule", DAILY.split())
def test_each_daily_rule_is_found_broken(rule: str) -> None:
    assert rule in rules(*broken_ways()[rule])


def test_a_loaf_bought_for_guests_or_eaten_too_old_will_not_do() -> None:
    problem, of = made().problem, made().sketch
    meal = problem.meals[-1]
    closes = problem.shop.closes[0] if problem.shop.closes else 0
    assert "accepted" in rules(problem, replace(of, servings=((meal.id, closes, 1),), bought=((closes, 1),)))
    stale = Ready(problem.breads[0].id, "", 0, 0)
    assert "accepted" in rules(problem, replace(of, servings=((meal.id, stale, 1),)))
    boxed = replace(problem, box=(BoxItem("old", problem.breads[0].id, "fresh", 1, 0, 10),))
    assert "accepted" in rules(boxed, replace(of, servings=((meal.id, "old", 1),)))


def test_a_family_reads_days_and_no_minutes() -> None:
    lines = list(sketch_lines(made()))
    assert lines[0].startswith("FROM 8 MAR ON, A SKETCH")
    assert sum(line.startswith("  Week from") for line in lines) == 2
    assert sum("  bake " in line for line in lines) == len({bake.day for bake in made().sketch.bakes if bake.day < 21})


def test_it_is_in_the_schema() -> None:
    schema = plan_schema()["properties"]["sketch"]
    Draft202012Validator(schema).validate(sketch_json(made()))
    Draft202012Validator(schema).validate(None)
    assert not Draft202012Validator(schema).is_valid({})


def test_hands_are_shared_by_the_bakes_of_a_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each bake alone finds the hands it wants on its day, all of them together do not."""

    def slow(bread: Bread) -> Bread:
        processes = (
            replace(p, stages=tuple(replace(s, hands=500) if s.name == "mix" else s for s in p.stages))
            for p in bread.processes
        )
        return replace(bread, processes=tuple(processes))

    base = after(home(21, 3, tail=4), *planned())
    every_other = tuple((1440 * day + 420, 1440 * day + 1320) for day in range(0, 26, 2))
    baker = next(person for person in base.people if person.bakes)
    alone = replace(baker, free=every_other, quick=(), price=((0, 1),))
    busy = replace(base, people=(alone,), breads=tuple(map(slow, base.breads)))
    assert daily.broken(busy, sketch(busy, NEAR)) == ()
    monkeypatch.setattr(daily, "rows", lambda *_: None)
    assert {one.rule for one in daily.broken(busy, sketch(busy, NEAR))} == {"hands"}
