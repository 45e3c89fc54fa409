"""Dough that is not yet there: what can be done with it, each planned and priced; nothing is recorded until chosen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from rotation.assuming import settle
from rotation.carried import Carried, from_text
from rotation.changed import Before, changed
from rotation.errors import BadInput, Mistake, NothingPlanned
from rotation.happened import Happened, What
from rotation.household.reading import Home
from rotation.household.shapes import SHAPES, dough_of, shape_id, shape_of
from rotation.intake.rescues import RESCUES, Option, Rescue, chosen, rescued
from rotation.ledger import Happenings, Requests
from rotation.plan import Bake, Plan
from rotation.problem import Problem
from rotation.rules.checked import prove
from rotation.steps import Target, named
from rotation.stockroom import freezer
from rotation.telling import latest
from rotation.week import Understood, as_told, understand

DAYS = 7
"""Local days that what can be done is planned for: what follows of it lies within them."""


def options(home: Home, name: str, now: datetime) -> tuple[Target, tuple[Option, ...]]:
    """Return what can be done about a step that is not yet due, what fits nowhere left out. Nothing is recorded.

    Raises BadInput where the bake has not begun, or the step is done.
    """
    target, before = _target(home, name, now)
    settle(home, now)  # what is long out of the freezer is not there any more
    late = {shape_id(dough_of(target.bread), shape) for shape in SHAPES}
    meant = understand(home, now, min(before.carried.days, DAYS), late=late)
    problem = meant.problem
    if rescued(problem, home, target.thing, target.step, "wait", 0) is None:
        wrong = f"{target.name} is no step of a bake that is under way."
        raise BadInput(Mistake("later", None, "", wrong, "Say what is done, as: rotation done sat-mix; then again."))
    found: list[tuple[Rescue, Problem, Plan]] = []
    for rescue in RESCUES:
        other = rescued(problem, home, target.thing, target.step, rescue.id, 0)
        plan = None if other is None else _solved(other)
        if other is not None and plan is not None:
            found.append((rescue, other, plan))
    as_it_is = _solved(problem)
    base = min((plan.total for _, _, plan in found), default=0) if as_it_is is None else as_it_is.total
    return target, tuple(_options(target, before, meant, found, base))


def _solved(problem: Problem) -> Plan | None:
    """Return a plan that was checked, None where nothing fits."""
    from rotation.solve import solve
    from rotation.solve.work import limits

    try:
        plan = solve(problem, replace(limits("quick"), rounds=1))
    except NothingPlanned:
        return None
    prove(problem, plan)
    return plan


def _options(
    target: Target, before: Before, meant: Understood, found: list[tuple[Rescue, Problem, Plan]], base: int
) -> Iterator[Option]:
    for rescue, problem, plan in found:
        new = as_told(meant, problem, plan)
        bake = next((bake for bake in plan.bakes if bake.under_way == target.thing), None)
        step = None if bake is None else bake.step(target.step)
        after = None if step is None else (step.name, problem.instant(step.start))
        served = sum(serving.portions for serving in plan.servings)
        short = sum(meal.portions for meal in problem.meals) - served
        said = _else_changed(target, before, new, problem)
        made = None if bake is None or not shape_of(bake.bread) else (problem.bread(bake.bread).name, bake.total)
        yield Option(rescue, after, _until(problem, bake, target.step), made, plan.total - base, short, said)


def _else_changed(target: Target, before: Before, new: Carried, problem: Problem) -> str:
    """Return in one line what would be other than in the plan kept, but for the bake itself."""
    old, fresh = (
        carried.with_plan(
            replace(carried.plan, bakes=tuple(bake for bake in carried.plan.bakes if not _same(bake, target)))
        )
        for carried in (before.carried, new)
    )
    said = changed(replace(before, carried=old), fresh, problem, (), ())
    return said.removesuffix(" Because it is better so.")


def _same(bake: Bake, target: Target) -> bool:
    return target.thing in (bake.id, bake.under_way) or target.thing.partition("@")[0] == bake.id


def _until(problem: Problem, bake: Bake | None, step: str) -> datetime | None:
    """Return when a step may come at the latest as the dough allows."""
    last = None if bake is None else latest(problem, bake, step)
    return None if last is None else problem.instant(last)


def take(home: Home, name: str, rescue: Rescue, now: datetime, id_: str = "") -> None:
    """Record that a bake is gone on with so. The next plan knows it; of a step the last choice counts.

    id_: of the request: repeated it counts once.
    """
    with freezer(home, now, moving=True) as ledger, ledger.together():
        if Requests(ledger).answer(id_, "later") is not None:
            return
        target, _ = _target(home, name, now)
        row = Happened(
            id=f"changed {target.thing} {target.step} {now:%Y%m%d%H%M} {rescue.id}", thing=target.thing,
            step=target.step, what=What.CHANGED, name=target.name, start=now, end=now, said=rescue.id,
        )  # fmt: skip
        rows = Happenings(ledger)
        before = [one.id for one in chosen(rows.standing()) if (one.thing, one.step) == (row.thing, row.step)]
        rows.take_back(before, now)
        rows.record([row], now)
        Requests(ledger).record(id_, "later", [row.id], now)


def _target(home: Home, name: str, now: datetime) -> tuple[Target, Before]:
    with freezer(home, now, readonly=True) as ledger:
        target, whole, shown = named(ledger, home.zone, name), ledger.whole_plan(), ledger.kept_plan()
        rows = [row for row in Happenings(ledger).standing() if row.thing == target.thing]
    done = [row.step for row in rows if row.what is What.DONE]
    if target.bake is None or not done:
        wrong = f"{target.name} belongs to nothing that has begun."
        raise BadInput(Mistake("later", None, "", wrong, "What is not begun waits by itself: rotation plan"))
    if target.step in done or "oven" in done:
        wrong = f"{target.name} is done, or the loaves are in the oven."
        raise BadInput(Mistake("later", None, "", wrong, f"Was that wrong? rotation done {target.name} --undo"))
    assert whole is not None
    assert shown is not None
    return target, Before.of(from_text(whole), shown)
