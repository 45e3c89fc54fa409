"""People: when they are in, when their hands are free, what those cost. Calendars only take away."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

from calendars.availability import AllDay, Identity, is_busy
from calendars.availability import whose as named_in
from calendars.event import Event, Reading
from calendars.intervals import clip, intersect, subtract, union
from rotation.household import settings as given
from rotation.household.people import Calendar, EventRule, PriceRule
from rotation.household.people import Person as Resident
from rotation.household.values import weekdays_of
from rotation.intake.notes import Notes
from rotation.intake.time import Clock, joined
from rotation.problem import Person, Spans, Steps


@dataclass(frozen=True)
class Claim:
    """An event of a people's calendar that takes somebody's time. means: "out" or "busy at home"."""

    event: Event
    person: str
    means: str
    span: tuple[int, int]


@dataclass(frozen=True)
class Presence:
    """One person, and what meals ask: the hours they are in by habit, and the stretches they are away against it."""

    person: Person
    resident: Resident
    usually: Spans
    away: Spans

    def until(self, end: int) -> Person:
        """Return the person as the plan sees them up to a minute."""
        inside, free, quick = (
            clip(spans, 0, end) for spans in (self.person.inside, self.person.free, self.person.quick)
        )
        return replace(self.person, inside=inside, free=free, quick=quick)

    def eats_at(self, minute: int) -> bool:
        """Say whether this person is at home to eat at an instant."""
        return _holds(self.usually, minute) and not self.away_at(minute)

    def at_home(self, minute: int) -> bool:
        """Say whether this person is in at an instant, whatever the habits are: counted at a meal with guests."""
        return _holds(self.person.inside, minute) or self.eats_at(minute)

    def away_at(self, minute: int) -> bool:
        """Say whether a calendar or a dated exception has this person elsewhere at an instant."""
        return _holds(self.away, minute)


def identities(household: given.Household) -> dict[str, Identity]:
    """Return how calendars speak of each person: by id, name, and what the settings add."""
    return {
        person.id: Identity(
            names=tuple(dict.fromkeys((person.called, person.id, *person.identity.names))),
            addresses=tuple(address.removeprefix("mailto:").lower() for address in person.identity.addresses),
            categories=person.identity.categories,
        )
        for person in household.people
    }


def whose(event: Event, calendar: Calendar, people: Mapping[str, Identity]) -> frozenset[str]:
    """Return the ids of the people an event of this calendar belongs to."""
    if calendar.whose != "by event":
        return _meant(calendar.whose, people)
    found = named_in(event, people)
    if found or only_declined(event, people):
        return found
    return _meant(calendar.otherwise, people)


def _meant(word: str, people: Mapping[str, Identity]) -> frozenset[str]:
    return frozenset(people) if word == "everyone" else frozenset({word} & set(people))


def only_declined(event: Event, people: Mapping[str, Identity]) -> bool:
    """Say whether people of the house were asked, and all of them said no."""
    invited = tuple(replace(who, partstat="ACCEPTED") for who in event.attendees)
    return bool(named_in(replace(event, attendees=invited, categories=(), summary=""), people))


def claims(
    household: given.Household, readings: Mapping[str, Reading], at_home: Container[str], clock: Clock
) -> tuple[Claim, ...]:
    """Return what the people's calendars take from whom, by start. at_home: keys of events that are meals here."""
    known = identities(household)
    found: list[Claim] = []
    for calendar in household.calendars:
        if calendar.role != "people":
            continue
        all_day: AllDay = "busy" if calendar.all_day_busy else "trips"
        for event in readings.get(calendar.name, Reading()).events:
            means = meaning(event, calendar, household.events, "busy at home" if event.key in at_home else "out")
            if means not in ("out", "busy at home"):
                continue
            span = clock.outwards(event.start, event.end)
            for person in sorted(whose(event, calendar, known)):
                me = frozenset((*known[person].addresses, *known[person].names))
                if is_busy(event, me, all_day=all_day):
                    found.append(Claim(event, person, means, span))
    return tuple(sorted(found, key=lambda claim: (claim.span, claim.person, claim.event.key)))


def meaning(event: Event, calendar: Calendar, rules: Sequence[EventRule], else_: str) -> str:
    """Return what an event means by the first rule that matches, else what it would mean without any."""
    for rule in rules:
        if rule.matches(
            summary=event.summary, categories=event.categories, place=event.location, calendar=calendar.name
        ):
            return rule.means
    return else_


def people(
    household: given.Household,
    taken: Sequence[Claim],
    elsewhere: Sequence[tuple[str, tuple[int, int]]],
    clock: Clock,
    notes: Notes,
) -> tuple[Presence, ...]:
    """Return everybody in the house as the plan sees them. elsewhere: `(person, span)` of eating elsewhere."""
    return tuple(
        _presence(
            resident,
            _dated(household, resident, clock),
            [claim for claim in taken if claim.person == resident.id],
            [span for who, span in elsewhere if who == resident.id],
            clock,
            notes,
        )
        for resident in household.people
    )


def _dated(household: given.Household, resident: Resident, clock: Clock) -> dict[str, list[tuple[int, int]]]:
    """Return when this person is "away", "at home" or "free" by the dated exceptions."""
    return {
        word: [
            clock.dated(each.since, each.until)
            for each in household.exceptions
            if each.setting == word and each.person in (None, resident.id)
        ]
        for word in ("away", "at home", "free")
    }


def _presence(
    resident: Resident,
    dated: Mapping[str, list[tuple[int, int]]],
    claims: Sequence[Claim],
    elsewhere: list[tuple[int, int]],
    clock: Clock,
    notes: Notes,
) -> Presence:
    """Return one person: the hours given and what the dates add, less what the dates and the calendars take."""
    awake, within, free, quick = (
        clock.weekly(week) for week in (resident.awake, resident.inside, resident.free, resident.quick)
    )
    _say_if_asleep(resident, free, awake, notes)
    usually = union(within, free, dated["at home"], dated["free"])
    out = union(dated["away"], (claim.span for claim in claims if claim.means == "out"))
    inside = intersect(subtract(usually, out), awake)
    busy = union(out, (claim.span for claim in claims))

    def hands(hours: Spans) -> Spans:
        given_hours = union(subtract(hours, dated["at home"]), dated["free"])
        return clock.clipped(intersect(subtract(given_hours, busy), inside))

    person = Person(
        id=resident.id,
        name=resident.called,
        adult=resident.adult,
        bakes=resident.bakes,
        finishes=resident.finishes,
        inside=clock.clipped(inside),
        free=hands(free),
        quick=hands(quick),
        price=prices(resident, clock),
    )
    if (resident.bakes or resident.finishes) and not (person.free or person.quick):
        notes.add("people", f"{resident.called} is never free in these days, so nothing is planned for those hands.")
    return Presence(person, resident, usually, union(out, elsewhere))


def _say_if_asleep(resident: Resident, free: Spans, awake: Spans, notes: Notes) -> None:
    asleep = sum(end - start for start, end in subtract(free, awake))
    if asleep and (resident.bakes or resident.finishes):
        notes.add("people", f"{resident.called} has free hours while asleep: {asleep / 60:.1f} h are left out.")


def prices(resident: Resident, clock: Clock) -> Steps:
    """Return milli effort a minute of this person's hands costs over the plan; the last rule that holds counts."""
    ruled = [(clock.spans(partial(_hours_on, rule)), rule.per_minute) for rule in reversed(resident.price)]
    edges = sorted({0, *(edge for spans, _ in ruled for span in spans for edge in span if edge < clock.end)})
    costs = (next((cost for spans, cost in ruled if _holds(spans, at)), resident.price_per_minute) for at in edges)
    return joined((at, round(1000 * cost)) for at, cost in zip(edges, costs, strict=True))


def _hours_on(rule: PriceRule, day: date) -> tuple[tuple[int, int], ...]:
    return rule.hours if day.weekday() in weekdays_of(rule.days) else ()


def _holds(spans: Spans, minute: int) -> bool:
    return any(start <= minute < end for start, end in spans)
