"""Stays do not overlap, heating up and the wait on a hot oven included, but those that share a heat."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from rotation import facts
from rotation.plan import Plan, Stay
from rotation.problem import Problem
from rotation.rules.broken import Broken

NAME = "oven"


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the pairs of stays, and of stays and bookings, that want an oven at one minute."""
    stays = facts.stays(plan)
    heats = {stay.id: _heat(stay, stays) for stay in stays}
    facts_only = {stay.id for stay in stays} - {stay.id for stay in facts.planned_stays(problem, plan)}
    for first, second in combinations(stays, 2):
        apart = first.oven != second.oven or heats[first.id] == heats[second.id]
        if not apart and _overlap(first, second.heat_from, second.end) and not {first.id, second.id} <= facts_only:
            yield Broken(NAME, f"{first.id} and {second.id}", f"both in {first.oven}, one until {first.end}")
    for stay in stays:
        for booking in problem.oven(stay.oven).bookings:
            taken = _overlap(stay, booking.start, booking.end) and stay.id not in facts_only
            if taken and heats[stay.id] != booking.id:
                yield Broken(NAME, stay.id, f"the oven is booked from {facts.when(problem, booking.start)}")


def _overlap(stay: Stay, start: int, end: int) -> bool:
    return stay.heat_from < end and start < stay.end


def _heat(stay: Stay, stays: tuple[Stay, ...]) -> str:
    """Return the id of the booking or stay whose heat a stay shares; its own where it shares none."""
    how, _, id_ = stay.heat.partition(":")
    if how == "with":
        host = next((other for other in stays if other.id == id_), stay)
        return host.id if host.heat.startswith("with:") else _heat(host, stays)
    return id_ if how == "beside" else stay.id
