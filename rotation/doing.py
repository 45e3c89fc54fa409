"""What a family says was done, put off for good or taken back: recorded in the ledger, with what it moves there.

Each is one transaction: recorded with all that it moves, or not at all. Each takes an id of the request that asked for
it, so that a tap that is repeated or sent again counts once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime, timedelta

from rotation.errors import BadInput, Mistake
from rotation.happened import NOT_THERE, Happened, What, thaws_of
from rotation.household.reading import Home
from rotation.intended import planned_id
from rotation.ledger import Happenings, Ledger, Movement, Note, Requests, Told
from rotation.life import State
from rotation.naming import FINISH, OUT, THAW
from rotation.problem import FEED, STARTER
from rotation.recording import (
    COUNTED,
    Noted,
    begun_with,
    come_to,
    finishes_of,
    out_of_freezer,
    past,
    record_step,
    standing,
    take_back,
    when_done,
)
from rotation.starter import beside
from rotation.steps import Target, in_order, known_steps, named, of_record
from rotation.stockroom import freezer
from rotation.units import time_of_day

EARLY = timedelta(hours=2)
"""A tick so long before its step was to begin says that it is done; one before that, that it will be."""


def done(
    home: Home, name: str, now: datetime, at: datetime | None = None, count: int | None = None, id_: str = ""
) -> Noted:
    """Record that a step is done, with all that it moves, or nothing of it.

    at: when it began; else it has just ended. count: loaves out of the oven, loaves bagged, units taken out. What of a
    bake comes before it is taken to be done as planned. Said twice it counts once. id_: of the request, of whoever
    makes it: one repeated after an undo counts no second time either. Raises BadInput and StorageError.
    """

    def noted(ledger: Ledger) -> tuple[Noted, ...]:
        target = named(ledger, home.zone, name)
        start, end = when_done(target, now, at)
        if at is not None:
            _in_turn(home, standing(ledger), target, start)
        return (record_step(home, ledger, target, start, end, count, now),)

    return _once(home, now, id_, "done", noted)[0]


def _in_turn(home: Home, rows: Sequence[Happened], target: Target, start: datetime) -> None:
    """Raise BadInput for a step that would begin before one it follows, or after one that follows it, as was said."""
    place, plan = target.order.index(target.step), target.alone.plan
    before, after = target.order[:place], target.order[place + 1 :]
    said = [row for row in rows if row.what is What.DONE and row.sure and row.start is not None]
    thaws = thaws_of(target.thing, plan) if target.step == FINISH else ()
    earlier = [row for row in said if row.thing == target.thing and row.step in before]
    earlier += [row for row in said if row.thing in thaws and row.step == THAW]
    later = [row for row in said if row.thing == target.thing and row.step in after]
    later += finishes_of(said, target.thing) if target.step == THAW else ()
    for row, wrong in [*((row, "before") for row in earlier), *((row, "after") for row in later)]:
        assert row.start is not None
        began = row.start.astimezone(home.zone).replace(second=0, microsecond=0)
        if start < began if wrong == "before" else start > began:
            told = f"{target.name} cannot have begun {wrong} {row.name}, which began {began:%a} {time_of_day(began)}."
            write = "a later time" if wrong == "before" else "an earlier time"
            instead = f"Write {write}. Was it {row.name} that was told wrong? First: rotation done {row.name} --undo"
            raise BadInput(Mistake("--at", None, "", told, instead))


def starter_fed(home: Home, now: datetime, at: datetime | None = None, id_: str = "") -> datetime:
    """Record that the starter was fed beside any bake; return when. Once an hour counts. id_: of the request.

    Raises BadInput for a time to come.
    """
    when = past(at or now, now)
    row = Happened(
        id=f"done {STARTER} {when:%Y%m%d%H}", thing=STARTER, step=FEED, what=What.DONE, name=STARTER, start=when,
        end=when,
    )  # fmt: skip
    with freezer(home, now) as ledger, ledger.together():
        known = Requests(ledger).answer(id_, "feed")
        if known is not None:
            return datetime.fromisoformat(known[0])
        Happenings(ledger).record([row], now)
        Requests(ledger).record(id_, "feed", [when.isoformat()], now)
    return when


def starter_not_fed(home: Home, now: datetime, id_: str = "") -> datetime:
    """Take back the feed beside any bake that was said last; return when it was said to be. id_: of the request.

    Raises BadInput where none was said.
    """
    with freezer(home, now) as ledger, ledger.together():
        known = Requests(ledger).answer(id_, "undo feed")
        if known is not None:
            return datetime.fromisoformat(known[0])
        row = beside(standing(ledger))
        if row is None or row.start is None:
            wrong = "no feed of the starter was said, but as a step of the plan."
            raise BadInput(Mistake("done", None, "", wrong, "Of a step say its name: rotation done sat-feed --undo"))
        take_back(ledger, [row], now)
        Requests(ledger).record(id_, "undo feed", [row.start.isoformat()], now)
    return row.start


def as_planned(home: Home, now: datetime, id_: str = "") -> tuple[Noted, ...]:
    """Record that all went as planned: every step of the plan kept that was to begin by now, at its planned minutes.

    What was skipped stays so, with the finish of what was to thaw. What the freezer cannot have given is passed over:
    its own count holds. id_: of the request.
    """

    def noted(ledger: Ledger) -> tuple[Noted, ...]:
        known = {(row.thing, row.step) for row in standing(ledger) if row.what in (What.DONE, What.SKIPPED)}
        due = [target for target in known_steps(ledger, home.zone).values() if target.start <= now]
        off = {row.thing for row in standing(ledger) if row.what is What.SKIPPED and row.step not in COUNTED}
        found: list[Noted] = []
        for target in in_order(due):
            wanted = (target.thing, target.step) not in known and target.thing not in off
            if wanted and out_of_freezer(ledger, target):
                with suppress(BadInput), ledger.together():
                    found.append(record_step(home, ledger, target, target.start, min(target.end, now), None, now))
        return tuple(found)

    return _once(home, now, id_, "all", noted)


def skip(home: Home, name: str, now: datetime, id_: str = "") -> Noted:
    """Record that a step will not be done. id_: of the request.

    Of a bake not begun, all of it is off. A bag that is skipped leaves its loaves on the table, a thaw its bag where it
    is, and whatever lies between the first step and the oven is left out. Raises BadInput where the dough needs it.
    """
    return _once(home, now, id_, "skip", lambda ledger: (_skipped(home, ledger, name, now),))[0]


def _skipped(home: Home, ledger: Ledger, name: str, now: datetime, empty: tuple[Movement, ...] | None = None) -> Noted:
    """Record a step as skipped. empty: what counted its bags as empty, where they were not there."""
    target, rows = named(ledger, home.zone, name), standing(ledger)
    begun = any(row.thing == target.thing and row.what is What.DONE for row in rows)
    if target.bake is not None and begun and target.step == "bag":
        start, end = when_done(target, now, None)
        return record_step(home, ledger, target, start, end, 0, now)
    if target.bake is not None and begun and target.step in ("mix", "oven", OUT, target.order[0]):
        wrong = f"{target.name} cannot be left out: the bake has begun."
        raise BadInput(Mistake("skip", None, "", wrong, f"See what else can be done: rotation later {target.name}"))
    if target.bake is not None and begun:
        return record_step(home, ledger, target, min(target.start, now), min(target.start, now), None, now)
    mine = [row for row in rows if row.thing == target.thing and row.step == target.step]
    finished = finishes_of(rows, target.thing) if target.step == THAW else ()
    _none_said([row for row in finished if row.sure], target)
    take_back(ledger, [*finished, *(row for row in mine if row.what is What.DONE)], now)
    row = Happened(
        id=f"skipped {target.thing} {target.step}", thing=target.thing, step=target.step, what=What.SKIPPED,
        name=target.name, start=min(target.start, now + timedelta(hours=23)), planned=target.text,
        movements=tuple(movement.id for movement in empty or ()), said="" if empty is None else NOT_THERE,
    )  # fmt: skip
    new = Happenings(ledger).record([row], now)
    if target.bake is not None:
        come_to(ledger, target.thing, State.ABANDONED, now)
    return Noted(target, row, empty or (), known=not new)


def begun(home: Home, name: str, now: datetime, id_: str = "") -> tuple[Noted, ...]:
    """Record that a bake has come as far as the step before this one, as planned, where nothing was said of it yet.

    id_: of the request. Nothing is recorded for a step that is the first of its bake, or of no bake.
    """

    def noted(ledger: Ledger) -> tuple[Noted, ...]:
        target = named(ledger, home.zone, name)
        mine = {step.step: step for step in known_steps(ledger, home.zone).values() if step.thing == target.thing}
        before = [step for step in target.order[: target.order.index(target.step)] if step in mine]
        known = any(row.thing == target.thing and row.what is What.DONE for row in standing(ledger))
        if target.bake is None or known or not before:
            return ()
        last = mine[before[-1]]
        return (record_step(home, ledger, last, min(last.start, now), min(last.end, now), None, now),)

    return _once(home, now, id_, "begun", noted)


def not_there(home: Home, name: str, now: datetime, id_: str = "") -> Noted:
    """Record that what was to come out of the freezer is not there: its bags are counted as empty, the thaw is off.

    An undo takes back both. id_: of the request. Raises BadInput where a step takes nothing out, and StorageError.
    """

    def noted(ledger: Ledger) -> tuple[Noted, ...]:
        target = named(ledger, home.zone, name)
        if target.out is None or target.step != THAW:
            wrong = f"{target.name} takes nothing out of the freezer."
            raise BadInput(Mistake("not there", None, "", wrong, "Name a thaw."))
        planned = {lot for lot, _ in target.out.lots}
        bags = [state.lot.id for state in ledger.lots(now) if planned & {state.lot.id, planned_id(state.lot.id)}]
        moved = [ledger.count_lot(bag, 0, Note(now=now, reason="not there")) for bag in bags]
        return (_skipped(home, ledger, name, now, tuple(one for one in moved if one.shares)),)

    return _once(home, now, id_, "not there", noted)[0]


def undo(home: Home, name: str, now: datetime, id_: str = "") -> Noted:
    """Take back the last thing said of a step, with what it moved. id_: of the request.

    Raises BadInput if nothing was said, or more was since.
    """
    return _once(home, now, id_, "undo", lambda ledger: (_taken_back(home, ledger, name, now),))[0]


def _taken_back(home: Home, ledger: Ledger, name: str, now: datetime) -> Noted:
    target, rows = named(ledger, home.zone, name), standing(ledger)
    mine = [row for row in rows if (row.thing, row.step) == (target.thing, target.step)]
    mine = [row for row in mine if row.what in (What.DONE, What.SKIPPED, What.CHANGED)]
    if not mine:
        wrong = f"nothing was said of {target.name} yet."
        raise BadInput(Mistake("done", None, "", wrong, "Name a step that was done."))
    later = target.order[target.order.index(target.step) + 1 :]
    since = [row for row in rows if row.thing == target.thing and row.step in later and row.what is What.DONE]
    finished = finishes_of(rows, target.thing) if target.step == THAW else ()
    _none_said([*since, *(row for row in finished if row.sure)], target)
    with_it = [row for row in rows if row.said == begun_with(mine[-1].id)]
    take_back(ledger, [*finished, mine[-1], *with_it], now)
    return Noted(target, mine[-1])


def _none_said(since: Sequence[Happened], target: Target) -> None:
    """Raise BadInput where steps that hang on one were said to be done."""
    if since:
        wrong = f"{since[-1].name or since[-1].step} was said after {target.name}."
        raise BadInput(Mistake("done", None, "", wrong, f"First: rotation done {since[-1].name} --undo"))


def _once(
    home: Home, now: datetime, id_: str, act: str, noted: Callable[[Ledger], tuple[Noted, ...]]
) -> tuple[Noted, ...]:
    """Return what came of an act, done in one transaction; of a request known by its id what came of it then."""
    with freezer(home, now, moving=True) as ledger, ledger.together():
        known = Requests(ledger).answer(id_, act)
        if known is not None:
            rows = [row for row in map(Happenings(ledger).last, known) if row is not None]
            return tuple(Noted(of_record(row, home.zone, Told(ledger).states()), row, known=True) for row in rows)
        new = noted(ledger)
        Requests(ledger).record(id_, act, [one.row.id for one in new], now)
    return new


def ticked(home: Home, thing: str, step: str, now: datetime, *, whole: bool) -> None:
    """Record what a tick in a calendar says: all of a thing, or one entry of it; at the oven, that all loaves are out.

    What is ticked long before its time moves nothing yet: it begins when it was planned to. What the freezer cannot
    have given is passed over: its own count holds.
    """
    with freezer(home, now, moving=True) as ledger, ledger.together():
        mine = {target.step: target for target in known_steps(ledger, home.zone).values() if target.thing == thing}
        order = next((target.order for target in mine.values()), ())
        last = next((name for name in reversed(order) if name in mine), "")
        target = mine.get(last if whole else OUT if step == "oven" else step)
        if target is not None and target.start <= now + EARLY:
            with suppress(BadInput), ledger.together():
                record_step(home, ledger, target, min(target.start, now), min(target.end, now), None, now)
