"""An open freezer for a command: its household, the moment, and what several commands of the freezer take."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.options import HouseholdOption, found, moment
from rotation.errors import BadInput, Mistake

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

    def note(self, at: str | None, because: str = "", id_: str = "") -> Note:
        """Return the circumstances of a movement."""
        from rotation.ledger import Note

        when = None if at is None else moment(at, self.home.zone, "--at")
        return Note(now=self.now, at=when, reason=because, id=id_)

    def form(self, bread: str, form: str) -> str:
        """Return the form meant: the one given, else the only one in the freezer."""
        from rotation.stockroom import known_form

        held = sorted({state.lot.form for state in self.ledger.lots(self.now) if state.lot.bread == bread})
        if not form and len(held) > 1:
            raise BadInput(Mistake("--form", None, "", f"{bread} is there {' and '.join(held)}.", "Say which."))
        meant = form or next(iter(held), "") or next(iter(self.home.breads[bread].forms), "")
        known_form(self.home, bread, meant)
        return meant


@contextmanager
def opened(
    household: HouseholdOption, now: str | None, *, readonly: bool = False, seeding: bool = True
) -> Iterator[Opened]:
    """Open the freezer of a household. seeding: what `stock.toml` says is put into it first, if nothing ever was."""
    from rotation.household.reading import read_home
    from rotation.stockroom import freezer

    home = read_home(found(household).folder)
    at = moment(now, home.zone, "--now")
    with freezer(home, at, readonly=readonly, moving=seeding and not readonly) as ledger:
        yield Opened(home, ledger, at)


def say(movement: Movement) -> None:
    """Print what a movement did."""
    from rotation.show.stock import moved

    typer.echo(moved(movement))
