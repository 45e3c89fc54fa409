"""A stay begins on an oven at its temperature: heated up for it, hot from before, or shared."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from functools import reduce

from rotation import facts
from rotation.choices import Choices, Heat, Hot, stays
from rotation.hot import FREE, WARM, Spell
from rotation.minutes import Heating, HotStay, Minutes
from rotation.plan import Plan, Stay
from rotation.problem import Booking, Oven, Problem
from rotation.rules.broken import Broken

NAME = "heat"


def days(c: Choices) -> None:
    """What is not on a booking's heat is heated up for, or may have its heat from something else that is there.

    What only fits warm, beside or after another stay, has another stay near it, and one that does not only fit warm, be
    it over others that do. In a session in which something stays there is a heat-up, or a booking's heat.
    """
    sessions: dict[tuple[str, int], list[Hot]] = defaultdict(list)
    for hot in stays(c):
        sessions[hot.session].append(hot)
    for session, inside in sessions.items():
        oven = c.problem.oven(session[0])
        groups: dict[Heat, list[Hot]] = defaultdict(list)
        for hot in inside:
            if hot.heat != FREE:
                groups[hot.key].append(hot)
        near: dict[Heat, list[Hot]] = {}
        for key, group in groups.items():
            stay = reduce(Spell.joined, (hot.stay for hot in group))
            near[key] = [hot for hot in inside if hot.alike != key[1] and hot.stay.heats(stay, oven)]
        for key, group in groups.items():
            c.heated[key] = c.model.binary(f"heat {key}")
            hosts = near[key]
            here = [(-1, hot.variable) for hot in group]
            c.model.row(0, [(1, c.heated[key]), *((1, hot.variable) for hot in hosts), *here], None)
            warm = [(-1, hot.variable) for hot in group if hot.heat == WARM]
            if warm:
                c.model.row(0, [*((1, hot.variable) for hot in hosts), *warm], None)
                first = [(1, hot.variable) for hot in _over(key, near) if hot.heat != WARM]
                c.model.row(0, [*first, *warm], None)
        heats = [(1, c.heated[key]) for key in groups]
        free = [(1, hot.variable) for hot in inside if hot.heat == FREE]
        for alike in dict.fromkeys(key[1] for key in groups):
            here = [(-1, hot.variable) for key, group in groups.items() if key[1] == alike for hot in group]
            c.model.row(0, [*heats, *free, *here], None)


def _over(key: Heat, near: dict[Heat, list[Hot]]) -> list[Hot]:
    """Return the stays that may heat some alike, be it over others that only fit warm, in a fixed order."""
    found, seen, more = dict[Hot, None](), {key}, [key]
    while more:
        for hot in near[more.pop()]:
            found[hot] = None
            if hot.heat == WARM and hot.key not in seen:
                seen.add(hot.key)
                more.append(hot.key)
    return list(found)


def minutes(m: Minutes) -> None:
    """A stay follows another, or a booking, at its temperature and before the oven is cold; or shares a heat.

    Of stays that start together the first has a heat of its own, beside no booking, and the others are "with" it.
    """
    for number, stay in enumerate(m.stays):
        pairs = [(other.task.id, stay.task.id) for other in m.stays[:number]]
        earlier = [m.same[pair] for pair in pairs if pair in m.same]
        for heating in stay.heatings:
            if heating.how == "with":
                m.clock.any_of([~heating.literal, *earlier])
                for same in earlier:
                    m.clock.any_of([~same, heating.literal])
            elif isinstance(heating.of, HotStay):
                _follow(m, stay, heating, heating.of.last_degc, heating.of.vessel)
                m.clock.any_of([~heating.literal, m.before[heating.of.task.id, stay.task.id]])
            elif heating.of is not None and heating.of.temperature_degc is not None:
                if heating.how.startswith("after:"):
                    _follow(m, stay, heating, heating.of.temperature_degc, vessel=False)
                elif heating.of.temperature_degc != stay.degc or stay.turns:
                    m.clock.any_of([~heating.literal])
                else:
                    within = ((heating.of.start, heating.of.end - stay.task.length + 1),)
                    m.clock.among(stay.start, within, when=[heating.literal])
    for (first_id, second_id), same in m.same.items():
        first, second = (next(stay for stay in m.stays if stay.task.id == id_) for id_ in (first_id, second_id))
        if (first.degc, first.vessel, first.turns) != (second.degc, second.vessel, second.turns):
            m.clock.any_of([~same])
        for heating in (*first.heatings, *second.heatings):
            if heating.how.startswith("beside:"):
                m.clock.any_of([~same, ~heating.literal])


def _follow(m: Minutes, stay: HotStay, heating: Heating, degc: int, vessel: bool) -> None:
    """Let a stay follow on an oven of a temperature, with hot iron in it or not, before it is cold."""
    change = stay.oven.change(degc, stay.degc)
    if stay.vessel and not vessel:
        change = max(change, stay.heat_up)
    m.clock.between(change, stay.start - heating.since, stay.oven.hot_gap, when=[heating.literal])


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the stays whose oven would be too cold or too hot."""
    for stay in facts.planned_stays(problem, plan):
        oven = problem.oven(stay.oven)
        how, _, id_ = stay.heat.partition(":")
        source = next((other for other in facts.stays(plan) if other.id == id_ and other.oven == oven.id), None)
        booking = next((booking for booking in oven.bookings if booking.id == id_), None)
        if how == "cold":
            why = _cold(stay, oven)
        elif how == "after" and (source or booking):
            why = _after(stay, oven, source or booking)
        elif how == "with" and source:
            why = _with(stay, source)
        elif how == "beside" and booking:
            why = _beside(stay, booking)
        else:
            why = f"'{stay.heat}' names nothing in {oven.id}"
        if why:
            yield Broken(NAME, stay.id, why)


def _cold(stay: Stay, oven: Oven) -> str:
    minutes = oven.heat_up_vessel if stay.vessel else oven.heat_up
    return "" if stay.start - stay.heat_from == minutes else f"heats {stay.start - stay.heat_from} min, not {minutes}"


def _after(stay: Stay, oven: Oven, before: Stay | Booking | None) -> str:
    degc = before.last_degc if isinstance(before, Stay) else before.temperature_degc if before else None
    if before is None or degc is None:
        return "how hot the oven is then is not known"
    gap, change = stay.start - before.end, oven.change(degc, stay.degc)
    if stay.vessel and not (isinstance(before, Stay) and before.vessel):
        change = max(change, oven.heat_up_vessel)
    if not change <= gap <= oven.hot_gap:
        return f"{gap} min after {before.id}, not {change} to {oven.hot_gap}"
    return "" if stay.heat_from == before.end else f"on from {stay.heat_from}, not from {before.end}"


def _with(stay: Stay, host: Stay) -> str:
    if host.heat.startswith("with:") or host is stay:
        return f"{host.id} is itself a guest"
    alike = (stay.start, stay.heat_from, stay.degc, stay.turns) == (host.start, host.start, host.degc, host.turns)
    return "" if alike else f"start and temperature are not those of {host.id}"


def _beside(stay: Stay, booking: Booking) -> str:
    if not booking.start <= stay.start <= stay.end <= booking.end or stay.heat_from != stay.start:
        return f"is not within the booking {booking.id}"
    if stay.turns:
        return f"wants more than the one temperature of {booking.id}"
    return "" if booking.temperature_degc == stay.degc else f"{stay.degc} degC beside {booking.temperature_degc}"
