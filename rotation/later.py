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
from rotation.intake.rescues import RESCUES, Option, Rescue, quicker, rescued
from rotation.ledger import Happenings, Requests
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.rules.checked import prove
from rotation.steps import Target, named
from rotation.stockroom import freezer
from rotation.week import understand


def options(home: Home, name: str, now: datetime) -> tuple[Target, tuple[Option, ...]]:
    """Return what can be done about a step that is not yet due, what fits nowhere left out. Nothing is recorded.

    Raises BadInput where the bake has not begun, or the step is done.
    """
    from rotation.solve import solve
    from rotation.solve.work import limits

    target, before = _target(home, name, now)
    settle(home, now)  # what is long out of the freezer is not there any more
    understood = understand(home, now, min(before.carried.days, 7))
    problem = understood.problem
    found: list[tuple[Rescue, Problem, Plan]] = []
    for rescue in RESCUES:
        other = rescued(problem, target.thing, target.step, rescue.id, 0, quicker(home))
        if other is None:
            wrong = f"{target.name} is no step of a bake that is under way."
            raise BadInput(
                Mistake("later", None, "", wrong, "Say what is done, as: rotation done sat-mix; then again.")
            )
        try:
            plan = solve(other, replace(limits("quick"), rounds=1))
        except NothingPlanned:
            continue
        prove(other, plan)
        found.append((rescue, other, plan))
    return target, tuple(_options(target, before, home, found))


def _options(target: Target, before: Before, home: Home, found: list[tuple[Rescue, Problem, Plan]]) -> Iterator[Option]:
    cheapest = min((plan.total for _, _, plan in found), default=0)
    for rescue, problem, plan in found:
        new = Carried.of(problem, plan, home.settings.name)
        bake = next((bake for bake in plan.bakes if bake.under_way == target.thing), None)
        step = None if bake is None else bake.step(target.step)
        after = None if step is None else (step.name, new.instant(step.start).astimezone(home.zone))
        served = sum(serving.portions for serving in plan.servings)
        short = sum(meal.portions for meal in problem.meals) - served
        said = changed(before, new, problem, (), ()).removesuffix(" Because it is better so.")
        yield Option(rescue, after, plan.total - cheapest, short, said)


def take(home: Home, name: str, rescue: Rescue, now: datetime, id_: str = "") -> None:
    """Record that a bake is gone on with so. The next plan knows it. id_: of the request: repeated it counts once."""
    with freezer(home, now, moving=True) as ledger, ledger.together():
        if Requests(ledger).answer(id_, "later") is not None:
            return
        target, _ = _target(home, name, now)
        row = Happened(
            id=f"changed {target.thing} {target.step} {now:%Y%m%d%H%M}", thing=target.thing, step=target.step,
            what=What.CHANGED, name=target.name, start=now, end=now, said=rescue.id,
        )  # fmt: skip
        Happenings(ledger).record([row], now)
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
