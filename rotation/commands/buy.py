"""`rotation buy`: what to buy for the kept plan, and by when; what was bought, and what is really there."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.opened import IdOption, NowOption, house
from rotation.commands.options import HouseholdOption, JsonOption, refuse_no_place, width
from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.household.reading import Home


def buy(
    amounts: Annotated[
        list[str] | None,
        typer.Argument(metavar="[INGREDIENT=MASS]...", help='With --bought, --there: "strong wheat flour=1.5 kg".'),
    ] = None,
    bought: Annotated[bool, typer.Option("--bought", help="These were bought; none named: all on the list.")] = False,
    there: Annotated[bool, typer.Option("--there", help="So much of these is there.")] = False,
    undo: Annotated[bool, typer.Option("--undo", help="Take back what was last said so.")] = False,
    id_: IdOption = "",
    household: HouseholdOption = None,
    json: JsonOption = False,
    out: Annotated[Path | None, typer.Option(metavar="FILE.ics", help="Write the list as calendar tasks.")] = None,
    now: NowOption = None,
) -> None:
    """Say what to buy for the bakes of the kept plan, less what is there, and which loaves; each by when."""
    from rotation.buying import to_buy
    from rotation.show import buying as show
    from rotation.show.json_text import dumps

    if out is not None:
        refuse_no_place(out)
    if (bought, there, undo).count(True) > 1 or (amounts and not (bought or there)) or (there and not amounts):
        wrong = "ingredients go with either --bought or --there." if amounts or there else "only one can be said."
        raise BadInput(Mistake("buy", None, "", wrong, 'Write: rotation buy --bought "strong wheat flour=1.5 kg"'))
    home, at = house(household, now)
    if bought or there or undo:
        for line in _said(home, at, amounts, id_, bought=bought, undo=undo):
            typer.echo(line, err=json)
    found = to_buy(home, at)
    if json:
        typer.echo(dumps(show.buy_json(found, home, at)), nl=False)
    else:
        for line in show.lines(found, home, width()):
            typer.echo(line)
    if out is not None:
        from calendars.writing import to_ics, write_file
        from rotation.entries import PRODUCT

        made = show.tasks(found, home, at)
        write_file(out, to_ics(made, name="Shopping", stamp=at, product_id=PRODUCT))
        typer.echo(f"{len(made)} tasks written to {out}", err=True)


def _said(home: Home, now: datetime, amounts: list[str] | None, id_: str, *, bought: bool, undo: bool) -> list[str]:
    """Record what was said, and return it in words."""
    from rotation import buying
    from rotation.show import buying as show

    if undo:
        back = {one.name: one.grams for one in buying.taken_back(home, now, id_)}
        return [show.recorded("Taken back", back, home)]
    grams = _grams(amounts) if amounts else None
    if bought:
        return [show.recorded("Bought", buying.bought(home, now, grams, id_), home)]
    return [show.recorded("There", buying.counted(home, now, grams or {}, id_), home)]


def _grams(amounts: list[str]) -> dict[str, float]:
    """Return the grams of each ingredient, of words like "salt=500 g"."""
    from rotation.units import grams

    found = {}
    for said in amounts:
        name, _, mass = said.rpartition("=")
        try:
            found[name.strip()] = grams(mass)
        except ValueError as error:
            wrong = f'"{mass[:40]}" {error}.'
            raise BadInput(Mistake("buy", None, "", wrong, 'Write: "strong wheat flour=1.5 kg"')) from None
    return found
