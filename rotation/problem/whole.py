"""All inputs of one plan together, and its days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

from rotation.problem.breads import Bread
from rotation.problem.eating import Meal, Shop
from rotation.problem.house import Kitchen, Oven, Person
from rotation.problem.spans import Spans, day_index, last_day, union
from rotation.problem.stock import BoxItem, Lot, Starter, UnderWay
from rotation.problem.wanted import Kept, Published, PublishedWay, Weights, Wish


@dataclass(frozen=True)
class Problem:
    """All inputs of one plan, as understood.

    midnights: local midnights in minutes, the first the start of day 0 (at or before minute 0), one more than there are
    days, tail included; shown_days: how many of them are shown. starter: None where none is kept, or nothing is known.
    """

    zero: datetime
    zone: ZoneInfo
    midnights: tuple[int, ...]
    shown_days: int
    people: tuple[Person, ...]
    ovens: tuple[Oven, ...]
    kitchen: Kitchen
    breads: tuple[Bread, ...]
    meals: tuple[Meal, ...]
    lots: tuple[Lot, ...]
    box: tuple[BoxItem, ...]
    under_way: tuple[UnderWay, ...]
    shop: Shop
    weights: Weights
    wishes: tuple[Wish, ...] = ()
    published: tuple[Published, ...] | None = None
    published_ways: tuple[PublishedWay, ...] = ()
    starter: Starter | None = None
    reserve: tuple[Kept, ...] = ()

    @property
    def end(self) -> int:
        """The last minute of the horizon, tail included."""
        return self.midnights[-1]

    @property
    def days(self) -> int:
        """Local days from the start to the end of the tail."""
        return len(self.midnights) - 1

    @cached_property
    def adults_inside(self) -> Spans:
        """When at least one adult is in and awake."""
        return union(span for person in self.people if person.adult for span in person.inside)

    @cached_property
    def watched(self) -> Spans:
        """When an adult is in and awake as far as is known: past the horizon nothing is, so a watch may reach there."""
        return union((*self.adults_inside, (self.end, self.end + 1440)))

    def bread(self, id_: str) -> Bread:
        """Return the bread with this id."""
        return next(bread for bread in self.breads if bread.id == id_)

    def person(self, id_: str) -> Person:
        """Return the person with this id."""
        return next(person for person in self.people if person.id == id_)

    def oven(self, id_: str) -> Oven:
        """Return the oven with this id."""
        return next(oven for oven in self.ovens if oven.id == id_)

    def day_of(self, minute: int) -> int:
        """Return the index of the local day that holds this minute: negative before the start, `days` after the end."""
        return day_index(self.midnights, minute)

    def date_end(self, put_in: int, minutes: int) -> int:
        """Return the local midnight that ends the last day of a date so many minutes after something is put in."""
        day = last_day(self.day_of(put_in), minutes) + 1
        if 0 <= day <= self.days:
            return self.midnights[day]
        midnight = datetime.combine(self.date_of(day), time(), self.zone)
        return (midnight.astimezone(UTC) - self.zero.astimezone(UTC)) // timedelta(minutes=1)

    def quarter_of(self, minute: int) -> int:
        """Return the index of the quarter of a day: six hours from local midnight, the last maybe longer or shorter."""
        day = min(max(self.day_of(minute), 0), self.days - 1)
        return 4 * day + min((minute - self.midnights[day]) // 360, 3)

    def instant(self, minute: int) -> datetime:
        """Return the local time of a minute."""
        return (self.zero + timedelta(minutes=minute)).astimezone(self.zone)

    def date_of(self, day: int) -> date:
        """Return the local date of the day with this index."""
        return self.instant(self.midnights[0] + 720).date() + timedelta(days=day)
