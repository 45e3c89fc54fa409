"""`rotation freezer`: what is in it, and what went in and out."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.options import HouseholdOption, JsonOption, found, help_unless_more, moment
from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.household.reading import Home
    from rotation.ledger import Ledger, Movement, Note

app = typer.Typer(
    help="The freezer: list, add, take, discard, count, undo.",
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,
)

What = Annotated[str, typer.Argument(metavar="BAG|BREAD", help="A bag's letter, or a bread: then its oldest bags.")]
FormOption = Annotated[str, typer.Option("--form", help="part-baked, whole or sliced; if a bread is in several.")]
AtOption = Annotated[str | None, typer.Option("--at", metavar="WHEN", help="When it happened; else now.")]
NowOption = Annotated[str | None, typer.Option("--now", metavar="WHEN", help="Take it to be this moment.")]
WhyOption = Annotated[str, typer.Option("--because", metavar="TEXT", help="Why, in a few words.")]


@dataclass(frozen=True)
class _Open:
    """An open ledger, its household, and the moment it is."""

    home: Home
    ledger: Ledger
    now: datetime

    def note(self, at: str | None, because: str = "") -> Note:
        from rotation.ledger import Note

        when = None if at is None else moment(at, self.home.zone, "--at")
        return Note(now=self.now, at=when, reason=because)

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
def _open(household: HouseholdOption, now: str | None, *, readonly: bool = False) -> Iterator[_Open]:
    from rotation.household.reading import read_home
    from rotation.stockroom import freezer

    home = read_home(found(household).folder)
    at = moment(now, home.zone, "--now")
    with freezer(home, at, readonly=readonly, moving=not readonly) as ledger:
        yield _Open(home, ledger, at)


def _say(movement: Movement) -> None:
    from rotation.show.stock import moved

    typer.echo(moved(movement))


@app.callback()
def _options(context: typer.Context) -> None:
    help_unless_more(context)


@app.command("list")
def list_(household: HouseholdOption = None, json: JsonOption = False, now: NowOption = None) -> None:
    """Say what is in the freezer, oldest first."""
    from rotation.show import stock
    from rotation.show.json_text import dumps
    from rotation.stockroom import held

    with _open(household, now, readonly=True) as opened:
        lots, zone = held(opened.home, opened.ledger, opened.now), opened.home.zone
        if json:
            document = stock.stock_json(lots, opened.home.settings.name, opened.now, zone)
            typer.echo(dumps(document), nl=False)
        else:
            for line in stock.lines(lots, zone):
                typer.echo(line)


@app.command()
def add(
    bread: Annotated[str, typer.Argument(help="The bread's id: the name of its file.")],
    units: Annotated[int, typer.Argument(help="Pieces; slices if it is sliced.")],
    form: FormOption = "",
    bagged: Annotated[str | None, typer.Option(metavar="WHEN", help="When it was bagged; else now.")] = None,
    letter: Annotated[str, typer.Option(help="On the bag; else the lowest free one.")] = "",
    because: WhyOption = "",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Put a bag in."""
    from rotation.stockroom import known_form, new_bag

    with _open(household, now) as opened:
        at = opened.now if bagged is None else moment(bagged, opened.home.zone, "--bagged")
        forms = list(opened.home.breads[bread].forms) if bread in opened.home.breads else []
        if not form and len(forms) > 1:
            raise BadInput(Mistake("--form", None, "", f"{bread} is kept {' or '.join(forms)}.", "Say which."))
        meant = form or next(iter(forms), "")
        known_form(opened.home, bread, meant)
        movement = opened.ledger.add(new_bag(opened.home, bread, meant, units, at, letter), opened.note(None, because))
        _say(movement)
        typer.echo(f"Write on the bag: {movement.shares[0].lot.letter}")


@app.command()
def take(
    what: What,
    units: Annotated[int, typer.Argument(help="Pieces; slices if it is sliced.")] = 1,
    form: FormOption = "",
    at: AtOption = None,
    because: WhyOption = "",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Take bread out to eat it: of a bread, the oldest first."""
    with _open(household, now) as opened:
        if what in opened.home.breads:
            form = opened.form(what, form)
            _say(opened.ledger.take(what, form, units, opened.note(at, because)))
        else:
            _say(opened.ledger.take_from(what, units, opened.note(at, because)))


@app.command()
def discard(
    bag: Annotated[str, typer.Argument(help="The bag's letter.")],
    units: Annotated[int | None, typer.Argument(help="Pieces; else all that is left.")] = None,
    at: AtOption = None,
    because: WhyOption = "thrown away",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Throw bread of a bag away, or use it for crumbs."""
    with _open(household, now) as opened:
        _say(opened.ledger.discard(bag, units, opened.note(at, because)))


@app.command()
def count(
    what: What,
    units: Annotated[int, typer.Argument(help="What is really there.")],
    form: FormOption = "",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Say how much of a bag or a bread is really there."""
    with _open(household, now) as opened:
        if what in opened.home.breads:
            form = opened.form(what, form)
            _say(opened.ledger.count(what, form, units, opened.note(None)))
        else:
            _say(opened.ledger.count_lot(what, units, opened.note(None)))


@app.command()
def undo(household: HouseholdOption = None, now: NowOption = None) -> None:
    """Take the last movement back."""
    with _open(household, now) as opened:
        after_opening = opened.ledger.history()[0 if opened.ledger.opening() is None else 1 :]
        known = [one for one in after_opening if not one.undone and not one.undoes]
        if not known:
            raise BadInput(Mistake("freezer", None, "", "there is nothing to take back.", "See: rotation freezer list"))
        _say(opened.ledger.undo(known[-1].id, opened.note(None)))
