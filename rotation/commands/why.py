"""`rotation why`: why something is planned so, what else it would cost, what stands in the way."""

from __future__ import annotations

from typing import Annotated

import typer

from rotation.commands.options import HouseholdOption, JsonOption, Work, found, moment, width


def why(
    item: Annotated[
        list[str] | None, typer.Argument(metavar="ITEM", help="A step, meal, bag or wish: sat-mix, supper tue, bag b.")
    ] = None,
    not_on: Annotated[str | None, typer.Option("--not", metavar="DAY", help="Why not on that day.")] = None,
    work: Annotated[
        Work, typer.Option("--work", help="quick looks at the days near it; usual and thorough at all days as well.")
    ] = Work.QUICK,
    json: JsonOption = False,
    household: HouseholdOption = None,
    now: Annotated[str | None, typer.Option("--now", metavar="WHEN", help="Take it to be this moment.")] = None,
) -> None:
    """Ask why something of the plan is so, and what it would take to have it otherwise. Nothing is written."""
    from rotation import asking
    from rotation.household.reading import read_home
    from rotation.show.json_text import dumps
    from rotation.show.why import besides, lines, title
    from rotation.show.why_json import why_json
    from rotation.solve import limits

    home = read_home(found(household).folder)
    at = moment(now, home.zone, "--now")
    asked = asking.why(home, " ".join(item or ()), not_on, at, None if work == Work.QUICK else limits(work))
    said, stopped = [], False
    if asked.standing.past:
        made = asked.problem.instant(0)
        typer.echo(
            f"As it looked when the plan was made, {made:%a} {made.day} {made:%b}: what is over stays.", err=True
        )
    if not json:
        for line in (title(asked.about), *besides(asked.about, width())):
            typer.echo(line)
    try:
        for part in asked.parts:
            said.append(part)
            for line in [] if json else lines(asked.problem, part, width()):
                typer.echo(line)
    except KeyboardInterrupt:
        stopped = True
        typer.echo("Stopped: what was found so far stands.", err=True)
    if json:
        typer.echo(dumps(why_json(asked.problem, home.settings.name, asked.about, said, stopped)), nl=False)
