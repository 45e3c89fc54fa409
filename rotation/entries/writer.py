"""Writes the entries of one plan: bakes whole or in parts, thaws, finishes, steps of a person, stays of an oven."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Literal

from calendars.text import clean
from calendars.writing import Entry
from rotation.asked import Meant
from rotation.entries.explained import FINISH_TO_START, RINGS, Each, Explained
from rotation.identity import uid
from rotation.instructions import Instructions
from rotation.plan import Bake, Finish, Plan, Stay, Step, TakeOut
from rotation.problem import FEED, STARTER, TOAST, Problem, is_thawing
from rotation.telling import meals_from
from rotation.words import oven_at

Span = tuple[int, int]


class Writer:
    """Makes the entries of one plan, all of it. Minutes become instants in the household's zone.

    recipes: bake id and step name to the grams that go in.
    """

    def __init__(self, problem: Problem, plan: Plan, recipes: Mapping[tuple[str, str], str]) -> None:
        self._problem, self._plan = problem, plan
        self._say = Instructions(problem, plan, recipes)
        self._outs = {out.id: out for out in plan.take_outs}

    def bakes(self, each: Each) -> Iterator[Explained]:
        """Yield the entries of the bakes of which something before the end of the baking is still to be done."""
        for bake in self._plan.bakes:
            if bake.stay.start < 0:
                continue
            if each == "bake":
                yield self._whole(bake)
            elif each == "part":
                yield from self._parts(bake)
            else:
                yield from self._steps(bake)

    def thaws(self, *, joined: bool = False) -> Iterator[Explained]:
        """Yield the entries of thaws and finishes; joined: of each thaw and its finish as one."""
        finishes = {finish.take_out: finish for finish in self._plan.finishes}
        for out in self._plan.take_outs:
            if self._problem.bread(out.bread).route(out.route).gives == TOAST:
                continue
            finish = finishes.get(out.id)
            if not is_thawing(out.form):
                yield self._thaw(out, finish, joined=joined)
            if finish is not None and (not joined or is_thawing(out.form)):
                yield self._finish(out, finish)

    def feeds(self, person: str = "") -> Iterator[Explained]:
        """Yield the feeds of the starter that belong to no bake; person: in the calendar of who does them."""
        suffix = f" {person}" if person else ""
        for feeding in self._plan.feedings:
            if person in ("", feeding.who):
                text, span = self._say.feed(feeding), (feeding.start, feeding.end)
                entry = self._entry(uid(feeding.id, FEED + suffix), FEED, "Feed starter", text, span)
                at, title = self._problem.instant(feeding.start), entry.summary
                thing = feeding.id
                meant = Meant(entry.uid, thing, "feed", thing, STARTER, "", entry.start, at, None, (), "", True, title)
                yield self._told(entry, meant, [("feed", feeding.start)])

    def hands_of(self, person: str) -> Iterator[Explained]:
        """Yield the steps one person does: of bakes, feeding, at the freezer, at the oven."""
        for bake in self._plan.bakes:
            for step in _to_do(bake):
                if step.who == person and step.name == "oven":
                    yield self._baking(bake, (), suffix=f" {person}")
                elif step.who == person:
                    yield self._step(bake, step, f" {person}")
        yield from self.feeds(person)
        for out in self._plan.take_outs:
            if out.who == person and not is_thawing(out.form):
                yield self._thaw(out, None, suffix=f" {person}")
        for finish in self._plan.finishes:
            if person in (finish.who_in, finish.who_out, *(event.who for event in finish.stay.events)):
                yield self._finish(self._outs[finish.take_out], finish, suffix=f" {person}")

    def reservations(self, oven: str) -> Iterator[Explained]:
        """Yield the stays of one oven that are still to come."""
        for bake in self._plan.bakes:
            if bake.stay.oven == oven and bake.stay.start >= 0:
                yield self._reserved(bake, bake.stay, self._say.loaves(bake), self._say.baking(bake))
        for finish in self._plan.finishes:
            if finish.stay.oven == oven:
                out = self._outs[finish.take_out]
                yield self._reserved(finish, finish.stay, self._say.taken(out), self._say.finish(out, finish))

    # bakes --------------------------------------------------------------------------------------------------------

    def _whole(self, bake: Bake) -> Explained:
        """Return one entry from the first thing to do until all is out of the oven."""
        first, *_ = to_do = _to_do(bake)
        early = [step for step in to_do if self._problem.day_of(step.start) < bake.day]
        mixed = next((step for step in to_do if step not in early), first)
        rings = [("feed", step.start) for step in early[:1]]
        rings += [("bake", mixed.start)] if mixed.start < bake.stay.heat_from else []
        rings += [("oven", bake.stay.heat_from)] if self._apart(mixed.start, bake.stay.heat_from) else []
        title = f"Bread: {self._say.loaves(bake)} ({self._say.who(to_do)})"
        text = self._say.whole(bake, early, to_do[len(early) :])
        span = (min(first.start, max(bake.stay.heat_from, 0)), bake.stay.end)
        return self._of_bake(bake, "bake", title, text, span, first, rings, whole=True)

    def _apart(self, one: int, other: int) -> bool:
        """Say whether two minutes are on different local days, so that the first alarm is no help at the second."""
        return self._problem.day_of(one) != self._problem.day_of(other)

    def _parts(self, bake: Bake) -> Iterator[Explained]:
        """Yield what is done on days before the mix, the bake from the mix to the oven, and the baking."""
        before = [step for step in _to_do(bake) if step.name not in ("oven", "bag")]
        early = [step for step in before if self._problem.day_of(step.start) < bake.day]
        rest = before[len(early) :]
        last: list[str] = []
        for step in early:
            title = f"{_named(step)}: {self._say.loaves(bake)}"
            text = self._say.early(bake, step)
            told = self._of_bake(
                bake, step.name, title, text, (step.start, step.end), step, [("feed", step.start)], last
            )
            last = [told.entry.uid]
            yield told
        if rest:
            title = f"Bread: {self._say.loaves(bake)} ({self._say.who(rest)})"
            span, rings = (rest[0].start, rest[-1].end), [("bake", rest[0].start)]
            told = self._of_bake(bake, "mix", title, self._say.bake(bake, rest), span, rest[0], rings, last)
            last = [told.entry.uid]
            yield told
        yield self._baking(bake, last)

    def _steps(self, bake: Bake) -> Iterator[Explained]:
        """Yield every step of hands up to the oven, the baking, and the bagging."""
        last: list[str] = []
        for step in _to_do(bake):
            told = self._baking(bake, last) if step.name == "oven" else self._step(bake, step, "", last)
            last = [told.entry.uid]
            yield told

    def _baking(self, bake: Bake, after: Iterable[str], *, suffix: str = "") -> Explained:
        """Return what is done at the oven, from switching on until all is out."""
        stay = bake.stay
        oven = bake.step("oven")
        assert oven is not None
        title, rings = self._oven_title(stay, self._say.loaves(bake)), [("oven", stay.heat_from)]
        span, text = (max(stay.heat_from, 0), stay.end), self._say.baking(bake)
        return self._of_bake(bake, "oven", title, text, span, oven, rings, after, suffix=suffix)

    def _step(self, bake: Bake, step: Step, suffix: str, after: Iterable[str] = ()) -> Explained:
        """Return one step of hands."""
        title = f"{_named(step)}: {self._say.loaves(bake)}"
        rings = [("feed", step.start)] if step.name == "feed" else []
        text = self._say.early(bake, step)
        span = (step.start, step.end)
        return self._of_bake(bake, step.name, title, text, span, step, rings, after, suffix=suffix)

    def _of_bake(
        self,
        bake: Bake,
        name: str,
        title: str,
        text: Iterable[str],
        span: Span,
        step: Step,
        rings: Iterable[tuple[str, int]],
        after: Iterable[str] = (),
        *,
        suffix: str = "",
        whole: bool = False,
    ) -> Explained:
        entry = self._entry(uid(bake.id, name + suffix), "bake", title, text, span, after)
        at = self._problem.instant(step.start)
        meant = Meant(
            entry.uid,
            bake.id,
            "bake",
            bake.id,
            bake.bread,
            step.name,
            entry.start,
            at,
            self._mix(bake),
            (),
            "",
            whole,
            title,
        )
        return self._told(entry, meant, rings)

    def _mix(self, bake: Bake) -> datetime | None:
        """Return when a bake is mixed, or, without such a step, begun; None if it was."""
        mixed = bake.step("mix") or bake.steps[0]
        return None if mixed.who is None else self._problem.instant(mixed.start)

    # thaws and finishes -------------------------------------------------------------------------------------------

    def _thaw(self, out: TakeOut, finish: Finish | None, *, joined: bool = False, suffix: str = "") -> Explained:
        """Return the trip to the freezer; joined: with its finish."""
        if finish is None:
            finish = next((finish for finish in self._plan.finishes if finish.take_out == out.id), None)
        handling = self._problem.bread(out.bread).route(out.route).handling_out
        title, text, end = f"Bread out: {self._say.taken(out)}", self._say.thaw(out, finish), out.at + handling
        rings = [("thaw", out.at)]
        if joined and finish is not None:
            title, end = f"Bread out, then oven: {self._say.taken(out)}", finish.stay.end
            text = [*text, *self._say.finish(out, finish)]
            rings += [("oven", finish.stay.heat_from)] if self._apart(out.at, finish.stay.heat_from) else []
        entry = self._entry(uid(out.id, "thaw" + suffix), "thaw", title, dict.fromkeys(text), (out.at, end))
        return self._told(entry, self._meant_of(entry, out.id, "thaw", out, out.at), rings)

    def _finish(self, out: TakeOut, finish: Finish, *, suffix: str = "") -> Explained:
        """Return the second stay in the oven, from switching on until it is out."""
        stay = finish.stay
        title, text = self._oven_title(stay, self._say.taken(out)), self._say.finish(out, finish)
        span, after = (max(stay.heat_from, 0), stay.end), [] if is_thawing(out.form) else [uid(out.id, "thaw" + suffix)]
        entry = self._entry(uid(finish.id, "finish" + suffix), "finish", title, text, span, after)
        meant = self._meant_of(entry, finish.id, "finish", out, stay.start)
        return self._told(entry, meant, [("oven", stay.heat_from)])

    def _meant_of(self, entry: Entry, thing: str, kind: Literal["thaw", "finish"], out: TakeOut, at: int) -> Meant:
        feeds = tuple(self._problem.instant(meal.at) for meal, _ in meals_from(self._problem, self._plan, out.id))
        when, gives = self._problem.instant(at), self._problem.bread(out.bread).route(out.route).gives
        title = entry.summary
        return Meant(entry.uid, thing, kind, out.id, out.bread, "", entry.start, when, None, feeds, gives, True, title)

    # ovens --------------------------------------------------------------------------------------------------------

    def _reserved(self, of: Bake | Finish, stay: Stay, what: str, text: Iterable[str]) -> Explained:
        span = (max(stay.heat_from, 0), stay.end)
        entry = self._entry(uid(stay.id, "stay"), "oven", self._oven_title(stay, what), text, span)
        entry = replace(entry, location=clean(self._problem.oven(stay.oven).name, 60))
        at, title, mix = self._problem.instant(stay.start), entry.summary, None
        if isinstance(of, Bake):
            whole, bread, step, mix = of.id, of.bread, "oven", self._mix(of)
        else:
            whole, bread, step = of.take_out, self._outs[of.take_out].bread, ""
        meant = Meant(entry.uid, of.id, "oven", whole, bread, step, entry.start, at, mix, (), "", False, title)
        return self._told(entry, meant, ())

    def _oven_title(self, stay: Stay, what: str) -> str:
        title = "Leave the oven on" if stay.heat.startswith("after:") else "Oven"
        return f"{title} {oven_at(stay.degc, self._problem.oven(stay.oven))}: {what}"

    def _entry(
        self, uid_: str, kind: str, title: str, text: Iterable[str], span: Span, after: Iterable[str] = ()
    ) -> Entry:
        """Return an entry over a span of minutes; `after`: UIDs of what is finished before it."""
        start, end = (self._problem.instant(minute) for minute in (span[0], max(span[1], span[0] + 1)))
        description = "\n".join(line for line in text if line)
        related = tuple((FINISH_TO_START, before) for before in after)
        categories = ("Bread", kind.capitalize())
        return Entry(uid_, title, description, start, end, categories=categories, related=related)

    def _told(self, entry: Entry, meant: Meant, rings: Iterable[tuple[str, int]]) -> Explained:
        ahead = {kind: round(before.total_seconds() / 60) for kind, before in RINGS.items()}
        return Explained(entry, meant, tuple((kind, at - ahead[kind]) for kind, at in rings if at >= ahead[kind]))


def _to_do(bake: Bake) -> list[Step]:
    """Return the steps of a bake that are still to be done."""
    return [step for step in bake.steps if step.who is not None]


def _named(step: Step) -> str:
    return "Feed starter" if step.name == "feed" else clean(step.name, 40).capitalize()
