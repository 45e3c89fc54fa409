"""`rotation later`: "not yet". What can be done with slow dough, and what each would cost."""

from __future__ import annotations

from typing import Annotated

import typer

from rotation.commands.options import HouseholdOption, found, moment
from rotation.errors import BadInput, Mistake


def later(
    step: Annotated[str, typer.Argument(metavar="STEP", help="The step the dough is not ready for: sat-shape.")],
    take: Annotated[int | None, typer.Option("--take", metavar="N", help="Do this one of what was offered.")] = None,
    household: HouseholdOption = None,
    now: Annotated[str | None, typer.Option("--now", metavar="WHEN", help="Take it to be this moment.")] = None,
) -> None:
    """Say "not yet": what can be done, each planned and priced."""
    from rotation.household.reading import read_home
    from rotation.later import options
    from rotation.later import take as choose
    from rotation.show.later import lines

    home = read_home(found(household).folder)
    at = moment(now, home.zone, "--now")
    target, offered = options(home, step, at)
    if take is None:
        for line in lines(target, offered, at):
            typer.echo(line)
        return
    if not 1 <= take <= len(offered):
        raise BadInput(Mistake("--take", None, "", f"{take} was not offered.", f"Write 1 to {len(offered)}."))
    choose(home, step, offered[take - 1].rescue, at)
    typer.echo(f"Noted: {offered[take - 1].rescue.words}. Plan again: rotation plan")
    typer.echo(f"Was that wrong? rotation done {target.name} --undo")
