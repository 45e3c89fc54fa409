"""`rotation eaten`: what the household eats, from its history, offered as its standing habit."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from rotation.commands.opened import NowOption, opened
from rotation.commands.options import HouseholdOption, JsonOption, width


def eaten(
    weeks: Annotated[int, typer.Option("--weeks", min=2, max=12, metavar="N", help="How far to look back.")] = 12,
    write: Annotated[bool, typer.Option("--write", help="Write it into household.toml, after asking.")] = False,
    yes: Annotated[bool, typer.Option("--yes", help="With --write: without asking.")] = False,
    household: HouseholdOption = None,
    json: JsonOption = False,
    now: NowOption = None,
) -> None:
    """Say what is eaten by weekday and bread, with its uncertainty; offer it as the standing habit."""
    from rotation.eating import eating
    from rotation.show import eaten as show
    from rotation.show.json_text import dumps
    from rotation.taking_over import take_over

    if yes and not write:
        raise typer.BadParameter("goes with --write", param_hint="--yes")
    with opened(household, now, readonly=True) as house:
        found = eating(house.home, house.ledger, house.now, weeks)
    if json:
        typer.echo(dumps(show.eaten_json(found, house.home)), nl=False)
    else:
        for line in show.lines(found, house.home, width()):
            typer.echo(line)
    if not write:
        return
    if not yes and not (sys.stdin.isatty() and typer.confirm("Write these settings into household.toml?")):
        typer.echo("Nothing was written. Without a question: --write --yes", err=True)
        return
    file = take_over(house.home, found)
    typer.echo(f"Written to {file}.", err=True)
