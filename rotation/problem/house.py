"""The house: its people, its ovens, and what else it holds."""

from __future__ import annotations

from dataclasses import dataclass

from rotation.problem.spans import Spans, Steps, union


@dataclass(frozen=True)
class Person:
    """Somebody in the house. `inside`: in and awake; `free`: hands free; `quick`: free for jobs of two minutes at most.

    price: milli effort a minute of this person's hands costs, as a step function of the start of the job.
    """

    id: str
    name: str
    adult: bool
    bakes: bool
    finishes: bool
    inside: Spans
    free: Spans
    quick: Spans
    price: Steps


@dataclass(frozen=True)
class Booking:
    """The family's own use of an oven. `temperature_degc` None: unknown; `places_left`: room for a stay beside it."""

    id: str
    start: int
    end: int
    temperature_degc: int | None
    places_left: int


@dataclass(frozen=True)
class Oven:
    """One oven. `closed`: spans in which it may neither heat nor be on. `places`: loaves or trays side by side.

    heat_up, heat_up_vessel: minutes from cold, without and with a covered vessel inside; degc_per_minute_up, _down: how
    fast a hot oven changes; hot_gap: minutes after which an oven counts as cold again (at most `watch_after`);
    watch_after, watch_after_vessel: minutes an adult stays in after it is off.
    """

    id: str
    name: str
    places: int
    vessels: int
    heat_up: int
    heat_up_vessel: int
    degc_per_minute_up: int
    degc_per_minute_down: int
    hot_gap: int
    watch_after: int
    watch_after_vessel: int
    closed: Spans
    bookings: tuple[Booking, ...]
    fan_lower_degc: int = 20
    """How much lower it is set with its fan on; 0: it has none."""
    marked_degf: bool = False
    """Whether people read its heat in degF, at its marks; inside it is degC."""

    def change(self, from_degc: int, to_degc: int) -> int:
        """Return the minutes a hot oven needs from one temperature to another."""
        rise = to_degc - from_degc
        rate = self.degc_per_minute_up if rise > 0 else self.degc_per_minute_down
        return -(-abs(rise) // rate)


@dataclass(frozen=True)
class Kitchen:
    """What the house holds, each a step function of time: bowls, dough in them, bannetons, fridge spots, freezer."""

    bowls: Steps
    dough_grams: Steps
    bannetons: Steps
    fridge_spots: Steps
    freezer_dl: Steps
    freezing_grams_24h: Steps


def free_spans(person: Person, minutes: int) -> Spans:
    """Return the spans that can hold a job of this many minutes of one person's hands."""
    return union((*person.free, *person.quick)) if minutes <= 2 else person.free
