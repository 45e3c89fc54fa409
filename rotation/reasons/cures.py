"""What to change so that a meal is not short: from the catalogue, each cure planned, checked, and tried with less."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import combinations

from rotation import facts
from rotation.plan import Plan
from rotation.problem import Meal, Problem, Spans, union
from rotation.reasons.again import best, priced
from rotation.reasons.answers import Cure, Part, Uncured, Without
from rotation.reasons.catalogue import REACH, catalogue
from rotation.reasons.change import Change, sensible, spare, together, told
from rotation.reasons.compare import Look, difference
from rotation.reasons.guide import AT_ONCE, Guide
from rotation.reasons.held import all_of, either, fed, no_worse, nothing_new, only, others, wanting
from rotation.runs import Run
from rotation.solve import Limits, Shape, excluded
from rotation.telling import short
from rotation.thaws import Way

CURES = 4
"""Cures that are looked for."""

TRIES = 16
"""Sets of changes that are planned at most, where nobody asked for more work."""

UNSEEN = (
    "a vessel",
    "an oven place",
    "a bowl",
    "a proofing basket",
    "a fridge spot",
    "another bread",
    "the meal later",
)
"""Kinds of changes that the guide does not see: each is tried alone."""

PROOF = Limits(quick=0.5, better=0.0, days=0.5, minutes=1.0, mends=1, rounds=1)
"""Work for the proof that fewer changes do not do."""

GLANCE = 0.1
"""Work for that proof over all days, where the meal is everybody's: it is mostly plain at once, or never."""


def cures(problem: Problem, plan: Plan, meal: Meal, work: Limits | None) -> Iterator[Part]:
    """Yield cures as they are found, and what feeding the meal costs as things are: first of all, but for guests.

    work: more tries.
    """
    ward, tries = Ward(problem, plan, meal), TRIES if work is None else 3 * TRIES
    if meal.strict:
        yield from ward.cures(tries)
    asked = ward.fed_as_it_is
    if asked is not None:
        here = Look(problem, asked)
        moved = difference(Look(problem, plan), here)
        yield Without("if it were fed", "near", moved, here, asked.status == "optimal")
        if ward.cured(asked):
            return
    if not meal.strict:
        yield from ward.cures(tries)


@dataclass(frozen=True)
class Ward:
    """One meal that is short, and what is tried for it."""

    problem: Problem
    plan: Plan
    meal: Meal
    proofs: dict[tuple[frozenset[tuple[str, str]], bool], bool] = field(default_factory=dict, compare=False)
    """Of sets of changes, on all days or near: whether it is proven that they do not cure it."""

    @property
    def days(self) -> range:
        """The local days on which other things may be done for it."""
        day = self.problem.day_of(self.meal.at)
        return range(max(day - REACH, 0), day + 1)

    @cached_property
    def fed_as_it_is(self) -> Plan | None:
        """The best plan found that feeds it, nothing changed; None if there is none."""
        return self._with((), nothing_new(self.plan, self.days))

    def cures(self, tries: int) -> Iterator[Part]:
        """Yield the cures found, at most so many sets of changes tried, then what was looked at in vain."""
        changes = catalogue(self.problem, self.meal)
        most = None if self.meal.strict else self.plan.total
        guide = Guide(self.problem, self.plan, self.meal, [c for c in changes if c.kind not in UNSEEN], most)
        found: list[frozenset[tuple[str, str]]] = []
        tried = 0
        for candidate, taken in self._candidates(guide, changes):
            keys = frozenset(change.key for change in candidate)
            if any(one <= keys for one in found):
                continue
            if tried >= tries or len(found) >= CURES:
                break
            tried += 1
            plan = self.curing(candidate, taken)
            if plan is None:
                continue
            candidate, plan = self._less(candidate, plan)
            plan = self._anew(candidate, plan)
            if plan is None:
                continue
            found.append(frozenset(change.key for change in candidate))
            yield self._cure(len(found), candidate, plan)
        if not found:
            yield Uncured(tried, AT_ONCE)

    def _candidates(
        self, guide: Guide, changes: list[Change]
    ) -> Iterator[tuple[tuple[Change, ...], Collection[Run | Way]]]:
        """Yield what the guide says, and between that what it cannot see, one by one."""
        alone = iter([(change,) for change in sorted(changes, key=lambda c: c.price) if change.kind in UNSEEN])
        for candidate in guide.candidates():
            yield candidate
            yield from ((one, ()) for one in [next(alone, None)] if one is not None)
        yield from ((one, ()) for one in alone)

    def curing(self, changes: tuple[Change, ...], taken: Collection[Run | Way] = ()) -> Plan | None:
        """Return the best plan found that cures it with some changes made; None if there is none.

        taken: what the guide would bake and take out; looked at first, for it is soon done.
        """
        problem = together(self.problem, changes)
        before = priced(problem, self.plan)
        if before is not None and self._feeds(problem, before) and self.cured(before):
            return before
        near = nothing_new(self.plan, self.days)
        for shape in (only(self.plan, taken), near) if taken else (near,):
            plan = self._with(changes, all_of(shape, no_worse(self.problem, self.plan, self.meal)))
            if plan is not None and self.cured(plan):
                return plan
        return None

    def _with(self, changes: tuple[Change, ...], shape: Shape) -> Plan | None:
        """Return the best plan found of a shape that feeds the meal with some changes made."""
        problem = together(self.problem, changes)
        plan = best(problem, all_of(shape, fed([self.meal.id])))
        return plan if plan is not None and self._feeds(problem, plan) else None

    def _feeds(self, problem: Problem, plan: Plan) -> bool:
        """Say whether a plan of a changed problem feeds the meal, if there is one left."""
        return all(short(problem, plan, meal) <= 0 for meal in problem.meals if meal.id == self.meal.id)

    def cured(self, plan: Plan) -> bool:
        """Say whether a plan that feeds the meal is a cure.

        No more wishes are dropped, and other meals, those with guests and all, are no shorter in all; of an everyday
        meal also: it costs no more than going short did, so that the best plan feeds it.
        """
        short = [
            [wanting(self.problem, one, meals) for meals in others(self.problem, self.meal)]
            for one in (self.plan, plan)
        ]
        dropped = [sum(not wish.kept for wish in one.wishes) for one in (self.plan, plan)]
        cheap = self.meal.strict or plan.total <= self.plan.total
        return all(new <= old for old, new in zip(*short, strict=True)) and dropped[1] <= dropped[0] and cheap

    def _anew(self, changes: tuple[Change, ...], plan: Plan) -> Plan | None:
        """Return what becomes of a cure when all near it is planned anew, with nobody asking for the meal to be fed.

        None: the meal would be short again, so it is no cure.
        """
        problem = together(self.problem, changes)
        shape = either(self.plan, plan) if self.meal.strict else nothing_new(self.plan, self.days)
        anew = best(problem, shape, start=plan)
        if anew is None or not self._feeds(problem, anew):
            return None
        return anew if self.cured(anew) else plan

    def _less(self, changes: tuple[Change, ...], plan: Plan) -> tuple[tuple[Change, ...], Plan]:
        """Return fewer and shorter changes that cure it too, with their plan, as far as any are found."""
        for size in range(1, len(changes)):
            for some in filter(sensible, combinations(changes, size)):
                other = None if self.uncured(some) else self.curing(some)
                if other is not None:
                    return self._less(some, other)
        problem = together(self.problem, changes)
        trimmed = tuple(spare(change, used(problem, plan, change)) for change in changes)
        if trimmed != changes:
            shape = all_of(either(self.plan, plan), no_worse(self.problem, self.plan, self.meal))
            other = self._with(trimmed, shape)
            if other is not None and self.cured(other):
                return trimmed, other
        return changes, plan

    def _cure(self, number: int, changes: tuple[Change, ...], plan: Plan) -> Cure:
        problem = together(self.problem, changes)
        subsets = [some for size in range(len(changes)) for some in combinations(changes, size) if sensible(some)]
        minimal = all(self.uncured(some) for some in subsets)
        near = minimal or all(self.uncured(some, near=True) for some in subsets)
        here = Look(problem, plan)
        moved = difference(Look(self.problem, self.plan), here)
        words = tuple(told(change, used(problem, plan, change)) for change in changes)
        return Cure(number, words, moved, here, minimal, near)

    def uncured(self, changes: tuple[Change, ...], *, near: bool = False) -> bool:
        """Say whether it is proven that some changes do not cure it, whatever else is planned.

        near: as long as the days not near the meal stay as planned.
        """
        keys = frozenset(change.key for change in changes), near
        if keys not in self.proofs:
            self.proofs[keys] = self._uncured(together(self.problem, changes), near)
        return self.proofs[keys]

    def _uncured(self, problem: Problem, near: bool) -> bool:
        if not any(meal.id == self.meal.id for meal in problem.meals):
            return False
        strict = self.meal.strict
        shape = all_of(fed([self.meal.id]), no_worse(self.problem, self.plan, self.meal))
        some = all_of(nothing_new(self.plan, self.days), shape) if near else shape
        if excluded(problem, some, None if strict else self.plan.total, PROOF.days if near or strict else GLANCE):
            return True
        if near or not strict:
            return False
        plan = best(self._guests(problem), work=PROOF)
        known = wanting(self.problem, self.plan, others(self.problem, self.meal)[0])
        return plan is not None and (plan.tiers[1].bound or 0) > known

    def _guests(self, problem: Problem) -> Problem:
        """Return the problem of feeding guests and nobody else, as long as it takes: easier than the whole."""
        guests = tuple(meal for meal in problem.meals if meal.strict)
        last = problem.day_of(max(meal.at for meal in guests)) + 1
        return replace(
            problem, meals=guests, midnights=problem.midnights[: last + 1],
            shown_days=min(problem.shown_days, last), published=None, published_ways=(),
        )  # fmt: skip


def used(problem: Problem, plan: Plan, change: Change) -> Spans:
    """Return the minutes of a person's hands, or of an oven, that a plan uses."""
    stays = list(facts.planned_stays(problem, plan))
    if change.kind == "an oven hour":
        return union((stay.heat_from, stay.end) for stay in stays if stay.oven == change.who)
    jobs = [(job.start, job.end) for job in facts.jobs(problem, plan) if job.person == change.who]
    if change.kind == "somebody at home":
        for stay in stays:
            oven = problem.oven(stay.oven)
            jobs.append((stay.heat_from, stay.end + (oven.watch_after_vessel if stay.vessel else oven.watch_after)))
    return union(iter(jobs))
