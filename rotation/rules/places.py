"""At every minute loads in an oven find a place, covered ones a vessel, those beside a booking what it leaves."""

from __future__ import annotations

from collections.abc import Iterator

from rotation import facts
from rotation.clockwork import Hold
from rotation.minutes import Minutes
from rotation.oven_turns import peak
from rotation.plan import Load, Plan, Stay
from rotation.problem import Booking, Problem
from rotation.rules.broken import Broken

NAME = "places"


def minutes(m: Minutes) -> None:
    """Loads keep within places, vessels, and what a booking leaves."""
    for oven in m.problem.ovens:
        inside, covered = list[Hold](), list[Hold]()
        for stay in m.stays:
            if stay.oven.id != oven.id:
                continue
            for turn in stay.task.turns:
                inside.append(Hold(stay.start + turn.start, stay.start + turn.out))
                if turn.uncover > turn.start:
                    covered.append(Hold(stay.start + turn.start, stay.start + turn.uncover))
            for heating in stay.heatings:
                beside = isinstance(heating.of, Booking) and heating.how.startswith("beside:")
                left = heating.of.places_left if isinstance(heating.of, Booking) else oven.places
                if beside and peak(stay.task.turns) > left:
                    m.clock.any_of([~heating.literal])
        m.clock.room(inside, oven.places)
        m.clock.room(covered, oven.vessels)


def check(problem: Problem, plan: Plan) -> Iterator[Broken]:
    """Yield the minutes at which an oven, its vessels or the room beside a booking are overfull."""
    stays = facts.stays(plan)
    for oven in problem.ovens:
        here = [stay for stay in stays if stay.oven == oven.id]
        loads = [load for stay in here for load in stay.loads]
        yield from _over(oven.id, "places", loads, [(load.start, load.out, 1) for load in loads], oven.places)
        yield from _over(oven.id, "vessels", loads, [(load.start, load.uncover, 1) for load in loads], oven.vessels)
        for booking in oven.bookings:
            beside = [load for stay in here if _beside(stay, here, booking.id) for load in stay.loads]
            holds = [(load.start, load.out, 1) for load in beside]
            yield from _over(booking.id, "places left", beside, holds, booking.places_left)


def _over(where: str, what: str, loads: list[Load], holds: list[tuple[int, int, int]], most: int) -> Iterator[Broken]:
    for minute in sorted({load.start for load in loads}):
        number = facts.fullest(holds, minute)
        if number > most:
            yield Broken(NAME, where, f"{number} {what} taken at minute {minute}, there are {most}")


def _beside(stay: Stay, here: list[Stay], booking: str) -> bool:
    """Say whether a stay stands beside a booking, by itself or with another."""
    host = next((other for other in here if stay.heat == f"with:{other.id}"), stay)
    return host.heat == f"beside:{booking}"
