"""What is eaten, worked out in a process of its own: it reads the calendars of weeks that are over."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from rotation.page.jobs import Progress
from rotation.page.plain import plain


@dataclass(frozen=True)
class Weekday:
    """One weekday in words: what the household says, what was found, between which figures it likely lies, by bread."""

    day: str
    own: str
    found: str
    likely: str
    breads: str


@dataclass(frozen=True)
class Eaten:
    """What is eaten, and what is offered of it: each setting in words and its value.

    seen: what tells the offer from another; written: it was taken over; taken: what an undo takes back; again: it is
    other than what was shown.
    """

    heading: str
    weekdays: tuple[Weekday, ...]
    follows: tuple[str, ...]
    offered: tuple[tuple[str, str], ...]
    seen: str
    written: bool = False
    taken: str = ""
    again: bool = False


def eaten(folder: Path, now: datetime, seen: str, progress: Progress) -> Eaten:
    """Work out what is eaten; where the offer that was `seen` is still that, write it into the household's file."""
    from dataclasses import replace

    from rotation.eating import eating
    from rotation.household.reading import read_home
    from rotation.show import eaten as show
    from rotation.stockroom import freezer
    from rotation.taking_over import settings, take_over, taken_over

    progress("Looking at the weeks that are over")
    home = read_home(folder)
    with freezer(home, now, readonly=True) as ledger:
        found = eating(home, ledger, now)
    names = show.breads(found, home)
    weekdays = tuple(
        Weekday(
            show.day_name(day), f"{found.found.own[day]:.0f}", f"{smooth.level:.1f}", show.likely(smooth),
            ", ".join(f"{found.found.by_bread[day, id_].level:.1f} {name}" for id_, name in names.items()),
        )
        for day, smooth in sorted(found.found.by_weekday.items())
    )  # fmt: skip
    offered = tuple(show.offered(found, home))
    told = Eaten(
        plain(show.heading(found)), weekdays, (show.a_week(found, home), show.reason(found, home)), offered,
        sha256(repr(settings(found)).encode()).hexdigest()[:24],
    )  # fmt: skip
    if not seen or seen != told.seen:
        return replace(told, again=bool(seen))
    progress("Writing it into the household's file")
    take_over(home, found)
    return replace(told, written=True, taken=taken_over(home))
