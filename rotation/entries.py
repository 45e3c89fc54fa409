"""A plan as calendar entries: one for each bake, each thaw with its finish, each reservation of the oven.

A starter feed on a day before the mix has an entry of its own, since nobody looks for it on the day after. Bread taken
at the meal, folds and bagging have none. An entry's UID says what it is, never when or from which bag: a bake is its
bread, process and day of mixing, a thaw or finish the meal it is for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import NAMESPACE_URL, uuid5

from calendars.text import clean
from calendars.writing import Entry
from rotation.instructions import Instructions
from rotation.plan import Bake, Plan, Stay, TakeOut
from rotation.problem import TOAST, Problem
from rotation.telling import meals_from, shown
from rotation.words import oven_at

ALARMS = {"thaw": timedelta(0), "feed": timedelta(0), "oven": timedelta(minutes=10), "bake": timedelta(minutes=15)}
"""How long before its start an entry of each kind may ring, the most needed kind first."""

CLEAR_DAYS = 28
"""Days that are planned to the minute; those after them are a sketch."""

PRODUCT = "-//Bread Rotation//Bread Rotation//EN"
"""PRODID of the calendars this program writes."""

FINISH_TO_START = "FINISHTOSTART"
"""The relation (RFC 9253) of an entry to one that has to be finished before it starts."""


@dataclass(frozen=True)
class _Found:
    """An entry and its kind, which decides its alarm."""

    kind: str
    entry: Entry


def entries(
    problem: Problem,
    plan: Plan,
    household: str,
    recipes: Mapping[tuple[str, str], str] | None = None,
    *,
    alarms_a_day: int = 2,
    blocking: bool = False,
) -> tuple[Entry, ...]:
    """Return the entries of the shown days, by start; of days that are only a sketch there are none.

    household: what tells its entries from those of other households; recipes: bake id and step name to the grams that
    go in; alarms_a_day: at most so many entries of a local day ring; blocking: whether entries make people busy.
    """
    clear = replace(problem, shown_days=min(problem.shown_days, CLEAR_DAYS))
    writer = _Writer(problem, shown(clear, plan), household, recipes or {})
    found = sorted(writer.all(), key=lambda found: (found.entry.start, found.entry.uid))
    return tuple(replace(entry, transparent=not blocking) for entry in _with_alarms(found, problem, alarms_a_day))


def _with_alarms(found: list[_Found], problem: Problem, most: int) -> Iterator[Entry]:
    """Yield the entries; the most needed of each local day, at most `most`, with an alarm."""
    need = list(ALARMS)
    rung: dict[date, int] = {}
    rings = set()
    for one in sorted(found, key=lambda one: (need.index(one.kind), one.entry.start, one.entry.uid)):
        day = one.entry.start.astimezone(problem.zone).date()
        if rung.get(day, 0) < most:
            rung[day] = rung.get(day, 0) + 1
            rings.add(one.entry.uid)
    for one in found:
        yield replace(one.entry, alarms=(ALARMS[one.kind],) if one.entry.uid in rings else ())


class _Writer:
    """Makes the entries of one plan. Minutes become instants in the household's zone."""

    def __init__(self, problem: Problem, plan: Plan, household: str, recipes: Mapping[tuple[str, str], str]) -> None:
        self.problem, self.plan, self.household = problem, plan, household
        self.say = Instructions(problem, plan, recipes)
        self.given: set[str] = set()

    def all(self) -> Iterator[_Found]:
        for bake in self.plan.bakes:
            yield from self.bake(bake)
        for out in self.plan.take_outs:
            if self.problem.bread(out.bread).route(out.route).gives != TOAST:
                yield from self.thaw(out)

    def uid(self, *what: str) -> str:
        """Return the UID of a thing, the same in every plan; of things all alike the second is "2", and so on."""
        number = 1
        while (uid := self.name(*what, str(number))) in self.given:
            number += 1
        self.given.add(uid)
        return uid

    def name(self, *what: str) -> str:
        return str(uuid5(NAMESPACE_URL, "\n".join(("bread-rotation", self.household, *what))))

    def entry(
        self, kind: str, uid: str, summary: str, text: Iterable[str], span: tuple[int, int], after: Iterable[str] = ()
    ) -> _Found:
        """Return an entry over a span of minutes; `after`: UIDs of what is finished before it."""
        start, end = (self.problem.instant(minute) for minute in (span[0], max(span[1], span[0] + 1)))
        description = "\n".join(line for line in text if line)
        related = tuple((FINISH_TO_START, before) for before in after)
        categories = ("Bread", kind.capitalize())
        return _Found(kind, Entry(uid, summary, description, start, end, categories=categories, related=related))

    def bake(self, bake: Bake) -> Iterator[_Found]:
        """Yield what is done on days before the mix, the bake from the mix to the oven, the oven's reservation."""
        identity = (bake.bread, bake.process, self.problem.date_of(bake.day).isoformat())
        loaves = self.say.loaves(bake)
        before = [step for step in bake.steps if step.who is not None and step.name not in ("oven", "bag")]
        early = [step for step in before if self.problem.day_of(step.start) < bake.day]
        rest = before[len(early) :]
        last: list[str] = []
        for step in early:
            uid = self.uid(*identity, step.name)
            title = "Feed starter" if step.name == "feed" else clean(step.name, 40).capitalize()
            span = (step.start, step.end)
            yield self.entry("feed", uid, f"{title}: {loaves}", self.say.early(bake, step), span, last)
            last = [uid]
        if rest:
            uid = self.uid(*identity, "mix")
            title = f"Bread: {loaves} ({self.say.who(rest)})"
            yield self.entry("bake", uid, title, self.say.bake(bake, rest), (rest[0].start, rest[-1].end), last)
            last = [uid]
        if bake.stay.start >= 0:
            yield self.oven(bake.stay, self.uid(*identity, "oven"), loaves, self.say.baking(bake), last)

    def thaw(self, out: TakeOut) -> Iterator[_Found]:
        """Yield the thaw with what follows, and the oven's reservation of its finish."""
        route, meals = self.problem.bread(out.bread).route(out.route), meals_from(self.problem, self.plan, out.id)
        serves = meals[0][0].id if meals else self.problem.instant(out.at).date().isoformat()
        identity = (out.bread, out.form, out.route, serves)
        finish = next((finish for finish in self.plan.finishes if finish.take_out == out.id), None)
        what = self.say.taken(out)
        uid = self.uid(*identity, "thaw")
        span = (out.at, out.at + route.handling_out)
        yield self.entry("thaw", uid, f"Bread out: {what}", self.say.thaw(out, finish), span)
        if finish is not None:
            text = self.say.finish(out, finish)
            yield self.oven(finish.stay, self.uid(*identity, "oven"), what, text, [uid])

    def oven(self, stay: Stay, uid: str, what: str, text: Iterable[str], after: Iterable[str]) -> _Found:
        """Return the reservation of an oven, from switching on until all is out."""
        title = "Leave the oven on" if stay.heat.startswith("after:") else "Oven"
        summary = f"{title} {oven_at(stay.degc, self.problem.oven(stay.oven))}: {what}"
        found = self.entry("oven", uid, summary, text, (max(stay.heat_from, 0), stay.end), after)
        return replace(found, entry=replace(found.entry, location=clean(self.problem.oven(stay.oven).name, 60)))
