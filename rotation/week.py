"""What the program does, without printing: read a household, understand its week, plan it, prove it, keep the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from calendars.event import Event, Oddity, Reading
from calendars.writing import to_ics, write_file
from rotation.carried import Carried, from_text, to_text
from rotation.changed import Before, changed
from rotation.entries import PRODUCT, entries
from rotation.happened import Happened, What
from rotation.household.reading import Home, read_home
from rotation.household.shapes import dough_of
from rotation.identity import matched, renamed
from rotation.intake import PublishedBake, PublishedThaw, build, read_calendars
from rotation.intake.course import continued
from rotation.intake.heat import with_waits
from rotation.intake.invited import Asked, seated
from rotation.intake.rescues import another_shape, chosen, rescued
from rotation.intake.starter import starter
from rotation.ledger import Happenings, Told
from rotation.ledger.journal import ever_written
from rotation.life import AHEAD, State
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.recipes import recipes
from rotation.rules.checked import prove
from rotation.standing import EXCUSES, misfits, rank, still
from rotation.starter import with_feeds
from rotation.steps import lasting
from rotation.stockroom import STATE, freezer, in_freezer, outdated

if TYPE_CHECKING:
    from rotation.solve import Limits
    from rotation.written import TakenIn

MATCHED = AHEAD | {State.CLOSED}
"""States of things that a new plan may still have: also of what was ticked off before its time."""

Progress = Callable[[str], None]
"""Told in words how the solving goes on."""


@dataclass(frozen=True)
class Understood:
    """A household's problem, what was assumed on the way to it, and what was odd in its calendars.

    before: the plan published last, or None; alive: ids of its things that may be in this one too; kept: the plan
    kept, where none was published.
    """

    home: Home
    problem: Problem
    notes: tuple[str, ...]
    before: Carried | None = None
    alive: frozenset[str] = frozenset()
    oddities: tuple[Oddity, ...] = ()
    kept: Carried | None = None


@dataclass(frozen=True)
class Week:
    """A plan that was proven to keep every rule."""

    understood: Understood
    plan: Plan

    @property
    def problem(self) -> Problem:
        """What was planned."""
        return self.understood.problem

    @property
    def carried(self) -> Carried:
        """The plan as it is kept."""
        return Carried.of(self.problem, self.plan, self.understood.home.settings.name)


def understand(
    home: Home,
    start: datetime,
    days: int,
    taken: TakenIn | None = None,
    now: datetime | None = None,
    late: Iterable[str] = (),
    ignored: Callable[[Event], bool] | None = None,
    looked: int | None = None,
    guests: Asked | None = None,
) -> Understood:
    """Return the problem of `days` local days from `start` (aware). Writes to disk only the heat that was worked out.

    taken: what the family's edits came to; else the wishes on record count. Our own entries in its calendars make
    nobody busy and feed nobody. now: to tell how old the copy of a calendar is whose server is down. late: other shapes
    that dough might take (`rotation.household.shapes`); those it has taken count anyway. ignored: events that are taken
    for not there. looked: days to look at beyond those, if not as many as it takes. guests: as if written.
    Raises BadInput and StorageError.
    """
    with freezer(home, start, readonly=True) as ledger:
        bags, old, told = in_freezer(home, ledger, start), outdated(home, ledger), Told(ledger)
        asked = told.wishes(start) if taken is None else taken.asked
        last, states, ours = told.last(), told.states(), ever_written(ledger)
        happened, kept = Happenings(ledger).standing(), ledger.whole_plan()
    home, waits = with_waits(home, start, days, home.folder / STATE)  # bags keep the dates they were given, before that
    home = home.with_late({*late, *(bag.bread for bag in bags), *_taken_shapes(happened)})
    before = None if last is None else from_text(last.plan)
    unwanted = {wish.thing for wish in asked if wish.kind.startswith("no ")}
    over = unwanted | {row.thing for row in happened if row.what in (What.DONE, What.SKIPPED)}
    alive = frozenset(id_ for id_, state in states.items() if state in MATCHED and id_ not in over)
    if before is None and kept is not None and over - unwanted:  # nothing is published, yet the plan kept is followed
        before = from_text(kept)
        ids = [*(bake.id for bake in before.plan.bakes), *(out.id for out in before.plan.take_outs)]
        states = {id_: State.PUBLISHED for id_ in ids if lasting(before, id_, {}) not in over}
    read = read_calendars(home, start, days, now)
    readings = {name: _without(reading, ours, ignored) for name, reading in read.items()}
    home, readings = (home, readings) if guests is None else seated(home, readings, guests)
    understood = build(
        home,
        readings,
        bags,
        home.stock.box,
        home.stock.under_way,
        None if before is None else _published(before, states, start, home.zone),
        start,
        days,
        asked,
        None if before is None else before.zero.astimezone(home.zone).date() + timedelta(days=before.days),
        () if before is None else _thaws(before, states, start),
        looked,
    )
    problem, course = continued(understood.problem, happened)
    for row in chosen(happened):
        assert row.start is not None
        at = (row.start - problem.zero) // timedelta(minutes=1)
        problem = rescued(problem, home, row.thing, row.step, row.said, at) or problem
    problem = replace(problem, starter=starter(home, problem, happened, asked))
    said = (*([old] if old else ()), *(taken.said if taken else ()), *course)
    notes = (*map(str, understood.notes), *map(str, waits), *said)
    earlier = from_text(kept) if before is None and kept is not None else None
    alive -= {item.id for item in problem.box}  # a thaw that is over is bread in the box, under the id it was told with
    return Understood(home, problem, notes, before, alive, understood.oddities, earlier)


def _taken_shapes(happened: Iterable[Happened]) -> Iterator[str]:
    """Yield the ids of what late dough has become."""
    rows = list(happened)
    for row in rows:
        shape = another_shape(rows, row.thing) if row.planned else ""
        for bake in from_text(row.planned).plan.bakes if shape else ():
            yield f"{dough_of(bake.bread)}.{shape}"


def _without(reading: Reading, ours: frozenset[str], ignored: Callable[[Event], bool] | None) -> Reading:
    """Return a reading without the entries we wrote ourselves, and without events to be ignored."""
    events = (event for event in reading.events if event.uid not in ours)
    return replace(reading, events=tuple(event for event in events if ignored is None or not ignored(event)))


def _published(before: Carried, states: Mapping[str, State], start: datetime, zone: ZoneInfo) -> list[PublishedBake]:
    """Return the bakes published and not begun, by the day on which they were to be mixed."""
    found = []
    for bake in before.plan.bakes:
        starts = tuple((s.name, before.instant(s.start)) for s in bake.steps if s.name in ("mix", "oven"))
        mixed = dict(starts).get("mix")
        if states.get(bake.id) in AHEAD and mixed is not None and mixed >= start:
            found.append(PublishedBake(bake.bread, bake.process, mixed.astimezone(zone).date(), starts))
    return found


def _thaws(before: Carried, states: Mapping[str, State], start: datetime) -> list[PublishedThaw]:
    """Return the thaws published and still to come."""
    finishes = {finish.take_out: finish for finish in before.plan.finishes}
    found = []
    for out in before.plan.take_outs:
        at, finish = before.instant(out.at), finishes.get(out.id)
        if out.who is not None and states.get(out.id) in AHEAD and at >= start:
            into = None if finish is None else before.instant(finish.stay.start)
            ready = before.instant(out.ready if finish is None else finish.ready)
            found.append(PublishedThaw(out.bread, out.route, at, into, ready))
    return found


def plan_week(
    understood: Understood,
    limits: Limits | None = None,
    progress: Progress | None = None,
    *,
    stoppable: bool = False,
) -> Week:
    """Return a proven plan: the one published, where none better is found; what it shares with that keeps its ids.

    Where none was published, the plan kept stays for one that costs the same, unless that is the first of all equals.
    stoppable: Ctrl-C ends the search, and the best plan found until then is returned, if there is one. Raises
    NothingPlanned if there is none, CheckFailed if it breaks a rule.
    """
    from rotation.replanning import solved
    from rotation.solve import Limits, Stopped

    try:
        plan = solved(understood.problem, limits or Limits(), progress)
    except Stopped as stopped:
        if not stoppable:
            raise
        plan = stopped.plan
        if progress is not None:
            progress("stopped: the best plan found until now is proven and kept")
    before = understood.before or (None if plan.canonical else understood.kept)
    if before is not None:
        plan = _as_published(understood, before, plan)
    prove(understood.problem, plan)
    return Week(understood, plan)


def _as_published(understood: Understood, before: Carried, plan: Plan) -> Plan:
    """Return a plan made before if it still holds and is as good as the new one, else the new one with known ids."""
    problem = understood.problem
    kept = still(problem, before, understood.home.zone)
    if kept is not None and kept.total <= plan.total and rank(problem, kept) <= rank(problem, plan):
        cost = plan.tiers[-1]
        best = "optimal" if plan.status == "optimal" and kept.total == plan.total else plan.status
        tiers = (*plan.tiers[:-1], replace(cost, value=kept.total, bound=cost.bound))
        return replace(kept, status=best, tiers=tiers, path=plan.path)
    told = before.since(problem.zero, 0).feedings
    new = Carried.of(problem, with_feeds(problem, plan, [feed.start for feed in told]), before.household)
    return renamed(new, matched(new, before, understood.alive)).plan


def as_told(understood: Understood, problem: Problem, plan: Plan) -> Carried:
    """Return a plan of what was understood, or of a problem made of it, with the ids its things were told under."""
    new = Carried.of(problem, plan, understood.home.settings.name)
    return new if understood.before is None else renamed(new, matched(new, understood.before, understood.alive))


def _ahead(before: Carried, now: datetime) -> Carried:
    """Return of a plan what it begins from now on: what was to begin before was done or not, and is no misfit."""
    plan = before.plan
    bakes = tuple(bake for bake in plan.bakes if all(before.instant(step.start) >= now for step in bake.steps))
    outs = tuple(out for out in plan.take_outs if before.instant(out.at) >= now)
    kept = {*(bake.id for bake in bakes), *(out.id for out in outs), *(loaf.id for loaf in plan.bought)}
    return before.with_plan(
        replace(
            plan,
            bakes=bakes,
            take_outs=outs,
            finishes=tuple(finish for finish in plan.finishes if finish.take_out in kept),
            servings=tuple(serving for serving in plan.servings if serving.source in kept),
        )
    )


def what_changed(week: Week) -> str:
    """Return in one line what is other than in the plan kept so far, and why; "" where nothing is. Reads the disk."""
    understood, problem = week.understood, week.problem
    with freezer(understood.home, problem.zero, readonly=True) as ledger:
        whole, shown, happened = ledger.whole_plan(), ledger.kept_plan(), Happenings(ledger).standing()
    if whole is None or shown is None:
        return ""
    before = from_text(whole)
    if abs(problem.zero - before.zero) > timedelta(days=before.days):
        return ""
    wrong = [one.rule for one in misfits(problem, _ahead(before, problem.zero), understood.home.zone)]
    excuses = [words for rule, words in EXCUSES.items() if rule in wrong]
    return changed(Before.of(before, shown), week.carried, problem, happened, excuses)


def keep(week: Week, plan_json: str, taken: TakenIn | None = None) -> None:
    """Keep a proven plan as the current one, in place of the one before, with the wishes it took in.

    Raises StorageError; the one before stays.
    """
    at = week.problem.zero
    with freezer(week.understood.home, at) as ledger:
        ledger.keep_plan(plan_json, at, to_text(week.carried), () if taken is None else taken.changed)


def load(folder: Path) -> Home:
    """Return the household in a folder. Raises BadInput with all its mistakes."""
    return read_home(folder)


def grams(week: Week) -> dict[tuple[str, str], str]:
    """Return what to weigh at each step, by bake id and step name."""
    return recipes(week.understood.home.known, week.plan, week.understood.home.settings.shown.display)


def write_entries(week: Week, path: Path) -> None:
    """Write the plan's entries as a calendar file, whole or not at all. Raises CalendarError."""
    settings = week.understood.home.settings.entries
    told, *_ = entries(week.problem, week.plan, grams(week), each=settings.each, alarms_a_day=settings.alarms_a_day)
    made = [replace(one.entry, transparent=not settings.blocking) for one in told]
    write_file(path, to_ics(made, name=settings.calendar, stamp=week.problem.zero, product_id=PRODUCT))
