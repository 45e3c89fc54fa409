"""`rotation done`, `rotation skip`: what happened to the steps of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.opened import NowOption, house
from rotation.commands.options import HouseholdOption, moment
from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.household.reading import Home
    from rotation.recording import Noted

Steps = Annotated[
    list[str], typer.Argument(metavar="STEP...", help="Names as the plan prints them, in brackets: sat-mix.")
]


def done(
    steps: Annotated[
        list[str],
        typer.Argument(metavar="STEP...|all|starter", help="Names as the plan prints them, in brackets: sat-mix."),
    ],
    at: Annotated[str | None, typer.Option("--at", metavar="WHEN", help="When it began: 15:20; else just now.")] = None,
    count: Annotated[
        int | None, typer.Option("--count", metavar="N", help="Loaves out of the oven, bagged, or taken out.")
    ] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Take back what was said of it.")] = False,
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Say what is done; "all": all was as planned; "starter": it was fed beside any bake."""
    from rotation import doing
    from rotation.problem import STARTER

    home, instant = house(household, now)
    if undo:
        if at is not None or count is not None:
            raise BadInput(Mistake("--undo", None, "", "takes neither --at nor --count.", "Leave them out."))
        for step in steps:
            if step == STARTER:
                typer.echo(f"Taken back: starter fed, {_when(doing.starter_not_fed(home, instant), home)}.")
            else:
                typer.echo(_taken_back(doing.undo(home, step, instant), home))
        return
    if steps == ["all"]:
        if at is not None or count is not None:
            raise BadInput(
                Mistake("done", None, "", "all is as planned: no --at, no --count.", "Name a step for that.")
            )
        noted = doing.as_planned(home, instant)
        if not noted:
            typer.echo("Nothing more of the plan was to be done by now.")
        _say(noted, home)
        return
    when = None if at is None else _at(at, instant, home)
    if STARTER in steps:
        if count is not None or len(steps) > 1:
            wrong = "the starter counts nothing." if count is not None else "starter is said alone."
            raise BadInput(Mistake("done", None, "", wrong, "Write: rotation done starter"))
        typer.echo(f"Starter fed, {_when(doing.starter_fed(home, instant, when), home)}.")
        return
    _say([doing.done(home, step, instant, when, count) for step in steps], home)


def skip(steps: Steps, household: HouseholdOption = None, now: NowOption = None) -> None:
    """Say what will not be done."""
    from rotation import doing
    from rotation.show.doing import skipped

    home, instant = house(household, now)
    for step in steps:
        for line in skipped(doing.skip(home, step, instant), home.zone):
            typer.echo(line)


def _when(at: datetime, home: Home) -> str:
    local = at.astimezone(home.zone)
    return f"{local:%a} {local.day} {local:%b} {local.hour}:{local:%M}"


def _at(said: str, now: datetime, home: Home) -> datetime:
    """Return a moment: of today where only a clock time is said, of yesterday where today's is still to come."""
    from datetime import time, timedelta

    try:
        clock = time.fromisoformat(said if len(said) > 4 else f"0{said}")
    except ValueError:
        return moment(said, home.zone, "--at", "15:20, or 2027-03-01T15:20")
    today = now.astimezone(home.zone).replace(hour=clock.hour, minute=clock.minute, second=0, microsecond=0)
    return today if today <= now + timedelta(minutes=5) else today - timedelta(days=1)


def _say(noted: Sequence[Noted], home: Home) -> None:
    from rotation.show.doing import done as lines

    for one in noted:
        for line in lines(one, home.zone):
            typer.echo(line)
    if any(not one.known for one in noted):
        typer.echo("Plan again when it went otherwise than planned: rotation plan")


def _taken_back(noted: Noted, home: Home) -> str:
    from rotation.show.doing import taken_back

    return taken_back(noted, home.zone)
