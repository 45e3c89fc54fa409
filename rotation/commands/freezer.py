"""`rotation freezer`: what is in it, and what went in and out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperCommand

from rotation.commands import freezer_log, outage
from rotation.commands.opened import AtOption, IdOption, NowOption, WhyOption, house, note, opened, say
from rotation.commands.options import HouseholdOption, JsonOption, help_unless_more, moment, width
from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.by_hand import Told

app = typer.Typer(
    help="The freezer: what is in it, what went in and out, and what to do after a power cut.",
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,
)


class Counting(TyperCommand):
    """A command with a count among its words: one below zero is told as what it is, and not taken for an option."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Return what is left of the words once they are read. Raises BadInput."""
        below = next((word for word in args if re.fullmatch(r"-\d{1,20}", word)), None)
        if below is not None:
            raise BadInput(Mistake("freezer", None, "units", f"{below} is not a count.", "Write a whole number, as 2."))
        return super().parse_args(ctx, args)


What = Annotated[str, typer.Argument(metavar="BAG|BREAD", help="A bag's letter, or a bread: then its oldest bags.")]
FormOption = Annotated[str, typer.Option("--form", help="part-baked, whole or sliced; if a bread is in several.")]
app.command()(freezer_log.history)
app.command("export")(freezer_log.export)
app.command("import")(freezer_log.import_)
app.command("power-cut")(outage.power_cut)
app.command("open-lid")(outage.open_lid)


@app.callback()
def _options(context: typer.Context) -> None:
    help_unless_more(context)


@app.command("list")
def list_(household: HouseholdOption = None, json: JsonOption = False, now: NowOption = None) -> None:
    """Say what is in the freezer, oldest first, and what the kept plan means it for."""
    from rotation.show import stock
    from rotation.show.json_text import dumps
    from rotation.stockroom import held, planned

    with opened(household, now, readonly=True) as freezer:
        lots, zone = held(freezer.home, freezer.ledger, freezer.now), freezer.home.zone
        meant = planned(freezer.ledger, freezer.now)
        if json:
            document = stock.stock_json(lots, freezer.home.settings.name, freezer.now, zone, meant)
            typer.echo(dumps(document), nl=False)
        else:
            for line in stock.lines(lots, zone, meant, freezer.now, width()):
                typer.echo(line)


@app.command(cls=Counting)
def add(
    bread: Annotated[str, typer.Argument(help="The bread: its name, or that of its file.")],
    units: Annotated[int, typer.Argument(help="Pieces; slices if it is sliced.")],
    form: FormOption = "",
    bagged: Annotated[str | None, typer.Option(metavar="WHEN", help="When it was bagged; else now.")] = None,
    letter: Annotated[str, typer.Option(help="On the bag; else the lowest free one.")] = "",
    because: WhyOption = "",
    id_: IdOption = "",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Put a bag in."""
    from rotation import by_hand

    home, at = house(household, now)
    closed = None if bagged is None else moment(bagged, home.zone, "--bagged")
    movement = by_hand.add(home, bread, units, note(home, at, None, because, id_), form, closed, letter)
    say(movement)
    typer.echo(f"Write on the bag: {movement.shares[0].lot.letter}")


@app.command(cls=Counting)
def take(
    what: What,
    units: Annotated[int, typer.Argument(help="Pieces; slices if it is sliced.")] = 1,
    form: FormOption = "",
    at: AtOption = None,
    because: WhyOption = "",
    id_: IdOption = "",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Take bread out to eat it: of a bread, the oldest first; of a bag that is not the oldest, say --because."""
    from rotation import by_hand

    home, moment_ = house(household, now)
    _told(by_hand.take(home, what, units, note(home, moment_, at, because, id_), form))


@app.command(cls=Counting)
def discard(
    bag: Annotated[str, typer.Argument(help="The bag's letter.")],
    units: Annotated[int | None, typer.Argument(help="Pieces; else all that is left.")] = None,
    at: AtOption = None,
    because: WhyOption = "",
    id_: IdOption = "",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Throw bread of a bag away, or use it for crumbs; say --because."""
    from rotation import by_hand

    home, moment_ = house(household, now)
    say(by_hand.discard(home, bag, units, note(home, moment_, at, because, id_)))


@app.command(cls=Counting)
def count(
    what: What,
    units: Annotated[int, typer.Argument(help="What is really there.")],
    form: FormOption = "",
    id_: IdOption = "",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Say how much of a bag or a bread is really there."""
    from rotation import by_hand

    home, at = house(household, now)
    _told(by_hand.count(home, what, units, note(home, at, None, "", id_), form))


@app.command()
def undo(
    movement: Annotated[str, typer.Argument(help="Its id in the history; else the last that stands.")] = "",
    id_: IdOption = "",
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Take a movement back; without an id what was done last, all bags of it."""
    from rotation import by_hand

    home, at = house(household, now)
    told = note(home, at, None, "", id_)
    for one in (by_hand.undo(home, movement, told),) if movement else by_hand.undo_last(home, told):
        say(one)


def _told(told: Told) -> None:
    for question in told.asked:
        typer.echo(question)
    say(told.movement)
