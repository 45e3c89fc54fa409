"""What a family may suppose: a household with something other in it, on a copy, and how it is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from calendars.event import Event
from calendars.text import clean
from rotation.errors import BadInput, Mistake
from rotation.household.kitchen import Dated
from rotation.household.mistakes import closest
from rotation.household.people import Person
from rotation.household.reading import Home
from rotation.household.settings import Household
from rotation.intake.invited import Asked
from rotation.words import clock

FREEZES = 2.0
"""Kilograms in 24 hours that one more freezer freezes: as the least of the usual ones (F01)."""


@dataclass(frozen=True)
class Span:
    """From when until when (aware), and what else was said with it."""

    since: datetime
    until: datetime
    rest: str = ""

    def words(self) -> str:
        """Return "Sat 6 Mar 18:00 to 20:00", or whole days: "Sat 6 Mar to Sun 7 Mar"."""
        whole = all((at.hour, at.minute) == (0, 0) for at in (self.since, self.until))
        ends = (self.since, self.until - timedelta(days=1) if whole else self.until)
        days = [f"{at:%a} {at.day} {at:%b}" for at in ends]
        if whole:
            return " to ".join(dict.fromkeys(days))
        return f"{days[0]} {clock(self.since)} to {'' if days[0] == days[1] else days[1] + ' '}{clock(self.until)}"


@dataclass
class Gone:
    """Events that are taken for called off, by title. met: titles of those there were."""

    titles: Sequence[str]
    met: set[str] = field(default_factory=set)
    seen: set[str] = field(default_factory=set)

    def __call__(self, event: Event) -> bool:
        """Say whether an event is one of them."""
        title = clean(event.summary, 60).casefold()
        self.seen.add(title)
        hits = [wanted for wanted in self.titles if wanted.casefold() in title]
        self.met.update(hits)
        return bool(hits)

    def refuse_unmet(self) -> None:
        """Raise BadInput for a title no event has."""
        for title in self.titles:
            if title not in self.met:
                wrong = f'no event is called "{clean(title, 40)}" on these days.'
                raise BadInput(Mistake("--no-event", None, "", wrong, closest(title, self.seen)))


@dataclass(frozen=True)
class Supposed:
    """A household with something other in it. words: what; gone: events called off; guests: at the table besides."""

    home: Home
    words: tuple[str, ...] = ()
    gone: Gone = field(default_factory=lambda: Gone(()))
    guests: tuple[Asked, ...] = ()
    unbaked: tuple[str, ...] = ()
    """Ids of breads that are baked no more."""

    def _with(self, words: str, settings: Household) -> Supposed:
        return replace(self, home=replace(self.home, settings=settings), words=(*self.words, words))

    def busy(self, span: Span) -> Supposed:
        """Return it with somebody out, or busy at home: "jo out", "sam busy"."""
        name, _, means = span.rest.rpartition(" ") if " " in span.rest else (span.rest, "", "out")
        if means not in ("out", "busy"):
            wrong = f'"{clean(span.rest, 40)}" does not say who is out.'
            raise _mistake("--event", wrong, "Write: Sat 18:00-20:00 jo out")
        who = self._person("--event", name)
        setting = "away" if means == "out" else "at home"
        dated = Dated.model_validate({"from": span.since, "until": span.until, "setting": setting, "person": who.id})
        return self._with(f"{who.called} {means}, {span.words()}", self._dated(dated))

    def oven_out(self, span: Span) -> Supposed:
        """Return it with an oven out of order, or all of them where none is named."""
        ovens = {name: oven.id for oven in self.home.settings.ovens for name in (oven.id, oven.name.casefold())}
        if span.rest and span.rest not in ovens:
            raise _mistake("--oven-out", f'there is no oven "{clean(span.rest, 40)}".', closest(span.rest, ovens))
        which = ovens.get(span.rest)
        dated = Dated.model_validate({"from": span.since, "until": span.until, "setting": "oven closed", "oven": which})
        return self._with(f"{which or 'no'} oven {'out of order' if which else ''}".strip() + f", {span.words()}",
                          self._dated(dated))  # fmt: skip

    def freezer(self, litres: float) -> Supposed:
        """Return it with another freezer."""
        kitchen = self.home.settings.kitchen
        more = kitchen.model_copy(
            update={
                "freezer_litres": kitchen.freezer_litres + litres,
                "freezing_kg_per_24h": kitchen.freezing_kg_per_24h + FREEZES,
            }
        )
        words = f"another freezer of {litres:g} litres, which freezes {FREEZES:g} kg a day"
        return self._with(words, self.home.settings.model_copy(update={"kitchen": more}))

    def baker(self, name: str) -> Supposed:
        """Return it with one more who bakes: of the house, or somebody new, free when the first baker is."""
        people = self.home.settings.people
        known = next((one for one in people if name.casefold() in (one.id, one.called.casefold())), None)
        if known is not None and not known.adult:
            raise _mistake("--baker", f"{known.called} is no adult.", "Name somebody who may be alone with the oven.")
        if known is not None:
            free = known.free if known.finishes else type(known).model_fields["free"].default
            bakes = known.model_copy(update={"bakes": True, "finishes": True, "free": free})
            everybody = tuple(bakes if one.id == known.id else one for one in people)
            return self._with(f"{known.called} bakes too", self._people(everybody))
        like = next((one for one in people if one.bakes), None)
        new = Person.model_validate({"id": "another-baker", "name": clean(name, 40), "bakes": True})
        if like is not None:
            hours = {"inside": like.inside, "free": like.free, "quick": like.quick, "awake": like.awake}
            new = new.model_copy(update={**hours, "price_per_minute": like.price_per_minute})
        words = f"{new.called} in the house, who bakes" + (f", free when {like.called} is by habit" if like else "")
        return self._with(words, self._people((*people, new)))

    def dropped(self, bread: str) -> Supposed:
        """Return it with one of its breads baked no more; what is in the freezer, or begun, is eaten."""
        named = {name: id_ for id_, one in self.home.breads.items() for name in (id_, one.name.casefold())}
        id_ = named.get(bread.casefold())
        if id_ is None:
            raise _mistake("--drop", f'there is no bread "{clean(bread, 40)}".', closest(bread, named))
        words = f"no more {self.home.breads[id_].name} baked"
        return replace(self, unbaked=(*self.unbaked, id_), words=(*self.words, words))

    def called_off(self, title: str) -> Supposed:
        """Return it with events called off that have something in their title."""
        gone = Gone((*self.gone.titles, title))
        return replace(self, gone=gone, words=(*self.words, f"no “{clean(title, 40)}”"))

    def invited(self, asked: Asked) -> Supposed:
        """Return it with guests at the table."""
        words = f"{asked.heads} guests, {asked.at:%a} {asked.at.day} {asked.at:%b} {clock(asked.at)}"
        return replace(self, guests=(*self.guests, asked), words=(*self.words, words))

    def _dated(self, dated: Dated) -> Household:
        settings = self.home.settings
        return settings.model_copy(update={"exceptions": (*settings.exceptions, dated)})

    def _people(self, people: tuple[Person, ...]) -> Household:
        return self.home.settings.model_copy(update={"people": people})

    def _person(self, option: str, name: str) -> Person:
        people = {said: one for one in self.home.settings.people for said in (one.id, one.called.casefold())}
        if name.casefold() not in people:
            raise _mistake(option, f'there is nobody called "{clean(name, 40)}".', closest(name, people))
        return people[name.casefold()]


def _mistake(option: str, wrong: str, instead: str) -> BadInput:
    return BadInput(Mistake(option, None, "", wrong, instead))
