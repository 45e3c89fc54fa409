"""Stays do not overlap, heating up and the wait on a hot oven included, but those that share a heat."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, permutations

from rotation import facts
from rotation.clockwork import Literal, complement
from rotation.minutes import HotStay, Minutes
from rotation.plan import Plan, Stay
from rotation.problem import Booking, Problem, union
from rotation.rules.broken import Broken

NAME = "oven"


def minutes(m: Minutes) -> None:
    """Stays of one oven are one after the other, heating up included, or start together.

    None is in the oven with what was in it when the plan begins, nor in a booking, unless beside it, and there alone.
    """
    for stay in m.stays:
        taken = [(start, end) for oven, start, end in m.in_oven if oven == stay.oven.id]
        booked = union((*taken, *((booking.start, booking.end) for booking in stay.oven.bookings)))
        for heating in stay.heatings:
            if not heating.how.startswith("beside:"):
                m.clock.among(stay.start, stay.starts(heating, complement(booked, 0, m.never)), when=[heating.literal])
                m.gap_without(stay, heating, booked)
    for first, second in permutations(m.stays, 2):
        before = m.before.get((first.task.id, second.task.id))
        if before is not None:
            m.clock.between(0, second.start - first.end, None, when=[before])
            _before_heating(m, first, second, before)
    starts = {stay.task.id: stay.start for stay in m.stays}
    for (first_id, second_id), same in m.same.items():
        m.clock.between(0, starts[first_id] - starts[second_id], 0, when=[same])


def _before_heating(m: Minutes, first: HotStay, second: HotStay, before: Literal) -> None:
    """Let a stay be over before another's oven heats up, or is kept hot for it."""
    for heating in second.heatings:
        if heating.how == "cold" or (heating.how.startswith("after:") and isinstance(heating.of, Booking)):
            m.clock.between(0, heating.since - first.end, None, when=[before, heating.literal])
        elif isinstance(heating.of, HotStay) and heating.of is not first:
            followed = (heating.of.task.id, first.task.id)
            m.clock.any_of([~heating.literal, ~before, ~m.before[followed]])
            if first.task.length > heating.of.task.length:
                m.clock.any_of([~heating.literal, ~m.same[followed]])


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
