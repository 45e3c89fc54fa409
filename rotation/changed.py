"""What is other in a new plan than in the one before it, and why: in one line, or nothing."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from calendars.text import clean
from rotation.carried import Carried, from_text
from rotation.happened import Happened, What
from rotation.intake.rescues import became
from rotation.naming import OUT, THAW
from rotation.plan import Bake, Finish, Plan, TakeOut
from rotation.problem import TABLE, Problem
from rotation.words import count, long, named_pieces

MOST = 3
"""Changes that are told one by one."""

LATE = timedelta(minutes=10)
"""A step that was done so far from its planned minute is worth telling."""

Json = Mapping[str, Any]


@dataclass(frozen=True)
class Before:
    """The plan a family has now: as it can be read again, as it was shown, and when it was made."""

    carried: Carried
    shown: Json

    @classmethod
    def of(cls, carried: Carried, shown: str) -> Before:
        """Return the plan with what was shown of it, as JSON."""
        return cls(carried, json.loads(shown))


def changed(
    before: Before, new: Carried, problem: Problem, happened: Iterable[Happened], excuses: Iterable[str]
) -> str:
    """Return "Changed: ... Because ..." of what a family has to do from now on; "" where nothing is other.

    happened: all that stands recorded; excuses: why the plan before no longer holds, in words, the first the best.
    """
    said = list(_differences(before.carried, new, problem, new.zero))
    if not said:
        return ""
    more = f"; {len(said) - MOST} more" if len(said) > MOST else ""
    why = list(dict.fromkeys(_reasons(before, problem, happened)) or dict.fromkeys(excuses))[:2]
    because = f" Because {'; '.join(why)}." if why else " Because it is better so."
    return f"Changed: {'; '.join(said[:MOST])}{more}.{because}"


def _differences(before: Carried, new: Carried, problem: Problem, now: datetime) -> Iterator[str]:
    """Yield what is added, dropped or moved among bakes, finishes and loaves bought, within what both plans show."""
    end = min(carried.zero + timedelta(days=carried.days - 1) for carried in (before, new))
    names, zone = {bread.id: bread.name for bread in problem.breads}, problem.zone
    old, fresh = _bakes(before, names, now, end), _bakes(new, names, now, end)
    alike = {*old.values()} & {*fresh.values()}  # the same to whoever does it, whatever it is known by
    old, fresh = ({id_: one for id_, one in each.items() if one not in alike} for each in (old, fresh))
    for id_ in dict.fromkeys([*old, *fresh]):
        one, other = old.get(id_), fresh.get(id_)
        if one is None and other is not None:
            yield f"{other.what} {_when(other.at, zone)} is new"
        elif one is not None and other is None and id_ not in _ids(new.plan):
            yield f"no {one.what} {_when(one.at, zone)}"
        elif one is not None and other is not None and one.at != other.at:
            yield f"{other.what} {_when(other.at, zone)}, was {_when(one.at, zone)}"
        elif one is not None and other is not None and one.what != other.what:
            yield f"{other.what} {_when(other.at, zone)}, was {one.what.rpartition(' of ')[0] or one.what}"
    moved = len(_finishes(before, now, end) ^ _finishes(new, now, end))
    if moved:
        yield "another thaw or finish" if moved <= 2 else f"{(moved + 1) // 2} thaws or finishes"
    bought = [sum(one.loaves for one in c.plan.bought if now <= c.instant(one.buy_by) < end) for c in (before, new)]
    if bought[0] != bought[1]:
        yield f"{count(bought[1], 'loaf', 'loaves')} to buy, was {bought[0]}"


@dataclass(frozen=True)
class _Told:
    what: str
    at: datetime


def _bakes(carried: Carried, names: Mapping[str, str], now: datetime, end: datetime) -> dict[str, _Told]:
    """Return the next moment of hands of each bake that is still to come, and how many of what."""
    found = {}
    for bake in carried.plan.bakes:
        ahead = [step for step in bake.steps if step.who is not None and carried.instant(step.start) >= now]
        if ahead and carried.instant(ahead[0].start) < end:
            step, name = ahead[0], bake.id.partition("@")[0]
            what = named_pieces(names.get(bake.bread, bake.bread), bake.total)
            found[name] = _Told(f"{step.name} {what}", carried.instant(step.start))
    return found


def _ids(plan: Plan) -> set[str]:
    return {bake.id.partition("@")[0] for bake in plan.bakes}


def _finishes(carried: Carried, now: datetime, end: datetime) -> set[tuple[str, int, datetime]]:
    outs = {out.id: out for out in carried.plan.take_outs}
    found = set()
    for finish in carried.plan.finishes:
        at, out = carried.instant(finish.stay.start), outs[finish.take_out]
        if now <= at < end:
            found.add((out.bread, out.units, at))
    return found


def _reasons(before: Before, problem: Problem, happened: Iterable[Happened]) -> Iterator[str]:
    """Yield what is other in what the plans were made from."""
    zone, rows = problem.zone, list(happened)
    for row in rows:  # what is lost says more than what was late
        if row.what is What.DONE and row.start is not None and row.start >= before.carried.zero - LATE:
            yield from _lost(row, problem)
    for row in rows:
        if row.what is What.SKIPPED and row.start is not None and row.start >= before.carried.zero - LATE:
            yield f"{row.name or row.step} was skipped"
        elif row.what is What.CHANGED and row.start is not None and row.start > before.carried.zero:
            yield f"{row.name or row.step} was not ready: {became(row.said)}"
        elif row.what is What.DONE and row.sure and row.start is not None and row.planned:
            late = _late(row)
            if late is not None and abs(late) >= LATE and row.start >= before.carried.zero - LATE:
                how = "later" if late > timedelta(0) else "earlier"
                late_by = long(round(abs(late) / timedelta(minutes=1)))
                yield f"{row.name or row.step} was {late_by} {how} than planned"
    known = {meal["id"]: meal for meal in before.shown.get("meals", ())}
    start, end = before.carried.zero, before.carried.zero + timedelta(days=before.carried.days - 1)
    end = min(end, problem.instant(problem.midnights[problem.shown_days]))  # as far as both plans look
    for meal in problem.meals:
        at = problem.instant(meal.at)
        was = known.pop(meal.id, None)
        if was is None and start <= at < end:
            title, when = clean(meal.summary, 40), _when(at, zone)
            said = title if title.endswith(when.partition(" ")[2]) else f"{title} {when}"  # some titles hold their hour
            yield f"{said} is new, {meal.portions} slices"
        elif was is not None and datetime.fromisoformat(was["start"]) != at:
            then = _when(datetime.fromisoformat(was["start"]), zone)
            yield f"{clean(meal.summary, 40)} is {_when(at, zone)}, was {then}"
        elif was is not None and was["portions"] != meal.portions:
            yield f"{clean(meal.summary, 40)} {_when(at, zone)} wants {meal.portions} slices, before {was['portions']}"
    for was in known.values():
        if datetime.fromisoformat(was["start"]) > problem.zero and datetime.fromisoformat(was["start"]) < end:
            yield f"{clean(was['summary'], 40)} {_when(datetime.fromisoformat(was['start']), zone)} is off"


def _lost(row: Happened, problem: Problem) -> Iterator[str]:
    """Yield "1 of 2 Oat tins came out" where fewer loaves came out of the oven, were bagged or taken out than planned.

    Of what was lost before it was bagged the oven tells.
    """
    alone = from_text(row.planned).plan if row.planned and row.count is not None else None
    if alone is None or row.count is None:
        return
    names = {bread.id: bread.name for bread in problem.breads}
    for bake in alone.bakes:
        if row.step == OUT and row.count < bake.total:
            yield f"{row.count} of {named_pieces(clean(names.get(bake.bread, bake.bread), 40), bake.total)} came out"
        elif row.step == "bag" and row.count < bake.total - bake.count(TABLE):
            yield f"{row.count} of {bake.total - bake.count(TABLE)} were bagged at {row.name or row.step}"
    for out in alone.take_outs if row.step == THAW else ():
        if row.count < out.units:
            yield f"{row.count} of {out.units} came out of the freezer at {row.name or row.step}"


def _late(row: Happened) -> timedelta | None:
    """Return how much later than planned a step of a bake, a thaw or a finish was done."""
    alone = from_text(row.planned)
    bake: Bake | None = next(iter(alone.plan.bakes), None)
    step = None if bake is None else bake.step(row.step)
    finish: Finish | None = next(iter(alone.plan.finishes), None) if row.step == "finish" else None
    assert row.start is not None
    if step is not None:
        return row.start - alone.instant(step.start)
    if bake is not None and row.step == OUT:
        return row.start - alone.instant(bake.stay.end)
    out: TakeOut | None = next(iter(alone.plan.take_outs), None) if row.step == THAW else None
    at = finish.stay.start if finish is not None else None if out is None else out.at
    return None if at is None else row.start - alone.instant(at)


def _when(at: datetime, zone: ZoneInfo) -> str:
    local = at.astimezone(zone)
    return f"{local:%a} {local.hour}:{local:%M}"
