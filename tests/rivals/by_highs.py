"""The time-indexed programme solved by HiGHS: what it finds as a plan, and when."""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from typing import Any

from rotation.problem import Problem
from rotation.rules.checked import broken
from tests.rivals.by_cpsat import Trial
from tests.rivals.found import Baked, Finished, Found, as_plan
from tests.rivals.indexed import Indexed, Jobs, Stay
from tests.rivals.rows import search


def solved(problem: Problem, seconds: float) -> Trial:
    """Return what HiGHS finds. seconds: of processors, the model's building included."""
    begin = time.process_time()
    made = Indexed(problem)

    def cost(values: Any) -> int | None:
        plan = as_plan(problem, found(problem, made, values))
        return None if broken(problem, plan) else plan.total

    trial, values = search(made.rows, begin, seconds, cost)
    if values is not None:
        trial.plan = as_plan(problem, found(problem, made, values))
    return trial


def found(problem: Problem, made: Indexed, values: Any) -> Found:
    """Return what values say."""

    def true(variable: int) -> bool:
        return bool(values[variable] > 0.5)

    def amount(variables: Iterable[int]) -> int:
        return sum(round(values[v]) for v in variables)

    def job(jobs: Jobs) -> tuple[str, int]:
        return next(key for key, variable in jobs.items() if true(variable))

    def who(jobs: Jobs, at: int) -> str:
        return next(person for (person, start), variable in jobs.items() if start == at and true(variable))

    out, begun = Found(), _begun(made.stays, true)
    for bake in made.bakes:
        shape = next((shape for shape, variable in bake.counts if true(variable)), None)
        if shape is None:
            continue
        starts, hands = {}, {}
        for (name, _), jobs in bake.jobs.items():
            if any(true(v) for v in jobs.values()):
                hands[name], starts[name] = job(jobs)
        for act in shape.acts:
            hands[f"event {act}"] = who(bake.acts, starts["oven"] + act)
        heat, since = _heat(problem, made, bake.stay, begun, true)
        hands |= {"on": who(made.on, since)} if heat == "cold" else {}
        out.bakes.append(
            Baked(
                bake.stay.id, bake.bread.id, bake.process.id, bake.day, dict(shape.pieces), starts, hands, heat, since
            )
        )
    for finish in made.finishes:
        if finish.stay.id in begun:
            start, _ = begun[finish.stay.id][:2]
            at = next(at for at, variable in finish.out.items() if true(variable))
            heat, since = _heat(problem, made, finish.stay, begun, true)
            hands = {"in": job(finish.jobs["in"])[0], "done": job(finish.jobs["done"])[0], "out": who(made.trips, at)}
            hands |= {"on": who(made.on, since)} if heat == "cold" else {}
            units = amount([finish.units])
            out.finishes.append(
                Finished(finish.stay.id, finish.bread.id, finish.route.id, units, at, start, hands, heat, since)
            )
    meals = problem.meals
    out.toast = {(b, r, meals[n].id): k for (b, r, n), v in made.toast.items() if (k := amount([v]))}
    out.eaten = {(source, meals[n].id): k for (source, n), vs in made.eaten.items() if (k := amount(vs))}
    out.loaves = {closing: amount([v]) for closing, v in enumerate(made.loaves)}
    out.thrown = {key: k for key, v in made.thrown.items() if (k := amount([v]))}
    return out


Begun = Mapping[str, tuple[int, int, Stay, bool]]
"""Stay -> start, end, the stay, whether it shares another's heat."""


def _begun(stays: Iterable[Stay], true: Any) -> Begun:
    found = {}
    for stay in stays:
        for of, guest in ((stay.lead, False), (stay.guest, True)):
            for (kind, at), variable in of.items():
                if true(variable):
                    found[stay.id] = at, at + stay.lengths[kind], stay, guest
    return found


def _heat(problem: Problem, made: Indexed, stay: Stay, begun: Begun, true: Any) -> tuple[str, int]:
    """Return how a stay gets hot, and since when the oven is on for it."""
    start, _, _, guest = begun[stay.id]
    if guest:
        same = ((end, id_) for id_, (at, end, of, shares) in begun.items() if at == start and not shares
                and (of.degc, of.vessel) == (stay.degc, stay.vessel))  # fmt: skip
        return f"with:{max(same)[1]}:oven", start
    oven = problem.ovens[0]
    if start in stay.cold and true(stay.cold[start]):
        return "cold", start - (oven.heat_up_vessel if stay.vessel else oven.heat_up)
    before = [(end, f"{id_}:oven") for id_, (at, end, _, _) in begun.items() if at < start and end <= start]
    before += [(booking.end, booking.id) for booking in oven.bookings if booking.end <= start]
    end, id_ = max(before)
    return f"after:{id_}", end
