"""`rotation rehearse`: is the plan better than the habit? The household's own weeks, lived through by both."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.options import (
    FromOption,
    HouseholdOption,
    JsonOption,
    found,
    moment,
    progress,
    refuse_no_place,
    width,
)
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
    picture: Annotated[Path | None, typer.Option(metavar="FILE.svg", help="Draw hands against slices short.")] = None,
    rows: Annotated[Path | None, typer.Option(metavar="FILE.csv", help="Write all weeks as rows.")] = None,
    json: JsonOption = False,
) -> None:
    """Live through weeks to come, or over, by plan and by rules of thumb, and compare."""
    number = whole(weeks, "--weeks", MOST_WEEKS, "Write --weeks 26.")
    often = whole(times, "--times", MOST_TIMES, "Write --times 3.")
    from rotation.rehearsal.scenarios import SCENARIOS
    from rotation.rehearsal.scenarios import scenario as named

    if scenario == "list":
        if json:
            raise BadInput(Mistake("--json", None, "", "prints a rehearsal, not the list.", "Leave one of them out."))
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
    from rotation.rehearsal.runs import append
    from rotation.show.json_text import dumps
    from rotation.show.rehearsal import drawn, page, work
    from rotation.show.rehearsal import weeks as lasting
    from rotation.show.rehearsal_json import rehearsal_json

    meant = found(household)
    home = week.load(meant.folder)
    which = f"{lasting(number, over=past)}, after {rehearsing.WARM} to warm up"
    typer.echo(f"{meant}: rehearsing {which}; nothing of your household is changed", err=True)
    asked = rehearsing.Asked(moment(start, home.zone), number, kind, often, past)
    came = rehearsing.rehearse(home, asked, progress())
    if json:
        typer.echo(dumps(rehearsal_json(came, home.settings.name, kind)), nl=False)
    else:
        for line in page(came, kind.said, width()):
            typer.echo(line)
    typer.echo(work(came), err=True)
    if picture is not None:
        write_file(picture, drawn(came.report, kind.said).encode())
        typer.echo(f"picture written to {picture}", err=True)
    if rows is not None:
        rows.unlink(missing_ok=True)
        for row in came.report.rows:
            for place in range(often):
                append(rows, (row.name, kind.name, place + 1), row.weeks[place * number : (place + 1) * number])
        typer.echo(f"rows written to {rows}", err=True)
