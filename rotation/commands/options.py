"""What several commands take: the household, the moment, JSON. The only place that looks at the clock."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from datetime import UTC, date, datetime
from enum import StrEnum
from pathlib import Path
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer

from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.household.finding import Found

HouseholdOption = Annotated[
    Path | None,
    typer.Option("--household", metavar="DIR", help="The household's folder; else ROTATION_HOUSEHOLD, else here."),
]
FromOption = Annotated[
    str | None,
    typer.Option("--from", metavar="WHEN", help="A date, or a moment like 2027-03-01T17:30; else now."),
]
MOST_DAYS = 84


def number_of_days(said: str) -> int:
    """Return the days a person wrote. Raises BadInput for anything but a whole number that can be planned."""
    if said.isascii() and said.isdigit() and len(said) < 4 and 1 <= int(said) <= MOST_DAYS:
        return int(said)
    wrong = f'"{said[:60]}" is not a number of days from 1 to {MOST_DAYS}.'
    raise BadInput(Mistake("--days", None, "", wrong, "Write --days 14."))


DaysOption = Annotated[
    int | None,
    typer.Option("--days", metavar="N", parser=number_of_days, help=f"1 to {MOST_DAYS}; 14 unless the household says."),
]


class Work(StrEnum):
    """How much the solver may look for a better plan."""

    QUICK = "quick"
    USUAL = "usual"
    THOROUGH = "thorough"


WorkOption = Annotated[
    Work,
    typer.Option("--work", help="How long to look for a better plan: a quick look, the usual, or up to eight times."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON.")]


def clock() -> datetime:
    """Return the time it is, to the minute."""
    return datetime.now(UTC).replace(second=0, microsecond=0)


def found(named: Path | None) -> Found:
    """Return which household is meant, and why."""
    from rotation.household.finding import find

    return find(named, os.environ, Path.cwd())


def moment(
    said: str | None, zone: ZoneInfo, setting: str = "--from", example: str = "2027-03-01, or 2027-03-01T17:30"
) -> datetime:
    """Return the moment a person wrote: a date is its local midnight, a time without offset is the household's.

    None is now. Raises BadInput for anything else. example: what to write instead.
    """
    if said is None:
        return clock().astimezone(zone)
    try:
        if len(said) == 10:
            day = date.fromisoformat(said)
            at = datetime(day.year, day.month, day.day, tzinfo=zone)
        else:
            at = datetime.fromisoformat(said)
            at = at if at.tzinfo is not None else at.replace(tzinfo=zone)
        if not 2000 <= at.year < 2200:
            raise ValueError
        return at.astimezone(UTC).replace(second=0, microsecond=0).astimezone(zone)
    except (ValueError, OverflowError):
        wrong = f'"{said[:60]}" is not a moment.'
        raise BadInput(Mistake(setting, None, "", wrong, f"Write {example}.")) from None


def width() -> int:
    """Return the characters of a line on the screen, never more than reads well; where there is none, as many as do."""
    from rotation.show.fit import WIDTH

    return min(WIDTH, get_terminal_size().columns) if sys.stdout.isatty() else WIDTH


def progress() -> Callable[[str], None]:
    """Return what tells on stderr how the solving goes on, and says nothing twice running."""
    said = ""

    def tell(line: str) -> None:
        nonlocal said
        if line != said:
            said = line
            typer.echo(line, err=True)

    return tell


def help_unless_more(context: typer.Context) -> None:
    """Print help where no command follows."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def refuse_no_place(out: Path, setting: str = "--out", example: str = "bread.ics") -> None:
    """Raise BadInput, before anything is solved, where no file can be written."""
    if out.exists() and not out.is_file():
        wrong = "is a folder." if out.is_dir() else "is not a plain file."
    else:
        wrong = "" if out.parent.is_dir() else "is in no folder that is there."
    if wrong:
        raise BadInput(Mistake(setting, None, str(out), wrong, f"Name a file in a folder that is there, as {example}."))
