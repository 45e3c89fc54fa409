"""The whole of `household.toml`."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from rotation.household.kitchen import Booking, Dated, Kitchen, Oven
from rotation.household.meals import Guests, Habits, MealRule, Shop
from rotation.household.paper import Labels, Paper
from rotation.household.people import Calendar, EventRule, Person, Written
from rotation.household.values import Allergens, BreadId, DayOrDays, Id, Many, Moment, Settings, Text
from rotation.units import DegreeUnit, Display, Hours, MassUnit

Effort = Annotated[float, Field(ge=0, le=10_000, examples=[1.6])]
"""Effort minutes: one is a minute of ordinary hands."""


class Reserve(Settings):
    """Bread kept for bad days: `portions` of what is eaten by habit, and `guests` of what guests are given.

    Half the freezer at most is filled up to what is eaten by habit in `stocked_weeks`, when a bake costs little.
    Beyond that and `portions` stock is worth `beyond_share` of its effort, past `cover_weeks` of eating nothing.
    """

    portions: Annotated[int, Field(ge=0, le=1000)] = 16
    guests: Annotated[int, Field(ge=0, le=1000)] = 16
    stocked_weeks: Annotated[float, Field(ge=0, le=26)] = 1.3
    beyond_share: Annotated[float, Field(ge=0, le=1)] = 0.5
    cover_weeks: Annotated[float, Field(ge=0, le=26)] = 3.0


Grams = Annotated[float, Field(ge=0, le=1_000_000, examples=[1000])]


class Pantry(Settings):
    """What is there to bake with, for the shopping list: grams of each ingredient, by its name in the formulas.

    pack_grams: what one pack holds; what has no pack is bought by the gram. never_bought: on no list.
    """

    there_grams: dict[Text, Grams] = Field(default={}, examples=['{ "strong wheat flour" = 2000 }'])
    pack_grams: dict[Text, Annotated[Grams, Field(gt=0)]] = Field(
        default={}, examples=['{ "strong wheat flour" = 1000, yeast = 42 }']
    )
    never_bought: Many[Text] = ("water",)


class StarterCare(Settings):
    """How the starter is kept: in the fridge, fed at least every so many days, by a bake or beside one."""

    feed_every_days: Annotated[float, Field(ge=1, le=28, examples=[7])] = 7.0
    hands_minutes: Annotated[int, Field(ge=1, le=60)] = 5


class AgePrices(Settings):
    """Effort minutes for one portion that is six hours older when it is eaten; toast is free."""

    everyday: Effort = 0.05
    lunch: Effort = 0.05
    guests: Effort = 0.5


class Weights(Settings):
    """What is better, in effort minutes.

    unusual_day: a bake on another day than the usual ones, and each beyond `plan.bakes_a_week` in seven days.
    unmet_portion: None is the price of a bought portion. reserve_night: of a portion that the freezer holds less than
    is to be stocked, at a local midnight. stocked_lowest: the same at the lowest of each seven midnights, once;
    reserve_lowest: and more of one of the reserve. changed_bake:
    dropping a published bake or adding one that was not, fading to nothing in `change_fades_days` after the
    `plan.publish_days` that are written. moved_share: of that price, for each step that begins at another minute, and
    for a thaw or finish. held_times: so many times dearer is a change within `plan.hold_fixed_hours`.
    """

    bake: Effort = 5.0
    unusual_day: Effort = 10.0
    heat_up: Effort = 3.0
    unmet_portion: Effort | None = None
    strict_portion: Effort = 100.0
    portion_day_frozen: Effort = 0.02
    reserve_night: Effort = 0.05
    stocked_lowest: Effort = 0.2
    reserve_lowest: Effort = 0.55
    wasted_portion: Effort = 1.5
    unit_past_date: Effort = 5.0
    changed_bake: Effort = 20.0
    change_fades_days: Annotated[int, Field(ge=1, le=84)] = 1
    moved_share: Annotated[float, Field(ge=0, le=1)] = 0.2
    held_times: Annotated[float, Field(ge=1, le=1000)] = 10.0
    age: AgePrices = AgePrices()


class Planning(Settings):
    """How far is planned, the rhythm (days on which to bake, how many bakes in seven days), and what is taken as done.

    unconfirmed_thaw, unconfirmed_bake: of what nobody spoke. "ask": once, and until then it is not counted on.
    """

    days: Annotated[int, Field(ge=1, le=84)] = 14
    publish_days: Annotated[int, Field(ge=1, le=28)] = 7
    usual_days: Many[DayOrDays] = ("wed", "sat")
    bakes_a_week: Annotated[int, Field(ge=0, le=21)] = 2
    hold_fixed_hours: Annotated[int, Field(ge=0, le=336)] = 48
    unconfirmed_thaw: Literal["assume", "ask"] = "assume"
    unconfirmed_bake: Literal["assume", "ask"] = "ask"


class PersonEntries(Written):
    """One person's own calendar, for the steps of their hands."""

    person: Id


class OvenEntries(Written):
    """The calendar of an oven, for its reservations. oven: the first, if not written."""

    oven: Id | None = None


class Entries(Written):
    """How and where entries are written: in a calendar of their own, blocking nobody, with few alarms.

    each: what has an entry of its own: a whole "bake", each "part" of it (a feed on the day before, the dough, the
    baking), or each "step". tasks: entries are tasks to tick off, where the server takes them. a_week: at most so many,
    where the plan allows.
    """

    calendar: Text = "Bread"
    each: Literal["bake", "part", "step"] = "bake"
    tasks: bool = False
    a_week: Annotated[int, Field(ge=1, le=200)] = 10
    blocking: bool = False
    alarms_a_day: Annotated[int, Field(ge=0, le=10)] = 2
    people: tuple[PersonEntries, ...] = ()
    ovens: tuple[OvenEntries, ...] = ()


class Shown(Settings):
    """The units that recipes, bench notes, the heat of ovens and times of day are printed in.

    Settings stay in grams, degC and times of 24 hours.
    """

    mass: MassUnit = "g"
    temperature: DegreeUnit = "degC"
    clock_hours: Hours = 24

    @property
    def display(self) -> Display:
        """What shows masses and temperatures in these units."""
        return Display(self.mass, self.temperature)


class Wish(Settings):
    """Something the family asked for.

    kind "fixed": step `step` of a bake of `bread` starts at `at`. "no bake": none of `bread` is mixed from `at` until
    `until`; "no finish": nothing of `bread` is finished for a meal in that time.
    """

    id: Id | None = None
    kind: Literal["fixed", "no bake", "no finish"]
    bread: BreadId
    at: Moment
    until: Moment | None = None
    step: Text | None = None
    said: Text | None = None


class Household(Settings):
    """Everything a household says of itself."""

    name: Text = "Home"
    zone: Text = Field(default="Europe/Berlin", examples=["Europe/Berlin"])
    people: Annotated[tuple[Person, ...], Field(min_length=1, max_length=30)]
    calendars: tuple[Calendar, ...] = ()
    events: tuple[EventRule, ...] = ()
    ovens: Annotated[tuple[Oven, ...], Field(min_length=1, max_length=10)] = (Oven(),)
    bookings: tuple[Booking, ...] = ()
    kitchen: Kitchen = Kitchen()
    exceptions: tuple[Dated, ...] = ()
    meals: tuple[MealRule, ...] = ()
    guests: Guests = Guests()
    habits: Habits = Habits()
    shop: Shop = Shop()
    pantry: Pantry = Pantry()
    starter: StarterCare = StarterCare()
    reserve: Reserve = Reserve()
    weights: Weights = Weights()
    plan: Planning = Planning()
    entries: Entries = Entries()
    shown: Shown = Shown()
    paper: Paper = Paper()
    labels: Labels = Labels()
    nobody_eats: Allergens = ()
    contains: dict[str, Allergens] = Field(default={})
    wishes: tuple[Wish, ...] = ()
