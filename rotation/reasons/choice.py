"""Why something was chosen, or was not: the best plan without it, the rules that bind, each found by solving again."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from rotation.plan import Plan
from rotation.problem import Problem
from rotation.reasons.again import MORE, NEAR, SOON, best, better, priced
from rotation.reasons.answers import Better, Bound, Part, Unbound, Without
from rotation.reasons.compare import Look, difference
from rotation.reasons.held import all_of, nothing_new
from rotation.reasons.loosened import LOOSENED, loosened
from rotation.solve import Limits, Shape, excluded

WHOLE = 500
"""Milli below which a difference is not worth telling."""

GLANCE = 0.3
"""Work for the proof that a rule is not in the way."""

Try = tuple[str, Shape | None, Limits]
"""How far is looked, as `Without.within` says it; the shape of the plans; how much work."""


@dataclass(frozen=True)
class Question:
    """What is asked of a plan that holds. days: local days that may be other; words: what is forbidden or asked for.

    other: the problem in which it is forbidden, if a wish says it; shape: else of which plans. bread: the one it is
    about, if it is about one.
    """

    problem: Problem
    plan: Plan
    days: frozenset[int]
    words: str
    other: Problem | None = None
    shape: Shape | None = None
    bread: str | None = None

    @property
    def forbidding(self) -> Problem:
        """The problem of the plans in which it is not so."""
        return self.other or self.problem

    @property
    def span(self) -> tuple[int, int]:
        """The minutes of its days."""
        marks, last = self.problem.midnights, len(self.problem.midnights) - 1
        return max(marks[max(min(self.days), 0)], 0), marks[min(max(self.days) + 1, last)]

    def near(self, days: Collection[int], bread: str | None = None) -> Shape:
        """Return the shape of the plans asked for that are other only on some days, or there only in one bread."""
        held = nothing_new(self.plan, days, bread)
        return held if self.shape is None else all_of(held, self.shape)

    def tries(self, work: Limits | None) -> list[Try]:
        """Return how far to look for plans in which it is not so, from the quickest to all days, if there is work."""
        near: list[Try] = [("left out", self.near(()), SOON), ("near", self.near(self.days), NEAR)]
        return near if work is None else [*near, ("all", self.shape, work)]


def chosen(question: Question, rules: Collection[str], work: Limits | None) -> Iterator[Part]:
    """Yield what it costs not to have it, from the quickest answer to the best, then the rules that bind.

    work: to look over all days as well, None to look only near it.
    """
    first, *others = question.tries(work)
    base, found = _base(question, ()), None
    for part in without(question, base, [first]):
        found = part.look.plan if part.look is not None else None
        yield part
    base = _base(question, question.days, base)
    if question.plan.total - base.total >= WHOLE:
        yield Better(question.plan.total - base.total)
    yield from without(question, base, others, found)
    yield from binding(question, rules)


def _base(question: Question, days: Collection[int], start: Plan | None = None) -> Plan:
    """Return the best plan found that is other only on some days."""
    start = start or question.plan
    return best(question.problem, nothing_new(question.plan, days), start=start, work=NEAR if days else SOON) or start


def without(question: Question, base: Plan, tries: list[Try], found: Plan | None = None) -> Iterator[Without]:
    """Yield ever better plans without it, against a base. found: the best one so far."""
    look, other = Look(question.problem, base), question.forbidding
    for number, (within, shape, limits) in enumerate(tries):
        plan = best(other, shape, start=found, work=limits)
        if plan is None and within == "near":
            plan = best(other, shape, work=MORE)
        if plan is None and (within == "left out" or number < len(tries) - 1):
            continue
        if plan is None:
            yield Without(question.words, within, None, None, False)
        elif found is None or better(other, plan, other, found) or plan.status == "optimal":
            new = found is None or better(other, plan, other, found)
            found, here = plan, Look(other, plan)
            yield Without(question.words, within, difference(look, here), here, plan.status == "optimal", new)


def binding(question: Question, rules: Collection[str]) -> Iterator[Part]:
    """Yield the rules without which the best plan is better, as they are found, then those that change nothing.

    Near it, only the bread it is about is planned anew: so what is found is soon proven.
    """
    near = nothing_new(question.plan, question.days, question.bread)
    base = best(question.problem, near, start=question.plan) or question.plan
    proven, none, unknown = base.status == "optimal", list[str](), list[str]()
    for rule in rules:
        other = loosened(question.problem, rule, question.span)
        start = None if other == question.problem else priced(other, base)
        if start is None:
            continue
        if excluded(other, near, start.total - WHOLE, GLANCE):
            none.append(rule)
            continue
        plan = best(other, near, start=start)
        binds = plan is not None and better(other, plan, other, start, WHOLE)
        if plan is not None and binds and not proven and priced(question.problem, plan) is not None:
            unknown.append(rule)  # a better plan that keeps the rule as well
        elif plan is not None and binds:
            here = Look(other, plan)
            moved = difference(Look(question.problem, start), here)
            yield Bound(rule, start.total - plan.total, moved, here, proven and plan.status == "optimal")
        else:
            (none if proven and plan is not None and plan.status == "optimal" else unknown).append(rule)
    yield Unbound(tuple(none), tuple(unknown))


def standing_against(question: Question, rules: Collection[str]) -> Iterator[Part]:
    """Yield the rules without which what is asked for is to be had, or to be had for less more than now.

    Near it, only the bread it is about is planned anew. What a rule costs also where nobody asks is no sign of it.
    """
    problem, near, with_it = question.problem, question.near(question.days, question.bread), question.forbidding
    free = nothing_new(question.plan, question.days, question.bread)
    base = best(problem, free, start=question.plan) or question.plan
    now = best(with_it, near)
    for rule in rules:
        other = loosened(problem, rule, question.span)
        start = None if other == problem else priced(other, base)
        if start is None:
            continue
        plan = best(other, near)
        if plan is None or priced(with_it, plan) is not None:
            continue
        before = Look(problem, base)
        if now is not None:
            before = Look(other, best(other, free, start=start) or start)
        moved = difference(before, Look(other, plan))
        saving = 0 if now is None else now.total - base.total - moved.cost
        wishes = 0 if now is None else dropped(now) - dropped(base) - moved.wishes
        if now is None or wishes > 0 or (wishes == 0 and saving >= WHOLE):
            yield Bound(rule, saving, moved, Look(other, plan), "optimal" == plan.status == before.plan.status)


def dropped(plan: Plan) -> int:
    """Return how many wishes a plan does not keep."""
    return sum(not wish.kept for wish in plan.wishes)


def all_rules() -> tuple[str, ...]:
    """Return the names of the rules that can be loosened."""
    return tuple(LOOSENED)
