"""What a household ate, day by day, from its ledger and its calendars; and what follows from it for its settings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from math import ceil
from statistics import fmean

from calendars.zones import instant
from rotation.carried import from_text
from rotation.eaten import LEAST_DAYS, Day, Found, found
from rotation.errors import BadInput, Mistake
from rotation.happened import Happened, What
from rotation.household import usual
from rotation.household.reading import Home
from rotation.household.values import weekdays_of
from rotation.intake import build, read_calendars
from rotation.intake.build import SHORTEST_BAKING
from rotation.intake.course import left
from rotation.intake.habits import LUNCH
from rotation.intake.time import longest_gap
from rotation.ledger import Happenings, Kind, Ledger, Movement
from rotation.ledger.journal import ever_written
from rotation.naming import OUT
from rotation.offered import Shares, by_bread, by_weekday
from rotation.problem import TABLE, Problem
from rotation.safety_stock import Reserve, reserve

WEEKS = 12
"""How far back is looked, at most."""

PRESENT = 0.75
"""Less of a normal weekday's bread than this is wanted by those who are in: somebody is away."""

UNSEEN_DAYS = 7
"""Days over which what a count missed is spread, at most."""


@dataclass(frozen=True)
class Portion:
    """Portions of a bread that were eaten from one day on, over so many days alike."""

    bread: str
    portions: float
    since: date
    days: int


@dataclass(frozen=True)
class Eating:
    """What was found, and what follows from it. loaves_a_week: for `[habits]`, with its likely range.

    by_weekday, by_bread: for `[habits]`, Monday is 0; empty where what is found differs from what is written no more
    than by chance.
    reserve: for `[reserve]`; first, last: the days looked at.
    """

    found: Found
    loaves_a_week: float
    likely: tuple[float, float]
    by_weekday: Mapping[int, float]
    by_bread: Shares
    reserve: Reserve
    first: date
    last: date


def eating(home: Home, ledger: Ledger, now: datetime, weeks: int = WEEKS) -> Eating:
    """Return what is eaten. Reads the calendars of the days that are over. BadInput where too little is known."""
    today = now.astimezone(home.zone).date()
    first = _first(home, ledger, today, weeks)
    length = (today - first).days
    if length < LEAST_DAYS:
        wrong = f"the freezer's history has {max(length, 0)} whole days; habits want {LEAST_DAYS}."
        raise BadInput(Mistake("eaten", None, "", wrong, "Go on recording what is taken out; see rotation freezer."))
    problem = _past(home, ledger, first, length, now)
    seen = found(list(_recorded(home, ledger, problem, first, length)))
    week, habits = seen.a_week, home.settings.habits
    lunches = _lunches(problem, first, length)
    boxes = sum(lunches.values())
    loaves = [max(each - boxes, 0) / habits.slices_a_loaf for each in (week.level, *week.range)]
    gap = _gap_days(home, problem)
    shop, weights = home.settings.shop, home.settings.weights
    unmet = shop.price_minutes / shop.portions if weights.unmet_portion is None else weights.unmet_portion
    safety = reserve(seen.error, gap, weights.portion_day_frozen, max(unmet, 1e-6), _loaf(home))
    last = today - timedelta(days=1)
    days, breads = by_weekday(home, seen, lunches), by_bread(home, seen, lunches)
    return Eating(seen, round(loaves[0], 1), (loaves[1], loaves[2]), days, breads, safety, first, last)


def days_over(home: Home, ledger: Ledger, now: datetime, weeks: int) -> tuple[Day, ...]:
    """Return what was eaten on the days of so many weeks that the ledger knows of. Reads their calendars."""
    today = now.astimezone(home.zone).date()
    first = _first(home, ledger, today, weeks)
    length = (today - first).days
    if length <= 0:
        return ()
    return tuple(_recorded(home, ledger, _past(home, ledger, first, length, now), first, length))


def _first(home: Home, ledger: Ledger, today: date, weeks: int) -> date:
    """Return the first whole day that is recorded, of so many weeks."""
    begun = [_day(home, one.at) for one in ledger.history()]
    return max(min(begun, default=today) + timedelta(days=1), today - timedelta(weeks=weeks))


def _recorded(home: Home, ledger: Ledger, problem: Problem, first: date, length: int) -> Iterator[Day]:
    history = ledger.history()
    parts = [*_out_of_freezer(home, history), *_fresh(home, Happenings(ledger).standing())]
    yield from _days(home, problem, parts, history, first, length)


def _past(home: Home, ledger: Ledger, first: date, length: int, now: datetime) -> Problem:
    """Return the days that are over as a plan would have understood them, without our own entries."""
    start, ours = instant(datetime.combine(first, time()), home.zone), ever_written(ledger)
    readings = {
        name: replace(reading, events=tuple(event for event in reading.events if event.uid not in ours))
        for name, reading in read_calendars(home, start, length, now).items()
    }
    return build(home, readings, (), (), (), None, start, length).problem


def _out_of_freezer(home: Home, history: Sequence[Movement]) -> Iterator[Portion]:
    """Yield what was taken out to be eaten, a loaf over the days it keeps; what a count missed since the one before."""
    last: dict[str, date] = {}
    for movement in history:
        day = _day(home, movement.at)
        for share in movement.shares:
            bread, units = share.lot.bread, -share.units
            if not movement.undone and movement.kind is Kind.TAKEN:
                portions, keeps = _portions(home, bread, share.lot.form, units)
                yield Portion(bread, portions, day, keeps)
            elif not movement.undone and movement.kind is Kind.COUNTED:
                portions, _ = _portions(home, bread, share.lot.form, units)
                days = min(max((day - last.get(bread, day)).days, 1), UNSEEN_DAYS)
                yield Portion(bread, portions, day - timedelta(days=days - 1), days)
            last[bread] = day


def _fresh(home: Home, rows: Iterable[Happened]) -> Iterator[Portion]:
    """Yield what came from bakes straight to the table, over the days it keeps."""
    done = [row for row in rows if row.what is What.DONE]
    out = {row.thing: row.count for row in done if row.step == OUT}
    for row in done:
        bake = next(iter(from_text(row.planned).plan.bakes), None) if row.planned else None
        if bake is None or row.end is None or row.step not in (OUT, "bag"):
            continue
        meant = dict(left(bake, out.get(row.thing)))
        pieces, bread = meant.pop(TABLE, 0), home.known.get(bake.bread)
        if row.step == "bag":  # what was not bagged stays on the table
            pieces = 0 if row.count is None else max(sum(meant.values()) - row.count, 0)
        if pieces and bread is not None:
            keeps = max(1, round(usual.keeps_hours(bread) / 24))
            yield Portion(bake.bread, pieces * bread.portions, _day(home, row.end), keeps)


def _portions(home: Home, bread_id: str, form_id: str, units: int) -> tuple[float, int]:
    """Return the portions of units, and the days over which they are eaten: slices on the day they are taken."""
    bread = home.known.get(bread_id)
    if bread is None or form_id == "sliced":
        return float(units), 1
    return float(units * bread.portions), max(1, round(usual.keeps_hours(bread) / 48))


def _days(
    home: Home, problem: Problem, parts: Sequence[Portion], history: Sequence[Movement], first: date, length: int
) -> Iterator[Day]:
    eaten: dict[date, dict[str, float]] = {}
    for part in parts:
        for number in range(part.days):
            of_day = eaten.setdefault(part.since + timedelta(days=number), {})
            of_day[part.bread] = of_day.get(part.bread, 0.0) + part.portions / part.days
    own, guests = _wanted(problem)
    normal: dict[int, float] = {}
    for day, portions in own.items():
        normal[day.weekday()] = max(normal.get(day.weekday(), 0.0), portions)
    empty = _empty(home, history, first + timedelta(days=length))
    for number in range(length):
        day = first + timedelta(days=number)
        usually, tomorrow = normal.get(day.weekday(), 0.0), day + timedelta(days=1)
        here = own.get(day, 0.0) >= PRESENT * usually
        out = day in empty and not any(part.since <= day and tomorrow in _span(part) for part in parts)
        yield Day(day, {bread: max(each, 0.0) for bread, each in eaten.get(day, {}).items()}, usually,
                  here and day not in guests, out)  # fmt: skip


def _span(part: Portion) -> tuple[date, ...]:
    return tuple(part.since + timedelta(days=number) for number in range(part.days))


def _wanted(problem: Problem) -> tuple[Mapping[date, float], set[date]]:
    """Return the everyday portions of each day as the household said, and the days with guests."""
    own: dict[date, float] = {}
    guests = set()
    for meal in problem.meals:
        day = problem.instant(meal.at).date()
        if meal.source != "habit":
            guests.add(day)
        else:
            own[day] = own.get(day, 0.0) + meal.portions
    return own, guests


def _lunches(problem: Problem, first: date, length: int) -> dict[int, float]:
    """Return the portions of lunch boxes on each weekday, on average."""
    portions = {meal.id: meal.portions for meal in problem.meals}
    found: dict[int, list[int]] = {day: [] for day in range(7)}
    for day in (first + timedelta(days=number) for number in range(length)):
        found[day.weekday()].append(portions.get(f"habit:{LUNCH}:{day.isoformat()}", 0))
    return {day: fmean(each) for day, each in found.items()}


def _empty(home: Home, history: Sequence[Movement], until: date) -> set[date]:
    """Return the days at whose end nothing was in the freezer."""
    units: dict[date, int] = {}
    for movement in history:
        day = _day(home, movement.at)
        units[day] = units.get(day, 0) + movement.units
    held, empty, day = 0, set(), min(units, default=until)
    while day < until:
        held += units.get(day, 0)
        if held <= 0:
            empty.add(day)
        day += timedelta(days=1)
    return empty


def _gap_days(home: Home, problem: Problem) -> float:
    """Return the longest time between two possible bakes, in days: by the hands of who bakes, and by the usual days."""
    hands = sorted(
        (span for person in problem.people if person.bakes for span in person.free),
    )
    by_hands = longest_gap(
        tuple(span for span in hands if span[1] - span[0] >= SHORTEST_BAKING), 0, problem.midnights[problem.shown_days]
    )
    usual_days = sorted(weekdays_of(home.settings.plan.usual_days)) or range(7)
    by_days = max(
        (later - day - 1) % 7 + 1 for day, later in zip(usual_days, [*usual_days[1:], usual_days[0]], strict=True)
    )
    return max(1.0, ceil(by_hands / 144) / 10, float(by_days))


def _loaf(home: Home) -> int:
    """Return the portions of a loaf that is kept for bad days: the largest that is kept sliced, else the largest."""
    breads = home.breads.values()
    sliced = [bread.portions for bread in breads if "sliced" in bread.forms]
    return max(sliced or [bread.portions for bread in breads])


def _day(home: Home, at: datetime) -> date:
    return at.astimezone(home.zone).date()
