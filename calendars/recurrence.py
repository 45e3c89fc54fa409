"""The occurrences of one UID inside a window: its rule, extra and removed dates, and changes to single occurrences.

Starts are wall-clock times of the series' zone; lengths are computed in UTC, so 24 hours stay 24 hours when the clocks
change and a day stays a day. DTSTART is always the first occurrence, whether or not it fits the rule
(RFC 5545, 3.8.5.3).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from calendars import zones
from calendars.rules import BadRule, parse_rule
from calendars.stepping import Budget, TooMuchWork, starts
from calendars.values import BadEvent, Length, Line, Moment, Zones, duration, moment, utc_stamp
from calendars.vevent import Parsed, Stamps

STEPS_FOR_ONE = 40_000
"""Days and times looked at for one series with a COUNT, from its first day on: a hundred years of days."""
STEPS_FOR_ANY = 1_000
"""What every series may spend when others have used up the file's budget: those without COUNT need far less."""
MOST_OCCURRENCES = 10_000
MOST_EXTRA_DATES = 2_000
MANY_EXCEPTIONS = 2_000

_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Occurrence:
    """One occurrence: whose words it bears, when (UTC), and its original start as iCalendar writes it, or None."""

    said: Parsed
    start: datetime
    end: datetime
    recurrence_id: str | None


def expand(
    versions: Sequence[Parsed], window: tuple[datetime, datetime], budget: Budget
) -> tuple[tuple[Occurrence, ...], tuple[str, ...]]:
    """Return the occurrences of one UID that touch the window, and what was assumed.

    versions: every VEVENT of that UID, in the order of the file. budget: what the whole file may still spend.
    Raises BadEvent where the series has to be left out.
    """
    notes: list[str] = []
    masters = [each for each in versions if each.original is None]
    if len(masters) > 1:
        notes.append(f"is there {len(masters)} times; the newest version is used")
    master = max(masters, key=lambda each: each.version) if masters else None
    changes = _newest_changes(versions, master)
    if master is None:
        notes.append("changes a series that is not in this calendar; kept as single events")
    found = [] if master is None else list(_of_series(_series(master, changes, window, notes), budget))
    for key, change in changes.items():
        end = change.length.after(change.start.local, change.start.zone)
        found.append(Occurrence(change, change.start.instant, end, _written(key)))
    kept = [each for each in found if _touches(each.start, each.end, window)]
    return tuple(sorted(kept, key=lambda each: (each.start, each.end))), tuple(notes)


def _touches(start: datetime, end: datetime, window: tuple[datetime, datetime]) -> bool:
    """Return whether an event lies at least partly in the window; one without length has to start in it."""
    return start < window[1] and (window[0] < end or window[0] <= start)


def _key(at: Moment, master: Parsed | None) -> date | datetime:
    """Return what names an occurrence: its local date where only a date is given, else its instant.

    A time that names an occurrence of an all-day event means the day it falls on here; midnight UTC is how some write
    the date itself.
    """
    if master is not None and master.start.all_day and not at.all_day:
        return at.local.date() if at.local.time() == time() else zones.wall_clock(at.instant, master.start.zone).date()
    return at.local.date() if at.all_day else at.instant


def _written(key: date | datetime) -> str:
    """Return a key as iCalendar writes it."""
    return utc_stamp(key) if isinstance(key, datetime) else f"{key:%Y%m%d}"


def _newest_changes(versions: Sequence[Parsed], master: Parsed | None) -> dict[date | datetime, Parsed]:
    """Return the changes to single occurrences by what they change, the newest version of each."""
    changes: dict[date | datetime, Parsed] = {}
    for each in versions:
        if each.original is None:
            continue
        key = _key(each.original, master)
        if key not in changes or changes[key].version <= each.version:
            changes[key] = each
    return changes


@dataclass(frozen=True)
class _Series:
    """A series at work.

    onward: the changes that hold for all that follows, latest first: since which start (wall clock), by how much they
    move it. low, high: the wall-clock bounds of starts that can touch the window, lengths and shifts allowed for.
    """

    master: Parsed
    changes: dict[date | datetime, Parsed]
    onward: tuple[tuple[datetime, timedelta, Parsed], ...]
    low: datetime
    high: datetime
    notes: list[str]


def _series(
    master: Parsed, changes: dict[date | datetime, Parsed], window: tuple[datetime, datetime], notes: list[str]
) -> _Series:
    """Return what the expansion of a master needs at hand."""
    zone = master.start.zone
    onward = []
    for change in changes.values():
        if change.and_future and change.original:
            since = zones.wall_clock(change.original.instant, zone)
            onward.append((since, zones.wall_clock(change.start.instant, zone) - since, change))
    onward.sort(key=lambda each: each[0], reverse=True)
    lengths = [each.length for each in (master, *(change for _, _, change in onward))]
    room = max(timedelta(days=length.days) + length.exact for length in lengths) + 2 * _DAY
    shift = max((abs(by) for _, by, _ in onward), default=timedelta())
    low, high = (zones.wall_clock(edge, zone) for edge in window)
    return _Series(master, changes, tuple(onward), low - room - shift, high + shift + 2 * _DAY, notes)


def _of_series(series: _Series, budget: Budget) -> Iterator[Occurrence]:
    """Yield the occurrences of the master that no change to a single occurrence replaces."""
    master = series.master
    zone = master.start.zone
    if not master.rules and not master.extra:
        if _keys(master.start.local, master).isdisjoint(series.changes):
            end = master.length.after(master.start.local, zone)
            yield Occurrence(master, master.start.instant, end, None)
        return
    removed = _removed(series, budget)
    lengths = dict(_extra_dates(series))
    for local in _from_rules(master.rules, series, budget):
        lengths.setdefault(local, None)
    if series.low <= master.start.local <= series.high:
        lengths.setdefault(master.start.local, None)
    if len(lengths) > MOST_OCCURRENCES:
        raise BadEvent(f"has more than {MOST_OCCURRENCES:,} occurrences in these days")
    seen: set[datetime] = set()
    for local, length in sorted(lengths.items()):
        keys = _keys(local, master)
        start = zones.instant(local, zone)
        if start in seen or not keys.isdisjoint(removed) or not keys.isdisjoint(series.changes):
            continue
        seen.add(start)
        name = _written(local.date() if master.start.all_day else start)
        by, change = next(((by, change) for since, by, change in series.onward if since <= local), (None, None))
        if by is None or change is None:
            yield Occurrence(master, start, (length or master.length).after(local, zone), name)
        else:
            moved = local + by
            yield Occurrence(change, zones.instant(moved, zone), change.length.after(moved, zone), name)


def _keys(local: datetime, master: Parsed) -> set[date | datetime]:
    """Return the names by which an occurrence may be removed or changed."""
    if master.start.all_day:
        return {local.date()}
    return {local.date(), zones.instant(local, master.start.zone)}


def _from_rules(rules: tuple[str, ...], series: _Series, budget: Budget) -> Iterator[datetime]:
    """Yield the wall-clock starts that rules give near the window. Raises BadEvent where they cannot be used."""
    start = series.master.start
    for text in rules:
        spent = Budget(max(STEPS_FOR_ANY, min(STEPS_FOR_ONE, budget.steps)))
        before = spent.steps
        try:
            rule = parse_rule(text)
            yield from starts(rule, start.local, series.low, series.high, _until(rule.until, start), spent)
        except BadRule as error:
            raise BadEvent(str(error)) from error
        except TooMuchWork as error:
            raise BadEvent("repeats too often to be worked out") from error
        finally:
            budget.steps -= before - max(spent.steps, 0)


def _until(text: str, start: Moment) -> datetime | None:
    """Return the last wall-clock start an UNTIL allows; a mere date includes that whole day."""
    if not text:
        return None
    until = moment(Line({}, text), Zones(start.zone))
    if until.local.year == date.max.year:  # how some write "for ever"
        return None
    if until.all_day or (start.all_day and until.local.time() == time()):  # midnight UTC is how some write a date
        return until.local + _DAY - timedelta(seconds=1)
    return zones.wall_clock(until.instant, start.zone)


def _removed(series: _Series, budget: Budget) -> set[date | datetime]:
    """Return the names of the occurrences that EXDATE and EXRULE take away."""
    master, removed = series.master, set[date | datetime]()
    if sum(len(stamps.values) for stamps in master.without) > MANY_EXCEPTIONS:
        series.notes.append(f"has more than {MANY_EXCEPTIONS:,} exceptions; only those near these days are looked at")
    for stamps in master.without:
        for value in _near(stamps, series):
            at = moment(Line({}, value), Zones(stamps.zone))
            at = Moment(at.local, stamps.zone, at.all_day) if not value.endswith("Z") else at
            if at.all_day and not master.start.all_day:
                note = "leaves out days instead of times; everything of the series on such a day is left out"
                if note not in series.notes:
                    series.notes.append(note)
            removed.add(_key(at, master))
    for local in _from_rules(master.without_rules, series, budget):
        removed.add(_key(Moment(local, master.start.zone, master.start.all_day), master))
    return removed


def _near(stamps: Stamps, series: _Series) -> list[str]:
    """Return the values whose date lies within a day of the bounds, by their text alone, and all periods."""
    first, last = f"{series.low - _DAY:%Y%m%d}", f"{series.high + _DAY:%Y%m%d}"
    return [value for value in stamps.values if first <= value[:8] <= last or "/" in value]


def _extra_dates(series: _Series) -> Iterator[tuple[datetime, Length | None]]:
    """Yield the wall-clock starts that RDATE adds, with the length of a PERIOD."""
    start = series.master.start
    for stamps in series.master.extra:
        values = _near(stamps, series)
        if len(values) > MOST_EXTRA_DATES:
            raise BadEvent(f"has more than {MOST_EXTRA_DATES:,} extra dates in these days")
        where = Zones(stamps.zone)
        for value in values:
            first, slash, second = value.partition("/")
            at = moment(Line({}, first), where)
            instant = at.instant if first.endswith("Z") else zones.instant(at.local, stamps.zone)
            if start.all_day:
                local = datetime.combine(at.local.date(), time())
            elif at.all_day:
                local = datetime.combine(at.local.date(), start.local.time())
            else:
                local = zones.wall_clock(instant, start.zone)
            yield local, _period(second, instant, where) if slash else None


def _period(text: str, start: datetime, where: Zones) -> Length:
    """Return the length of a PERIOD by its second half, an end or a duration (RFC 5545, 3.3.9)."""
    length = duration(text) if text.startswith("P") else Length(exact=moment(Line({}, text), where).instant - start)
    if length.days < 0 or length.exact < timedelta() or length == Length():
        raise BadEvent("has an extra date that ends before it starts")
    return length
