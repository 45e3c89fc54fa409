"""A plan as strips over time, for a picture or a table of it: hands, ovens, the fridge, the freezer. As plain JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from calendars.text import clean
from rotation.facts import batches, fullest, held, holds, jobs, moves
from rotation.feedings import upkeep
from rotation.plan import Plan
from rotation.problem import Oven, Person, Problem, Steps, free_spans, value_at
from rotation.telling import shown_end, stays_of

Json = dict[str, Any]


def strips_json(problem: Problem, plan: Plan) -> Json:
    """Return the strips of the shown days: spans of those with hands and of the ovens, levels of fridge and freezer."""
    return {
        "people": [_person(problem, plan, one) for one in problem.people if one.bakes or one.finishes],
        "ovens": [_oven(problem, plan, oven) for oven in problem.ovens],
        "fridge": list(_levels(problem, "fridge", _fridge(problem, plan), problem.kitchen.fridge_spots)),
        "freezer": list(_levels(problem, "freezer", _freezer(problem, plan), problem.kitchen.freezer_dl)),
    }


def _person(problem: Problem, plan: Plan, person: Person) -> Json:
    mine = (job for job in (*jobs(problem, plan), *upkeep(plan)) if job.person == person.id)
    busy = [
        {**_span(problem, f"{person.id}/{number}", job.start, job.end), "what": job.step, "bread": job.bread or None}
        for number, job in enumerate(sorted(mine, key=lambda job: (job.start, job.end, job.step)), 1)
        if job.start < shown_end(problem)
    ]
    return {
        "id": person.id,
        "name": clean(person.name, 40),
        "free": list(_spans(problem, f"{person.id}/free", free_spans(person, 2))),
        "jobs": busy,
    }


def _oven(problem: Problem, plan: Plan, oven: Oven) -> Json:
    outs = {out.id: out.bread for out in plan.take_outs}
    breads = {bake.id: bake.bread for bake in plan.bakes}
    breads |= {finish.id: outs[finish.take_out] for finish in plan.finishes}
    return {
        "id": oven.id,
        "name": clean(oven.name, 40),
        "taken": list(_spans(problem, f"{oven.id}/taken", ((one.start, one.end) for one in oven.bookings))),
        "on": [
            {
                **_span(problem, stay.id, stay.start, stay.end),
                "heat_from": problem.instant(stay.heat_from).isoformat(timespec="minutes"),
                "degc": stay.degc,
                "bread": breads[owner],
            }
            for owner, stay in stays_of(plan)
            if stay.oven == oven.id and stay.heat_from < shown_end(problem)
        ],
    }


def _spans(problem: Problem, of: str, spans: Iterable[tuple[int, int]]) -> Iterator[Json]:
    end = shown_end(problem)
    inside = [(max(since, 0), min(until, end)) for since, until in spans]
    for number, (since, until) in enumerate((span for span in inside if span[0] < span[1]), 1):
        yield _span(problem, f"{of}/{number}", since, until)


def _span(problem: Problem, id_: str, start: int, end: int) -> Json:
    start_at, end_at = (problem.instant(minute).isoformat(timespec="minutes") for minute in (start, end))
    return {"id": id_, "start": start_at, "end": end_at}


def _levels(problem: Problem, what: str, used: list[tuple[int, int]], room: Steps) -> Iterator[Json]:
    """Yield what is used and what there is, from the start and after each change. used: as `(minute, level)`."""
    minutes = sorted({0, *(minute for minute, _ in used), *(minute for minute, _ in room)})
    level, before = dict(used), (-1, -1)
    now = 0
    for minute in minutes:
        now = level.get(minute, now)
        if 0 <= minute < shown_end(problem) and (now, value_at(room, minute)) != before:
            before = now, value_at(room, minute)
            at = problem.instant(minute).isoformat(timespec="minutes")
            yield {"id": f"{what}@{minute}", "time": at, "used": before[0], "of": before[1]}


def _fridge(problem: Problem, plan: Plan) -> list[tuple[int, int]]:
    """Return the fridge spots that are held, after each change."""
    spots = [hold for what, hold in holds(problem, plan) if what == "fridge"]
    changes = sorted({0, *(max(moment, 0) for start, end, _ in spots for moment in (start, end))})
    return [(minute, fullest(spots, minute)) for minute in changes]


def _freezer(problem: Problem, plan: Plan) -> list[tuple[int, int]]:
    """Return the decilitres that are taken in the freezer, after each change."""
    known, moved = batches(problem, plan), moves(problem, plan)
    room = {id_: problem.bread(lot.bread).form(lot.form).unit_dl for id_, lot in known.items()}
    return [
        (minute, sum(units * room[lot] for lot, units in held(moved, minute).items()))
        for minute in sorted({0, *(max(move.at, 0) for move in moved)})
    ]
