"""Why something was chosen, or was not: the best plan without it, the rules that bind, each found by solving again."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from rotation.plan import Plan
from rotation.problem import Problem
from rotation.reasons.again import MORE, NEAR, best, better, priced
from rotation.reasons.answers import Better, Bound, Part, Unbound, Without
from rotation.reasons.compare import Look, difference
from rotation.reasons.held import all_of, nothing_new
from rotation.reasons.loosened import LOOSENED, loosened
from rotation.solve import Limits, Shape

WHOLE = 500
"""Milli below which a difference is not worth telling."""


@dataclass(frozen=True)
class Question:
    """What is asked of a plan that holds. days: local days that may be other; words: what is forbidden or asked for.

    other: the problem in which it is forbidden, if a wish says it; shape: else of which plans.
    """

    problem: Problem
    plan: Plan
    days: frozenset[int]
    words: str
    other: Problem | None = None
    shape: Shape | None = None

    @property
    def forbidding(self) -> Problem:
        """The problem of the plans in which it is not so."""
        return self.other or self.problem

    @property
    def span(self) -> tuple[int, int]:
        """The minutes of its days."""
        marks, last = self.problem.midnights, len(self.problem.midnights) - 1
        return max(marks[max(min(self.days), 0)], 0), marks[min(max(self.days) + 1, last)]

    def near(self, days: Collection[int]) -> Shape:
        """Return the shape of the plans asked for that are other only on some days."""
        held = nothing_new(self.plan, days)
        return held if self.shape is None else all_of(held, self.shape)


def chosen(question: Question, rules: Collection[str], work: Limits | None) -> Iterator[Part]:
    """Yield what it costs not to have it, from the quickest answer to the best, then the rules that bind.

    work: to look over all days as well, None to look only near it.
    """
    base, proven = _base(question)
    if question.plan.total - base.total >= WHOLE:
        yield Better(question.plan.total - base.total)
    yield from without(question, base, work)
    yield from binding(question, base, rules, proven)


def _base(question: Question) -> tuple[Plan, bool]:
    """Return the best plan that is other only on the days asked about, and whether none is better."""
    found = best(question.problem, nothing_new(question.plan, question.days), start=question.plan)
    plan = question.plan if found is None else found
    return plan, plan.status == "optimal"


def without(question: Question, base: Plan, work: Limits | None) -> Iterator[Without]:
    """Yield ever better plans without it: left out, then with other things near it, then with any on all days."""
    look, other = Look(question.problem, base), question.forbidding
    found: Plan | None = None
    tries: list[tuple[str, Shape | None, Limits]] = [
        ("left out", question.near(()), NEAR),
        ("near", question.near(question.days), NEAR),
    ]
    if work is not None:
        tries.append(("all", question.shape, work))
    for number, (within, shape, limits) in enumerate(tries):
        plan = best(other, shape, start=found, work=limits)
        if plan is None and within == "near":
            plan = best(other, shape, work=MORE)
        if plan is None and number < len(tries) - 1:
            continue
        if plan is None:
            yield Without(question.words, within, None, None, False)
        elif found is None or better(other, plan, other, found) or plan.status == "optimal":
            new = found is None or better(other, plan, other, found)
            found, here = plan, Look(other, plan)
            yield Without(question.words, within, difference(look, here), here, plan.status == "optimal", new)


def binding(question: Question, base: Plan, rules: Collection[str], proven: bool) -> Iterator[Part]:
    """Yield the rules without which the best plan is better, as they are found, then those that change nothing.

    proven: whether it is known that no plan is better than the base as long as all rules hold.
    """
    none, unknown = list[str](), list[str]()
    for rule in rules:
        other = loosened(question.problem, rule, question.span)
        if other == question.problem:
            continue
        start = priced(other, base)
        if start is None:
            continue
        plan = best(other, nothing_new(question.plan, question.days), start=start)
        binds = plan is not None and better(other, plan, other, start, WHOLE)
        if plan is not None and binds and not proven and priced(question.problem, plan) is not None:
            unknown.append(rule)  # a better plan that keeps the rule as well
        elif plan is not None and binds:
            here = Look(other, plan)
            moved = difference(Look(question.problem, start), here)
            yield Bound(rule, start.total - plan.total, moved, here, proven and plan.status == "optimal")
        else:
            (none if plan is not None and plan.status == "optimal" else unknown).append(rule)
    yield Unbound(tuple(none), tuple(unknown))


def standing_against(question: Question, least: Look | None, base: Plan, rules: Collection[str]) -> Iterator[Part]:
    """Yield the rules without which what is asked for is to be had, or to be had better.

    least: the best plan found with it; None where there is none. A plan that keeps the rule as well is a better answer.
    """
    look, with_it = Look(question.problem, base), question.forbidding
    for rule in rules:
        other = loosened(question.problem, rule, question.span)
        if other == question.problem:
            continue
        plan = best(other, replace(question, problem=other).near(question.days))
        if plan is None or not (least is None or better(other, plan, least.problem, least.plan, WHOLE)):
            continue
        kept = priced(with_it, plan)
        here = Look(other, plan) if kept is None else Look(with_it, kept)
        moved = difference(look, here)
        if kept is None:
            saving = 0 if least is None else least.plan.total - plan.total
            yield Bound(rule, saving, moved, here, plan.status == "optimal")
        else:
            least = here
            yield Without(question.words, "near", moved, here, False)


def all_rules() -> tuple[str, ...]:
    """Return the names of the rules that can be loosened."""
    return tuple(LOOSENED)
