"""Cautions in entries, each in one line where the act is."""

from __future__ import annotations

from dataclasses import replace

from rotation.instructions import Instructions
from rotation.keeping import RAW
from rotation.plan import Plan
from rotation.problem import Problem
from tests.show.sample import plan, problem


def beside_each_other() -> tuple[Problem, Plan]:
    """Return the sample with its rolls, which hold sesame, finished in the stay of its sourdough."""
    house, of = problem(), plan()
    (finish,) = of.finishes
    out = next(out for out in of.take_outs if out.id == finish.take_out)
    breads = tuple(
        replace(bread, allergens=frozenset({"gluten", "wheat"} | ({"sesame"} if bread.id == out.bread else set())))
        for bread in house.breads
    )
    shared = replace(finish, stay=replace(finish.stay, heat=f"with:{of.bakes[0].stay.id}"))
    return replace(house, breads=breads), replace(of, finishes=(shared,))


def test_what_another_bread_in_the_oven_holds_is_said() -> None:
    house, of = beside_each_other()
    said = Instructions(house, of, {}).baking(of.bakes[0])
    assert [line for line in said if line.startswith("In the oven with")] == ["In the oven with rolls: sesame."]
    (finish,) = of.finishes
    out = next(out for out in of.take_outs if out.id == finish.take_out)
    assert not [line for line in Instructions(house, of, {}).finish(out, finish) if "In the oven with" in line]


def test_alone_in_the_oven_nothing_crosses() -> None:
    house, _ = beside_each_other()
    assert not [line for line in Instructions(house, plan(), {}).baking(plan().bakes[0]) if "In the oven with" in line]


def test_raw_dough_and_steam_at_the_act() -> None:
    house, of = problem(), plan()
    bake = of.bakes[0]
    made = Instructions(house, of, {})
    mixing = made.bake(bake, [step for step in bake.steps if step.name in ("mix", "shape")])
    assert mixing.count(RAW) == 1
    assert RAW not in made.baking(bake)
    (steam,) = (line for line in made.baking(bake) if "Stand aside as the lid comes off" in line)
    assert "\n" not in steam


def test_what_goes_in_at_a_fold_is_said_there() -> None:
    house, of = problem(), plan()
    bake = of.bakes[0]
    fold = next(step for step in bake.steps if step.name.startswith("fold"))
    said = Instructions(house, of, {(bake.id, fold.name): "then 100 g walnuts"}).bake(bake, list(bake.steps))
    assert f"{fold.name.capitalize()}: then 100 g walnuts." in said
