"""To ask why of the plan kept: understood anew, and only where it still holds. Nothing is written."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from rotation.carried import Carried, from_text
from rotation.errors import BadInput, Mistake
from rotation.household.reading import Home
from rotation.plan import KeptWish, Plan
from rotation.problem import Problem
from rotation.reasons.again import priced
from rotation.reasons.answers import About, Part
from rotation.reasons.explain import Explain
from rotation.reasons.items import find
from rotation.solve import Limits
from rotation.standing import again
from rotation.stockroom import freezer
from rotation.week import Understood, understand


@dataclass(frozen=True)
class Standing:
    """The plan kept, as a plan of its problem understood anew, with its cost."""

    understood: Understood
    plan: Plan
    past: bool = False
    """Whether it is looked at as from when it was made: it is over, or something it does has begun."""

    @property
    def problem(self) -> Problem:
        """What it is a plan of."""
        return self.understood.problem


def kept_plan(home: Home, now: datetime) -> Carried:
    """Return the plan kept. Raises BadInput where there is none."""
    with freezer(home, now, readonly=True) as ledger:
        text = ledger.whole_plan()
    if text is None:
        raise BadInput(Mistake("plan", None, "", "there is no plan yet.", "Make one: rotation plan"))
    return from_text(text)


def standing(home: Home, now: datetime) -> Standing:
    """Return the plan kept where it holds: from now on, or as from when it was made.

    Raises BadInput where it no longer does: what it was made from is other by now.
    """
    kept = kept_plan(home, now)
    moments = [kept.zero.astimezone(home.zone)]
    if kept.zero < now < kept.zero + timedelta(days=kept.days):
        moments.insert(0, now)
    for at in moments:
        passed = (at.date() - kept.zero.astimezone(home.zone).date()).days
        understood = understand(home, at, kept.days - passed, now=now)
        plan = _in(understood.problem, kept, home)
        if plan is not None:
            return Standing(understood, plan, at < now)
    wrong = "the plan kept no longer fits: calendars, freezer or settings are other than when it was made."
    raise BadInput(Mistake("plan", None, "", wrong, "Plan again, then ask: rotation plan"))


def _in(problem: Problem, kept: Carried, home: Home) -> Plan | None:
    """Return a plan made before as a plan of a problem, None if it does not hold there; wishes dropped stay so."""
    answers = {answer.wish: answer for answer in kept.plan.wishes}
    plan = again(problem, kept, home.zone)
    wishes = tuple(answers.get(wish.id, KeptWish(wish.id, True)) for wish in problem.wishes)
    return priced(problem, replace(plan, wishes=wishes))


@dataclass(frozen=True)
class Asked:
    """A question understood, and the parts of its answer as they are found."""

    standing: Standing
    about: About
    parts: Iterator[Part]

    @property
    def problem(self) -> Problem:
        """What the plan is a plan of."""
        return self.standing.problem


def why(home: Home, said: str, not_on: str | None, now: datetime, work: Limits | None) -> Asked:
    """Return why something of the plan kept is so. not_on: a weekday that is asked "why not" of.

    work: to look over all days too, None to look only near. Raises BadInput for what is not in the plan.
    """
    of = standing(home, now)
    item = find(of.problem, of.plan, said, not_on)
    explain = Explain(of.problem, of.plan, work)
    return Asked(of, explain.about(item), explain.parts(item))
