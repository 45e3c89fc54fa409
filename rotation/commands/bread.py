"""`rotation bread`: what to weigh and when, for one bake of one bread."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.options import HouseholdOption, JsonOption, clock, found, moment, width
from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.bench import Amount

MASS = "MASS"
AtOption = Annotated[
    str | None, typer.Option("--at", metavar="WHEN", help="When the mix begins; else as soon as can be.")
]


def bread(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The bread: its name, or that of its file.")],
    pieces: Annotated[str | None, typer.Option(metavar="N", help="How many; else the smallest bake there is.")] = None,
    flour: Annotated[str | None, typer.Option(metavar=MASS, help='All flour, as "1 kg" or "2 lb", instead.')] = None,
    dough: Annotated[str | None, typer.Option(metavar=MASS, help="All dough, instead.")] = None,
    baked: Annotated[str | None, typer.Option(metavar=MASS, help="All bread when baked, instead.")] = None,
    tin: Annotated[str | None, typer.Option(metavar="LITRES", help="One tin to be filled, instead.")] = None,
    process: Annotated[str | None, typer.Option(metavar="ID", help="The process; else the bread's first.")] = None,
    at: AtOption = None,
    household: HouseholdOption = None,
    json: JsonOption = False,
) -> None:
    """Print bench notes of one bake: scaled formula, clock times, temperatures, ways to the table, keeping."""
    from rotation.bench import bench
    from rotation.household.reading import read_home
    from rotation.show import bench_notes
    from rotation.show.json_text import dumps
    from rotation.stockroom import STATE

    meant = found(household)
    home = read_home(meant.folder)
    amount = _amount({"pieces": pieces, "flour": flour, "dough": dough, "baked": baked, "tin": tin})
    begins = None if at is None else moment(at, home.zone, "--at")
    notes = bench(home, name, process, amount, begins, clock().astimezone(home.zone), home.folder / STATE)
    if json:
        typer.echo(dumps(bench_notes.bench_json(notes)), nl=False)
        return
    for line in bench_notes.lines(notes, home.settings.shown.display, width()):
        typer.echo(line)


def _amount(said: dict[str, str | None]) -> Amount | None:
    """Return how much was asked for. Raises BadInput for two ways at once, or for what is no amount."""
    from rotation.bench import Amount
    from rotation.bench.amounts import MEASURES
    from rotation.units import grams, litres

    given = {measure: text for measure, text in said.items() if text is not None}
    if len(given) > 1:
        wrong = f"{' and '.join(f'--{measure}' for measure in given)} say how much, each in its way."
        raise BadInput(Mistake("bread", None, "", wrong, "Give one of them."))
    for measure in MEASURES:
        if measure in given:
            text = given[measure]
            try:
                value = float(text) if measure == "pieces" else (litres if measure == "tin" else grams)(text)
            except ValueError as error:
                wrong, _, instead = str(error).partition("; ")
                if measure == "pieces":
                    wrong, instead = "is not a number of pieces", "write --pieces 2"
                raise BadInput(
                    Mistake(f"--{measure}", None, "", f'"{text[:60]}" {wrong}.', f"{instead[:1].upper()}{instead[1:]}.")
                ) from None
            return Amount(measure, value)
    return None
