"""`rotation buy`: what to buy for the kept plan, and by when."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.opened import NowOption, opened
from rotation.commands.options import HouseholdOption, JsonOption, refuse_no_place, width
from rotation.errors import BadInput, Mistake


def buy(
    household: HouseholdOption = None,
    json: JsonOption = False,
    out: Annotated[Path | None, typer.Option(metavar="FILE.ics", help="Write the list as calendar tasks.")] = None,
    now: NowOption = None,
) -> None:
    """Say what to buy for the bakes of the kept plan, less what is there, and which loaves; each by when."""
    from rotation.buying import shopping
    from rotation.intended import document
    from rotation.ledger import Happenings
    from rotation.show import buying as show
    from rotation.show.json_text import dumps

    if out is not None:
        refuse_no_place(out)
    with opened(household, now, readonly=True) as house:
        plan, happened = document(house.ledger.kept_plan()), Happenings(house.ledger).standing()
    if plan is None:
        raise BadInput(Mistake("buy", None, "", "no plan is kept.", "Make one: rotation plan"))
    found = shopping(house.home, plan, happened, house.now)
    if json:
        typer.echo(dumps(show.buy_json(found, house.home, house.now)), nl=False)
    else:
        for line in show.lines(found, house.home, width()):
            typer.echo(line)
    if out is not None:
        from calendars.writing import to_ics, write_file
        from rotation.entries import PRODUCT

        made = show.tasks(found, house.home, house.now)
        write_file(out, to_ics(made, name="Shopping", stamp=house.now, product_id=PRODUCT))
        typer.echo(f"{len(made)} tasks written to {out}", err=True)
