"""People and their calendars: who bakes, when they are in and free, and whose an event is."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from rotation.household.matching import Match
from rotation.household.values import Allergens, DayOrDays, HoursList, Id, Many, Settings, Text, WeekHours

PricePerMinute = Annotated[float, Field(ge=0, le=100, examples=[1.5])]


class PriceRule(Settings):
    """What a minute of somebody's hands costs at certain hours; of several that hold, the last one counts."""

    days: Many[DayOrDays] = ("every day",)
    hours: HoursList = ((0, 1440),)
    per_minute: PricePerMinute


class Identity(Settings):
    """How an event says that it is this person's. Names are looked for in titles, as whole words."""

    addresses: Many[Text] = ()
    names: Many[Text] = ()
    categories: Many[Text] = ()


class Person(Settings):
    """Somebody who lives in the house. Free implies in; calendars only take away from both."""

    id: Id
    name: Text | None = None
    adult: bool = True
    under_six: bool = False
    bakes: bool = False
    finishes: bool = False
    inside: WeekHours = WeekHours.model_validate(
        {"weekdays": ["06:30-07:45", "17:00-22:30"], "weekends": ["06:30-22:30"]}
    )
    free: WeekHours = WeekHours.model_validate({"weekdays": ["17:30-21:30"], "weekends": ["07:30-21:00"]})
    quick: WeekHours = WeekHours.model_validate(["06:45-07:15"])
    awake: WeekHours = WeekHours.model_validate(["06:30-22:30"])
    price_per_minute: PricePerMinute = 1.0
    price: tuple[PriceRule, ...] = ()
    identity: Identity = Identity()
    without: Allergens = ()

    @property
    def called(self) -> str:
        """What the family calls this person."""
        return self.name or self.id.capitalize()


Address = Annotated[str, StringConstraints(min_length=1, max_length=4000, pattern=r"^[!-~]+$"),
                    Field(examples=["https://calendar.example.org/family.ics"])]  # fmt: skip
"""A web address. It often holds a secret, so nothing shows more of it than its host."""

Source = Annotated[str, StringConstraints(min_length=1, max_length=1000), Field(examples=["keyring"])]
"""Where a secret is, see `calendars.secrets`: "keyring", "command: ...", "env: NAME"."""


class Place(Settings):
    """Where a calendar is and how it is reached.

    path: of a file or folder, taken from the household's folder. url: of a subscription, or of a calendar on a CalDAV
    server; url_from: where it is, if it is a secret. user, password_from: for a server that asks. plain_http: allow
    http without encryption to another machine.
    """

    path: Text | None = Field(default=None, examples=["calendars/family.ics"])
    url: Address | None = None
    url_from: Source | None = None
    kind: Text | None = Field(default=None, examples=["caldav"])
    user: Text | None = Field(default=None, examples=["jo"])
    password_from: Source | None = None
    plain_http: bool = False

    @property
    def stored_as(self) -> str:
        """The kind of store: as written, else by what is given: "subscription", "file" for .ics, "folder"."""
        if self.kind or self.path is None:
            return self.kind or "subscription"
        return "file" if self.path.lower().endswith(".ics") else "folder"


class Calendar(Place):
    """A calendar that is read.

    whose: "by event" (from attendees, a category, or a name in the title; `otherwise` for the rest), "everyone",
    "nobody", or the id of the one person it belongs to. role: what its events say.
    """

    name: Text
    role: Literal["people", "oven", "meals"] = "people"
    whose: Text = "by event"
    otherwise: Text = "everyone"
    all_day_busy: bool = False
    oven: Id | None = None


class Written(Place):
    """A calendar that is written: a folder of .ics files, or a calendar on a CalDAV server."""

    @property
    def stored_as(self) -> str:
        """The kind of store: as written, else "folder" for a path, "caldav" for a web address."""
        return self.kind or ("caldav" if self.path is None else "folder")

    @property
    def somewhere(self) -> bool:
        """Whether it is said at all where the calendar is."""
        return bool(self.path or self.url or self.url_from)


class EventRule(Match):
    """What certain events of people's calendars mean. The first rule that matches counts."""

    means: Literal["out", "busy at home", "free at home", "nothing"] = Field(examples=["busy at home"])
