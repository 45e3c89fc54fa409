"""An open freezer for a command: its household, the moment, and what several commands of the freezer take."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.options import HouseholdOption, found, moment

if TYPE_CHECKING:
    from rotation.household.reading import Home
    from rotation.ledger import Ledger, Movement, Note

AtOption = Annotated[str | None, typer.Option("--at", metavar="WHEN", help="When it happened; else now.")]
NowOption = Annotated[str | None, typer.Option("--now", metavar="WHEN", help="Take it to be this moment.")]
WhyOption = Annotated[str, typer.Option("--because", metavar="TEXT", help="Why, in a few words.")]
IdOption = Annotated[
    str, typer.Option("--id", metavar="TEXT", help="A name of your own for the movement: told twice, it counts once.")
]


@dataclass(frozen=True)
class Opened:
    """An open ledger, its household, and the moment it is."""

    home: Home
    ledger: Ledger
    now: datetime


def house(household: HouseholdOption, now: str | None) -> tuple[Home, datetime]:
    """Return a household as read, and the moment it is."""
    from rotation.household.reading import read_home

    home = read_home(found(household).folder)
    return home, moment(now, home.zone, "--now")


def note(home: Home, now: datetime, at: str | None, because: str = "", id_: str = "") -> Note:
    """Return the circumstances of a movement."""
    from rotation.ledger import Note

    return Note(now=now, at=None if at is None else moment(at, home.zone, "--at"), reason=because, id=id_)


@contextmanager
def opened(
    household: HouseholdOption, now: str | None, *, readonly: bool = False, seeding: bool = True
) -> Iterator[Opened]:
    """Open the freezer of a household. seeding: what `stock.toml` says is put into it first, if nothing ever was."""
    from rotation.stockroom import freezer

    home, at = house(household, now)
    with freezer(home, at, readonly=readonly, moving=seeding and not readonly) as ledger:
        yield Opened(home, ledger, at)


def say(movement: Movement) -> None:
    """Print what a movement did."""
    from rotation.show.stock import moved

    typer.echo(moved(movement))
