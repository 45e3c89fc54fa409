"""What really happened, as the next plan goes on from it: bakes begun, bread in the box, loaves that are thawing.

A loaf out of the freezer that is still to be finished is a lot of a form of its own, "thawing": it may go into the
oven from when it is thawed until it has stood too long, takes no room in the freezer, and has the one route it was
taken for.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from rotation.carried import from_text
from rotation.happened import Happened, What, browned, thaws_of
from rotation.household.shapes import shape_of
from rotation.intake.rescues import another_shape, becomes
from rotation.intake.wishes import left_in
from rotation.naming import FINISH, OUT, THAW
from rotation.plan import Bake, Plan, TakeOut
from rotation.problem import (
    FRESH,
    TABLE,
    THAWING,
    TOAST,
    BoxItem,
    Bread,
    Form,
    Lot,
    Problem,
    Process,
    Route,
    UnderWay,
    Wish,
    of_household,
)
from rotation.units import time_of_day

AROUND = timedelta(hours=12)
"""A bake that was skipped is meant with all that would be mixed so near to it."""

GIVEN_UP = timedelta(days=1)
"""So long after it was to be over, a bake of which nothing more was said is not gone on with."""

NEVER = 10**7


@dataclass
class _Found:
    """What is found on the way."""

    under_way: list[UnderWay] = field(default_factory=list)
    box: list[BoxItem] = field(default_factory=list)
    lots: list[Lot] = field(default_factory=list)
    ways: list[tuple[str, Form, Route]] = field(default_factory=list)
    finished: list[str] = field(default_factory=list)
    wishes: list[Wish] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


def continued(problem: Problem, happened: Iterable[Happened]) -> tuple[Problem, tuple[str, ...]]:
    """Return the problem that goes on from what happened before it begins, and what the family should know of that."""
    by_thing: dict[str, list[Happened]] = defaultdict(list)
    for one in happened:
        by_thing[one.thing].append(one)
    found = _Found()
    plans = {thing: _planned(problem, thing, rows) for thing, rows in by_thing.items()}
    eaten = {thing: sum(r.count or 0 for r in rows if r.what is What.EATEN) for thing, rows in by_thing.items()}
    off = {row.thing for rows in by_thing.values() for row in rows if row.what is What.SKIPPED and row.step == THAW}
    for thing, rows in by_thing.items():
        done = {row.step: row for row in rows if row.what is What.DONE and _past(problem, row)}
        if plans[thing].bakes:
            _bake(problem, _Baked(thing, plans[thing].bakes[0], done, eaten[thing]), rows, found)
        elif FINISH in done and plans[thing].finishes and off.isdisjoint(thaws_of(thing, plans[thing])):
            _finished(problem, plans[thing], done[FINISH], eaten, found)
        elif THAW in done and plans[thing].take_outs:
            _thawed(problem, plans[thing], done[THAW], eaten[thing], found)
        elif thing in off and plans[thing].take_outs:
            found.wishes += left_in(problem, *_way(problem, plans[thing].take_outs[0]), rows, plans[thing])
    return _with(problem, found), tuple(found.said)


def _planned(problem: Problem, thing: str, rows: Sequence[Happened]) -> Plan:
    """Return the plan with nothing but the thing of some records; dough that took another shape is what it became."""
    plans = [from_text(row.planned).plan for row in rows if row.planned]
    shape = another_shape(rows, thing)
    as_shape = [plan for plan in plans if any(shape_of(bake.bread) == shape for bake in plan.bakes)]
    if not shape or not plans or as_shape:
        return next(iter([*as_shape, *plans] if shape else plans), Plan())
    bakes = []
    for bake in plans[0].bakes:
        other = becomes(problem, bake.bread, bake.process, shape)
        if other is not None:
            pieces = ((TABLE, bake.total * other[1]),)
            bake = replace(bake, bread=other[0].id, process=of_household(bake.process), pieces=pieces, lots=())
        bakes.append(bake)
    return replace(plans[0], bakes=tuple(bakes))


def _past(problem: Problem, row: Happened) -> bool:
    return row.start is not None and _minute(problem, row.start) <= 0


def _minute(problem: Problem, at: datetime) -> int:
    """Return the whole minute in which a moment lies."""
    return (at - problem.zero) // timedelta(minutes=1)


@dataclass(frozen=True)
class _Baked:
    """A bake with what is done of it, by step."""

    id: str
    bake: Bake
    done: Mapping[str, Happened]
    eaten: int


def _bake(problem: Problem, of: _Baked, rows: Sequence[Happened], found: _Found) -> None:
    """Add what is left of a bake: nothing, itself, or its bread."""
    bread, process = _known(problem, of.bake)
    skipped = next((row for row in rows if row.what is What.SKIPPED and row.step not in ("bag", OUT)), None)
    if skipped is not None and not of.done:
        at, around = _minute(problem, skipped.start or problem.zero), AROUND // timedelta(minutes=1)
        if at + around > 0 and bread is not None:
            said = f"{bread.name} was skipped"
            found.wishes.append(Wish(skipped.id, "no bake", bread.id, at - around, at + around, said=said))
        return
    if not of.done:
        return
    if bread is None or process is None:
        found.said.append(f"A bake of {of.bake.bread} has begun, which no bread file has any more: not counted.")
        return
    out = of.done.get(OUT)
    pieces = left(of.bake, None if out is None else out.count)
    frozen = sum(count for id_, count in pieces if id_ != TABLE)
    if "bag" in of.done:
        bagged = of.done["bag"].count
        table = sum(count for _, count in pieces) - (frozen if bagged is None else bagged)
        found.box += _on_the_table(problem, bread, process, of, table)
    elif OUT in of.done and not frozen:
        found.box += _on_the_table(problem, bread, process, of, sum(count for _, count in pieces))
    elif not pieces:
        return
    elif _over(problem, rows):
        began = problem.instant(min(_starts(problem, of)))
        found.said.append(
            f"Of the {bread.name} begun {began:%a} {time_of_day(began)} nothing more was said: "
            "it is not counted. Is it baked? rotation done, or rotation skip."
        )
    else:
        found.under_way.append(_begun(problem, process, of, pieces))


def _starts(problem: Problem, of: _Baked) -> list[int]:
    return [_minute(problem, row.start) for row in of.done.values() if row.start is not None]


def _over(problem: Problem, rows: Sequence[Happened]) -> bool:
    carried = next(from_text(row.planned) for row in rows if row.planned)
    bake = carried.plan.bakes[0]
    last = max((row.end or row.start or problem.zero for row in rows if row.what is What.DONE), default=problem.zero)
    end = carried.instant(max(bake.ready, bake.put_in or 0))
    return max(end, last) + GIVEN_UP < problem.zero


def _known(problem: Problem, bake: Bake) -> tuple[Bread | None, Process | None]:
    bread = next((bread for bread in problem.breads if bread.id == bake.bread), None)
    processes = bread.processes if bread is not None else ()
    return bread, next((process for process in processes if process.id == of_household(bake.process)), None)


def left(bake: Bake, out: int | None) -> tuple[tuple[str, int], ...]:
    """Return the pieces of a bake by treatment, as many as came out of the oven: the last to be missed is the table's.

    out: how many came out; None: all, as far as anybody said.
    """
    if out is None:
        return bake.pieces
    missing, pieces = bake.total - out, dict(bake.pieces)
    for id_ in sorted(pieces, key=lambda id_: (id_ == TABLE, id_)):
        less = min(missing, pieces[id_])
        pieces[id_], missing = pieces[id_] - less, missing - less
    return tuple((id_, pieces[id_]) for id_, _ in bake.pieces if pieces[id_] > 0)


def _on_the_table(problem: Problem, bread: Bread, process: Process, of: _Baked, pieces: int) -> Iterator[BoxItem]:
    """Yield the loaves of a bake that went to the table, less what was eaten."""
    out = of.done.get(OUT) or of.done.get("oven") or next(iter(of.done.values()))
    rest = next((treatment.cool for treatment in process.treatments if treatment.id == TABLE), 0)
    ready = _minute(problem, out.end or out.start or problem.zero) + rest
    portions, until = pieces * bread.portions - of.eaten, ready + bread.keeps
    if portions > 0 and until > 0:
        yield BoxItem(of.id, bread.id, FRESH, portions, ready, until)


def _begun(problem: Problem, process: Process, of: _Baked, pieces: tuple[tuple[str, int], ...]) -> UnderWay:
    """Return the bake with the real minutes of its steps; of what was passed over, those of the step after it."""
    names = [stage.name for stage in process.stages if stage.name != "bag"]
    real = {
        name: (_minute(problem, row.start), min(0, _minute(problem, row.end or row.start)))
        for name, row in of.done.items()
        if row.start is not None
    }
    if OUT in real and "oven" not in real:  # its stay began so long before
        length = of.bake.stay.end - of.bake.stay.start
        real["oven"] = (real[OUT][0] - length, real[OUT][0] - length + process.programme.handling)
    known = [name for name in names if name in real]
    last = names.index(known[-1]) if known else -1
    done: list[tuple[str, int, int]] = []
    for name in reversed(names[: last + 1]):
        start, end = real.get(name, (done[0][1],) * 2 if done else (0, 0))
        done.insert(0, (name, start, max(start, min(end, done[0][1] if done else end))))
    fixed = pieces if "oven" in real else ()
    total = sum(count for _, count in pieces)
    return UnderWay(of.id, of.bake.bread, process.id, total, tuple(done), fixed)


def _thawed(problem: Problem, planned: Plan, row: Happened, eaten: int, found: _Found) -> None:
    """Add what was taken out of the freezer: it thaws for its finish, or is bread by now or soon."""
    out = planned.take_outs[0]
    bread, route = _way(problem, out)
    if bread is None or route is None or route.gives == TOAST or row.start is None:
        return
    at, units = _minute(problem, row.start), out.units if row.count is None else row.count
    if planned.finishes:
        letter = next((lot.letter for lot in problem.lots if lot.id == out.lots[0][0]), "")
        lot, gone, way = thawing(problem, bread, route, f"{_thawing(route)} {len(found.lots) + 1}", units, at)
        found.lots.append(replace(lot, id=row.thing, letter=letter))
        found.ways.append((bread.id, gone, way))
    else:
        _in_box(problem, row.thing, bread, route, units, at + route.thaw[0], eaten, found)


def thawing(problem: Problem, bread: Bread, route: Route, name: str, units: int, at: int) -> tuple[Lot, Form, Route]:
    """Return what left the freezer at a minute and is still to be finished: a lot of a form of its own, its way."""
    form, ready, last = bread.form(route.form), at + route.thaw[0], at + route.thaw[1]
    strict = problem.midnights[min(max(problem.day_of(last) + 1, 1), problem.days)]
    lot = Lot(name, "", bread.id, name, units, at, ready, NEVER, NEVER, strict)
    gone = replace(form, id=name, unit_dl=0, unit_grams=0, load_percent=0, strict=None, toast_after=NEVER)
    return lot, gone, replace(route, until=last)


def _finished(problem: Problem, planned: Plan, row: Happened, eaten: Mapping[str, int], found: _Found) -> None:
    """Add what was finished as bread, and count it no more among what thaws."""
    out, thing = planned.take_outs[0], browned(row.thing, planned)
    bread, route = _way(problem, out)
    if bread is None or route is None or row.end is None:
        return
    found.finished += thaws_of(row.thing, planned)
    _in_box(
        problem, thing, bread, route, out.units, _minute(problem, row.end) + route.stand, eaten.get(thing, 0), found
    )


def _in_box(
    problem: Problem, thing: str, bread: Bread, route: Route, units: int, ready: int, eaten: int, found: _Found
) -> None:
    """Add bread that is ready to eat, less what was eaten of it, while it is good."""
    portions, until = units * bread.form(route.form).portions_per_unit - eaten, ready + route.keeps
    if portions > 0 and until > 0:
        found.box.append(BoxItem(thing, bread.id, route.gives, portions, ready, until))


def _way(problem: Problem, out: TakeOut) -> tuple[Bread | None, Route | None]:
    """Return the bread and route of what was taken out, as the household knows them now; None for what it does not."""
    bread = next((bread for bread in problem.breads if bread.id == out.bread), None)
    routes = bread.routes if bread is not None else ()
    known = [route for route in routes if out.route == route.id or out.route.startswith(f"{_thawing(route)} ")]
    return bread, next(iter(known), None)


def _thawing(route: Route) -> str:
    return f"{route.form}{THAWING}, {route.id}"


def _with(problem: Problem, found: _Found) -> Problem:
    """Return the problem with all that was found; a bake that the household wrote down itself goes on from there."""
    lots = [lot for lot in found.lots if lot.units and lot.id not in found.finished]
    begun = {one.id: one for one in problem.under_way} | {one.id: one for one in found.under_way}
    breads = tuple(with_ways(bread, [way for way in found.ways if way[0] == bread.id]) for bread in problem.breads)
    return replace(
        problem,
        breads=breads,
        lots=tuple(sorted((*problem.lots, *lots), key=lambda x: (x.bagged, x.id))),
        box=(*problem.box, *found.box),
        under_way=tuple(begun.values()),
        wishes=(*problem.wishes, *found.wishes),
    )


def with_ways(bread: Bread, ways: Sequence[tuple[str, Form, Route]]) -> Bread:
    """Return a bread with forms of what is thawing, each with its one way into the oven."""
    forms = tuple(form for _, form, _ in ways)
    routes = tuple(
        replace(route, id=form.id, form=form.id, place="", thaw=(0, 0), handling_out=1, fridge_units=0)
        for _, form, route in ways
    )
    return replace(bread, forms=(*bread.forms, *forms), routes=(*bread.routes, *routes))
