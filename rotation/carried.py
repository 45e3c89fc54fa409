"""A plan as text that can be read again: what the ledger keeps of it, for the next run to go on from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache

from pydantic import TypeAdapter, ValidationError

from rotation.errors import StorageError
from rotation.plan import Plan
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

    def with_plan(self, plan: Plan) -> Carried:
        """Return the same clock with another plan."""
        return replace(self, plan=plan)


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
