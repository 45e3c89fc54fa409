"""`rotation rehearse`: is the plan better than the habit? The household's own weeks, lived through by both."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.options import FromOption, HouseholdOption, found, moment, progress, refuse_no_place
from rotation.errors import BadInput, Mistake

MOST_WEEKS, MOST_TIMES = 52, 30


def whole(said: str, setting: str, most: int, example: str) -> int:
    """Return the whole number from 1 to `most` that a person wrote. Raises BadInput for anything else."""
    if said.isascii() and said.isdigit() and len(said) < 4 and 1 <= int(said) <= most:
        return int(said)
    raise BadInput(Mistake(setting, None, "", f'"{said[:60]}" is not a whole number from 1 to {most}.', example))


def rehearse(
    household: HouseholdOption = None,
    start: FromOption = None,
    weeks: Annotated[str, typer.Option(metavar="N", help=f"1 to {MOST_WEEKS}, after six to warm up.")] = "26",
    past: Annotated[bool, typer.Option("--past", help="The weeks before, as they were, not those to come.")] = False,
    scenario: Annotated[str, typer.Option(metavar="NAME", help="The kind of weeks; “list” names them.")] = "usual",
    times: Annotated[str, typer.Option(metavar="N", help="How often, with other chance each time.")] = "1",
    picture: Annotated[Path | None, typer.Option(metavar="FILE.svg", help="Draw hands against slices unmet.")] = None,
    rows: Annotated[Path | None, typer.Option(metavar="FILE.csv", help="Write all weeks as rows.")] = None,
) -> None:
    """Live through weeks to come, or over, by plan and by rules of thumb, and compare."""
    number = whole(weeks, "--weeks", MOST_WEEKS, "Write --weeks 26.")
    often = whole(times, "--times", MOST_TIMES, "Write --times 3.")
    from rotation.rehearsal.scenarios import SCENARIOS
    from rotation.rehearsal.scenarios import scenario as named

    if scenario == "list":
        for each in SCENARIOS:
            typer.echo(f"{each.name:<14} {each.said}")
        return
    try:
        kind = named(scenario)
    except KeyError:
        known = ", ".join(each.name for each in SCENARIOS)
        wrong = f'There is no scenario "{scenario[:60]}".'
        raise BadInput(Mistake("--scenario", None, "", wrong, f"One of: {known}.")) from None
    for out in (picture, rows):
        if out is not None:
            refuse_no_place(out)
    from calendars.writing import write_file
    from rotation import rehearsing, week
    from rotation.rehearsal.picture import Point
    from rotation.rehearsal.picture import picture as drawn
    from rotation.rehearsal.runs import append
    from rotation.show.rehearsal import page, work

    meant = found(household)
    home = week.load(meant.folder)
    which = f"the last {number} weeks" if past else f"{number} weeks"
    typer.echo(f"{meant}: rehearsing {which}; nothing of your household is changed", err=True)
    asked = rehearsing.Asked(moment(start, home.zone), number, kind, often, past)
    came = rehearsing.rehearse(home, asked, progress())
    for line in page(came, kind.said, number, often, over=past):
        typer.echo(line)
    typer.echo(work(came), err=True)
    if picture is not None:
        points = [Point(row.name, row.figures.hands, row.figures.unmet) for row in came.report.rows]
        title = f"Hands and slices unmet: {kind.name}"
        write_file(picture, drawn(points, title, "hands, hours a week", "slices unmet, of 100").encode())
        typer.echo(f"picture written to {picture}", err=True)
    if rows is not None:
        rows.unlink(missing_ok=True)
        for row in came.report.rows:
            for place in range(often):
                append(rows, (row.name, kind.name, place + 1), row.weeks[place * number : (place + 1) * number])
        typer.echo(f"rows written to {rows}", err=True)
