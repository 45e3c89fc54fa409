"""`rotation guests`: can so many be fed then, what would change, by when is it to be decided."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated

import typer

from rotation.commands.options import HouseholdOption, found, moment
from rotation.errors import BadInput, Mistake

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def guests(
    when: Annotated[str, typer.Argument(metavar="WHEN", help='As "Sat 18:00", or 2027-03-06T18:00.')],
    heads: Annotated[
        int, typer.Argument(metavar="HEADS", min=1, max=500, help="How many, those of the house among them.")
    ],
    slices: Annotated[
        float | None, typer.Option("--slices", min=0.1, max=50, help="For each; else as the household says.")
    ] = None,
    without: Annotated[list[str] | None, typer.Option("--without", metavar="ALLERGEN", help="Not for them.")] = None,
    write: Annotated[bool, typer.Option("--write", help="Write them into the household's calendar of guests.")] = False,
    household: HouseholdOption = None,
    now: Annotated[str | None, typer.Option("--now", metavar="WHEN", help="Take it to be this moment.")] = None,
) -> None:
    """Ask whether guests can be fed; nothing is written without --write."""
    from rotation import guests as use
    from rotation.household.reading import read_home
    from rotation.intake.invited import Asked
    from rotation.show.guests import lines

    home = read_home(found(household).folder)
    at = moment(now, home.zone, "--now")
    each = home.settings.guests.portions_per_head if slices is None else slices
    asked = Asked(_when(when, at) or moment(when, home.zone, "WHEN"), heads, each, tuple(without or ()))
    for line in lines(use.answer(home, asked, at), asked.without):
        typer.echo(line)
    if write:
        typer.echo(f"Written into {use.write(home, asked, at)}. Plan again: rotation plan")
    else:
        typer.echo("Nothing is written. To count on them, say it again with --write.")


def _when(said: str, now: datetime) -> datetime | None:
    """Return the next moment of a weekday and a clock time; None for anything else."""
    day, _, clock = said.strip().lower().partition(" ")
    if day[:3] not in DAYS:
        return None
    try:
        hour, minute = (int(part) for part in clock.split(":"))
        at = now.replace(hour=hour, minute=minute, second=0, microsecond=0)
    except ValueError:
        raise BadInput(Mistake("guests", None, "", f'"{said[:40]}" is no time.', 'Write "Sat 18:00".')) from None
    at += timedelta(days=(DAYS.index(day[:3]) - at.weekday()) % 7)
    return at if at > now else at + timedelta(days=7)
