"""What is eaten: rules that turn events into meals, standing habits, and bought bread."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from rotation.household.matching import Match
from rotation.household.values import (
    DAYS,
    Allergens,
    BreadId,
    Clock,
    DayOrDays,
    Many,
    Settings,
    Text,
    WeekTimes,
)

Way = Literal["fresh", "finished", "thawed", "toast", "bought"]
"""How bread comes to a meal: from a bake, finished in the oven, thawed, straight from the freezer, from the shop."""

Use = Literal["everyday", "lunch", "guests"]
Portions = Annotated[float, Field(ge=0, le=200, examples=[2])]


class MealRule(Match):
    """What certain events mean for bread. The first rule that matches counts.

    effect: "meal": bread is wanted at the event's start, `minutes_after_start` later; "less": that many portions fewer
    are eaten at the habits of that day; "away": its people eat nothing at home while it lasts. heads: a number, "from
    text" (the first number in the title or text), "attendees" (who have not declined), "inside" (people in the house).
    extra_heads: guests on top of those. breads: ids, all if none is given. ways: how bread may come, all if none is
    given; a bought loaf is one of them, but never for a strict meal. fresh_within_hours: longest since it was ready.
    warm: ready within the hour. use: which price of age counts.
    """

    name: Text | None = None
    effect: Literal["meal", "less", "away"] = "meal"
    heads: Annotated[int, Field(ge=0, le=500)] | Literal["from text", "attendees", "inside"] = "inside"
    extra_heads: Annotated[int, Field(ge=0, le=500)] = 0
    portions_per_head: Portions | None = None
    minutes_after_start: Annotated[int, Field(ge=-720, le=720)] = 0
    breads: Many[BreadId] = ()
    ways: Many[Way] = ()
    fresh_within_hours: Annotated[float, Field(gt=0, le=240, examples=[24])] | None = None
    warm: bool = False
    without: Allergens = ()
    strict: bool = False
    use: Use | None = None


class Guests(Settings):
    """What a head eats where a rule does not say."""

    portions_per_head: Portions = 2.0
    under_six_share: Annotated[float, Field(ge=0, le=1)] = 0.5


class Eaten(Settings):
    """One hour of the day at which the week's loaves are eaten, and its share of them."""

    name: Text
    at: Clock = Field(examples=["07:30"])
    weekends_at: Clock | None = None
    share: Annotated[float, Field(gt=0, le=1, examples=[0.6])]
    days: Many[DayOrDays] = ("every day",)
    breads: Many[BreadId] = ()
    ways: Many[Way] = ()


Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]

Share = Annotated[float, Field(ge=0, le=1, examples=[0.4])]


class Habits(Settings):
    """What is eaten without anybody asking, spread over the week by the people in.

    by_weekday: how much more or less those who are in eat on a day than on others, which are 1. by_bread: the part of
    it that is one bread and no other, on all days or by weekday; the rest is any. Lunch boxes are beside it.
    """

    loaves_a_week: Annotated[float, Field(ge=0, le=60)] = 3.0
    slices_a_loaf: Annotated[int, Field(ge=1, le=60)] = 14
    by_weekday: dict[Weekday, Annotated[float, Field(ge=0, le=20)]] = Field(
        default={}, examples=["{ fri = 0.8, sat = 1.5 }"]
    )
    by_bread: dict[BreadId, Share | dict[Weekday, Share]] = Field(
        default={}, examples=["{ country = 0.4, rolls = { sat = 0.3, sun = 0.3 } }"]
    )
    eaten: tuple[Eaten, ...] = (
        Eaten.model_validate({"name": "Breakfast", "at": "07:15", "weekends_at": "08:30", "share": 0.6}),
        Eaten.model_validate({"name": "Supper", "at": "18:30", "share": 0.4}),
    )
    lunch_slices_on_school_days: Annotated[int, Field(ge=0, le=100)] = 0
    lunch_at: Clock = 420
    lunch_breads: Many[BreadId] = ()
    lunch_ways: Many[Way] = ("fresh", "thawed", "toast", "bought")
    school_days: Many[DayOrDays] = ("weekdays",)
    holidays: tuple[Match, ...] = ()

    def part_of(self, bread: str, weekday: int) -> float:
        """Return the part of what is eaten on a weekday that is one bread and no other."""
        said = self.by_bread.get(bread, 0.0)
        return sum(part for day, part in said.items() if DAYS[weekday] == day) if isinstance(said, dict) else said


class Shop(Settings):
    """Bought bread. `price_minutes`: what a bought loaf costs in effort minutes, the trip included."""

    closes: WeekTimes = WeekTimes.model_validate({"weekdays": "20:00", "weekends": "18:00", "sun": "closed"})
    portions: Annotated[int, Field(ge=1, le=60)] = 16
    keeps_hours: Annotated[float, Field(gt=0, le=240)] = 72.0
    price_minutes: Annotated[float, Field(ge=0, le=1000)] = 25.0
    allergens: Many[Text] = ("?",)
