"""The week of the kept plan as a family reads it on one sheet: plain facts in words, for paper and for pages."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from calendars.text import clean
from rotation.at_hand import still_open
from rotation.buying import Shopping
from rotation.happened import Happened, What
from rotation.household.reading import Home
from rotation.intended import Use
from rotation.keeping import HOT_IRON, MOULD, RAW, STEAM
from rotation.ledger import LotState, Standing
from rotation.show.buying import by_deadline
from rotation.show.stock import meant_for, standing
from rotation.words import FORM_WORDS, clock, date_words, named_pieces, weekday

Json = dict[str, Any]

DAYS = 7
"""Days of a sheet, where nobody says another number."""

OLD = timedelta(days=1)
"""Age from which a plan is said to be old."""

_ACT = re.compile(r"(?:fold\b|[A-Z]{2,}(?:(?: and)? [A-Z]{2,})*)")
"""What an act is called at the head of its line."""

_DETAIL = re.compile(r"(?<=: )[\d.]+ (?:g|oz|lb) .*|(?<=\. )For .*")
"""What of a line is wanted only when it is done: what to weigh, and for whom it is."""


@dataclass(frozen=True)
class Act:
    """Something to do. times: as read, "" for any time that day; act: what it is called ("MIX"); what: all else.

    detail: the end of that, what to weigh or for which meals, or ""; caution: what to mind, or ""; short: its name for
    `rotation done`, or ""; over: "done", or "off" where it will not be done, or "".
    """

    times: str
    who: str
    act: str
    what: str
    detail: str
    caution: str
    short: str
    over: str


@dataclass(frozen=True)
class Eaten:
    """A meal. heads: of guests, 0 at an everyday meal; what: what it gets; holds: what is in that; short: portions."""

    times: str
    title: str
    heads: int
    what: str
    holds: str
    short: int


@dataclass(frozen=True)
class Day:
    """A local day. bread: whether there is enough; remark: what to do about late dough, or ""."""

    date: date
    bread: str
    short: bool
    acts: tuple[Act, ...]
    meals: tuple[Eaten, ...]
    remark: str
    tonight: str

    @property
    def weekday(self) -> str:
        """Return "Saturday"."""
        return weekday(datetime.combine(self.date, datetime.min.time()))


@dataclass(frozen=True)
class Bag:
    """A bag in the freezer. standing: how it stands, in words; meant: what it is meant for; soon: eat it first."""

    letter: str
    what: str
    bagged: str
    standing: str
    meant: str
    soon: bool


@dataclass(frozen=True)
class Sheet:
    """All of it. made: from when the plan is; old: that it is old, or ""; bags: oldest first; buy: by when, and what.

    strips: as the plan has them (rotation/show/strips.py); names: of breads, by id.
    """

    household: str
    made: str
    old: str
    days: tuple[Day, ...]
    bags: tuple[Bag, ...]
    buy: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    strips: Json
    names: Mapping[str, str]

    @property
    def span(self) -> str:
        """Return "Mon 1 to Sun 7 March 2027" of its days."""
        first, last = self.days[0].date, self.days[-1].date
        until = f"{_short(last)} {last.year}"
        return until if first == last else f"{_short(first)} to {until}"


def sheet(
    home: Home,
    plan: Json,
    happened: Iterable[Happened],
    lots: Sequence[LotState],
    meant: Mapping[str, Sequence[Use]],
    shopping: Shopping,
    now: datetime,
    days: int = DAYS,
) -> Sheet | None:
    """Return the sheet of a kept plan as shown, from the day of `now` on; None where all its days are over.

    happened: what was said of its steps; lots, meant: as `stockroom.held` and `stockroom.planned` return them.
    """
    rows, today = list(happened), now.astimezone(home.zone).date()
    ahead = [day for day in plan["days"] if date.fromisoformat(day["id"]) >= today][:days]
    if not ahead:
        return None
    made = datetime.fromisoformat(plan["now"]).astimezone(home.zone)
    names = {id_: clean(bread.name, 40) for id_, bread in home.known.items()}
    shown = tuple(_day(plan, day, rows) for day in ahead)
    return Sheet(
        household=clean(home.settings.name, 60),
        made=f"Plan of {weekday(made)[:3]} {date_words(made)}, {clock(made)}",
        old=_old(made, now),
        days=shown,
        bags=tuple(_bag(state, meant.get(state.lot.id, ()), names, home, now) for state in lots),
        buy=tuple(by_deadline(shopping, home)),
        cautions=tuple(_cautions(home, plan, shown)),
        strips=plan["strips"],
        names=names,
    )


def _short(day: date) -> str:
    return f"{weekday(datetime.combine(day, datetime.min.time()))[:3]} {date_words(day)}"


def _old(made: datetime, now: datetime) -> str:
    days = (now - made) // OLD
    if days < 1:
        return ""
    return f"This plan is {'a day' if days == 1 else f'{days} days'} old. Plan again before you rely on it."


def _day(plan: Json, day: Json, happened: Sequence[Happened]) -> Day:
    acts, remarks = [], []
    for line in day["lines"]:
        if line["kind"] == "do":
            acts.append(_act(line, happened))
        elif line["kind"] == "note":
            remarks.append(line["what"])
    meals = eaten(plan, day["id"])
    return Day(
        date=date.fromisoformat(day["id"]),
        bread=day["bread_today"],
        short=any(meal.short for meal in meals),
        acts=tuple(acts),
        meals=meals,
        remark=" ".join(remarks),
        tonight=day["freezer_tonight"],
    )


def _act(line: Json, happened: Sequence[Happened]) -> Act:
    named = _ACT.match(line["what"])
    act = named[0] if named else ""
    what = line["what"][len(act) :]
    detail = _DETAIL.search(what)
    return Act(
        times=line["times"],
        who=line["who"],
        act=act,
        what=what[: detail.start()].rstrip() if detail else what,
        detail=detail[0] if detail else "",
        caution=line["caution"],
        short=line["short"] or "",
        over=_over(line["for"], line["step"], happened),
    )


def _over(thing: str | None, step: str | None, happened: Sequence[Happened]) -> str:
    """Return "done" of a step that was said to be done, "off" of one that will not be, "" of one still open."""
    if not thing or not step or still_open(list(happened))(thing, step):
        return ""
    said = {(row.thing.partition("@")[0], row.step) for row in happened if row.what is What.DONE}
    return "done" if (thing, step) in said else "off"


def eaten(plan: Json, day: str) -> tuple[Eaten, ...]:
    """Return the meals of a local day, as "2027-03-27", with what each gets."""
    return tuple(_eaten(meal) for meal in plan["meals"] if meal["start"][:10] == day)


def _eaten(meal: Json) -> Eaten:
    return Eaten(
        times=clock(datetime.fromisoformat(meal["start"])),
        title=clean(meal["summary"], 60),
        heads=meal["heads"] if meal["strict"] else 0,
        what=meal["says"],
        holds=meal["holds"],
        short=meal["shortfall"],
    )


def _bag(state: LotState, meant: Sequence[Use], names: Mapping[str, str], home: Home, now: datetime) -> Bag:
    lot = state.lot
    return Bag(
        letter=clean(lot.letter, 4),
        what=pieces_words(names.get(lot.bread, clean(lot.bread, 40)), lot.form, state.left),
        bagged=date_words(lot.bagged.astimezone(home.zone)),
        standing=standing(state),
        meant=meant_for(state, meant, home.zone, now) if meant else "",
        soon=state.standing in (Standing.EAT_FIRST, Standing.TOAST, Standing.PAST_DATE),
    )


def pieces_words(name: str, form: str, number: int) -> str:
    """Return "2 Country loaves, part-baked" or "12 slices of Milk tin loaf"."""
    if form == "sliced":
        return f"{number} slice{'' if number == 1 else 's'} of {name}"
    return f"{named_pieces(name, number)}, {FORM_WORDS.get(form, clean(form, 40))}"


def _cautions(home: Home, plan: Json, days: Sequence[Day]) -> Iterator[str]:
    """Yield what to mind in these days, once each."""
    dates = {day.date.isoformat() for day in days}
    stays = [stay for stay in plan["oven"] if {stay["heat_from"][:10], stay["end"][:10]} & dates]
    if any(act.act == "MIX" for day in days for act in day.acts):
        yield RAW
    if any(stay["programme"]["vessel"] for stay in stays):
        yield HOT_IRON
    if stays:
        yield STEAM
        yield "An adult stays in while the oven is on."
    yield MOULD
    if any(bread.kind == "filled" for bread in home.breads.values()):
        yield "Filled bread: thaw in the fridge only, cold within two hours; follow your local food-safety rules."
