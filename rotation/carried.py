"""A plan as text that can be read again: what the ledger keeps of it, for the next run to go on from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache

from pydantic import TypeAdapter, ValidationError

from rotation.errors import StorageError
from rotation.plan import Bake, Feeding, Plan, Stay, Step
from rotation.problem import Problem


@dataclass(frozen=True)
class Carried:
    """A plan with its clock. zero: the instant of minute 0, aware; days: local days shown; household: its name."""

    zero: datetime
    days: int
    household: str
    plan: Plan

    @classmethod
    def of(cls, problem: Problem, plan: Plan, household: str) -> Carried:
        """Return the plan of a problem."""
        return cls(problem.zero.astimezone(UTC), problem.shown_days, household, plan)

    def instant(self, minute: int) -> datetime:
        """Return the instant of a minute, in UTC."""
        return self.zero + timedelta(minutes=minute)

    def since(self, zero: datetime, day: int) -> Plan:
        """Return the plan with its minutes counted from another instant, on whose first day `day` days are over."""
        return _shifted(self.plan, round((zero - self.zero) / timedelta(minutes=1)), day)

    def with_plan(self, plan: Plan) -> Carried:
        """Return the same clock with another plan."""
        return replace(self, plan=plan)


def _shifted(plan: Plan, by: int, days: int) -> Plan:
    """Return a plan with all its minutes and days less by so many."""

    def step(one: Step) -> Step:
        return replace(one, start=one.start - by, end=one.end - by)

    def feed(one: Feeding) -> Feeding:
        ahead = None if one.ahead is None else one.ahead - by
        return replace(one, start=one.start - by, end=one.end - by, ahead=ahead)

    def stay(one: Stay) -> Stay:
        loads = (replace(x, start=x.start - by, uncover=x.uncover - by, out=x.out - by) for x in one.loads)
        return replace(
            one,
            heat_from=one.heat_from - by,
            start=one.start - by,
            end=one.end - by,
            loads=tuple(loads),
            events=tuple(step(event) for event in one.events),
        )

    def bake(one: Bake) -> Bake:
        put_in = None if one.put_in is None else one.put_in - by
        steps = tuple(step(each) for each in one.steps)
        return replace(one, day=one.day - days, steps=steps, stay=stay(one.stay), ready=one.ready - by, put_in=put_in)

    return replace(
        plan,
        bakes=tuple(bake(one) for one in plan.bakes),
        take_outs=tuple(replace(one, at=one.at - by, ready=one.ready - by) for one in plan.take_outs),
        finishes=tuple(replace(one, stay=stay(one.stay), ready=one.ready - by) for one in plan.finishes),
        bought=tuple(replace(one, buy_by=one.buy_by - by) for one in plan.bought),
        discards=tuple(replace(one, at=one.at - by) for one in plan.discards),
        feedings=tuple(feed(one) for one in plan.feedings),
    )


@cache
def _form() -> TypeAdapter[Carried]:
    return TypeAdapter(Carried)


def to_text(carried: Carried) -> str:
    """Return the plan as JSON, all of it, tail included; the same plan gives the same text."""
    return _form().dump_json(carried).decode()


def from_text(text: str) -> Carried:
    """Return the plan of a text. Raises StorageError for one this program did not write."""
    try:
        return _form().validate_json(text)
    except ValidationError:
        raise StorageError("The plan that was kept cannot be read. Make a new one: rotation plan") from None
