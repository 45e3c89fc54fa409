"""What goes into the ledger and comes out of it, as frozen data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Kind(StrEnum):
    """What a movement is."""

    BAKED = "baked"
    ADDED = "added"
    TAKEN = "taken"
    DISCARDED = "discarded"
    COUNTED = "counted"
    UNDONE = "undone"


class Standing(StrEnum):
    """How a lot stands at an instant, the gravest first: past its strict date, for toast, to eat first, or fine."""

    PAST_DATE = "past its date"
    TOAST = "for toast"
    EAT_FIRST = "eat first"
    FREEZING = "still freezing"
    GOOD = "good"


@dataclass(frozen=True, kw_only=True)
class Note:
    """The circumstances of a movement: the clock, when it happened (now, if left out), and why, in a few words.

    id: made by whoever asks, so that a repeated or retried request counts once; the ledger makes one if it is empty.
    """

    now: datetime
    at: datetime | None = None
    reason: str = ""
    id: str = ""

    @property
    def when(self) -> datetime:
        """When it happened."""
        return self.at or self.now


@dataclass(frozen=True, kw_only=True)
class NewLot:
    """Units of one bread and form bagged together, before the ledger knows them.

    units: pieces, or portions if the form is sliced. All times are aware. through: frozen through from then on;
    eat_first, toast_after: from then on it is to be eaten first, or is for toast; strict_until: may not be eaten after
    (None: never). id: stable text of at least four characters, made by the ledger if empty; letter: on the bag, the
    lowest free one if empty.
    """

    bread: str
    form: str
    units: int
    bagged: datetime
    through: datetime
    eat_first: datetime
    toast_after: datetime
    strict_until: datetime | None = None
    id: str = ""
    letter: str = ""


@dataclass(frozen=True, kw_only=True)
class Lot:
    """A lot as recorded; fields as in `NewLot`, times in UTC to the second. How much is left is in `LotState`."""

    id: str
    letter: str
    bread: str
    form: str
    bagged: datetime
    through: datetime
    eat_first: datetime
    toast_after: datetime
    strict_until: datetime | None

    def standing(self, now: datetime) -> Standing:
        """Return how the lot stands at an instant."""
        if self.strict_until is not None and now > self.strict_until:
            return Standing.PAST_DATE
        if now >= self.toast_after:
            return Standing.TOAST
        if now >= self.eat_first:
            return Standing.EAT_FIRST
        return Standing.FREEZING if now < self.through else Standing.GOOD

    def days_left(self, now: datetime) -> int:
        """Return the days, by the calendar of `now`'s zone, until it is to be eaten first; negative once past."""
        return (self.eat_first.astimezone(now.tzinfo).date() - now.date()).days


@dataclass(frozen=True)
class LotState:
    """A lot at an instant: units left, how it stands, and days until it is to be eaten first."""

    lot: Lot
    left: int
    standing: Standing
    days_left: int


@dataclass(frozen=True)
class Share:
    """The part of a movement that falls on one lot: units put in, or, negative, taken out."""

    lot: Lot
    units: int


@dataclass(frozen=True)
class Movement:
    """One recorded act. at: when it happened; noted: when it was recorded (both UTC); shares: oldest lot first.

    A count that found what was expected has no shares. undoes: the id of the movement this one takes back, or "";
    undone: whether a later movement takes this one back.
    """

    id: str
    kind: Kind
    at: datetime
    noted: datetime
    reason: str
    undoes: str
    undone: bool
    shares: tuple[Share, ...]

    @property
    def units(self) -> int:
        """Units put in, less those taken out."""
        return sum(share.units for share in self.shares)


@dataclass(frozen=True)
class Publication:
    """A plan the family was told: as it can be read again (rotation/carried.py), what its entries mean, and when.

    number: counts publications from 1 up.
    """

    number: int
    plan: str
    meant: str
    at: datetime
