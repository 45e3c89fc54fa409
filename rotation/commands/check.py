"""`rotation check`: read everything, say what is understood, and what is odd."""

from __future__ import annotations

import typer

from rotation.commands.options import DaysOption, FromOption, HouseholdOption, JsonOption, found, moment, width


def check(
    household: HouseholdOption = None,
    start: FromOption = None,
    days: DaysOption = None,
    json: JsonOption = False,
) -> None:
    """Say what is understood, and what is odd."""
    from rotation import week
    from rotation.show import understood
    from rotation.show.fit import fit_all
    from rotation.show.json_text import dumps

    meant = found(household)
    home = week.load(meant.folder)
    week_ahead = week.understand(home, moment(start, home.zone), days or home.settings.plan.days)
    problem, notes = week_ahead.problem, week_ahead.notes
    if json:
        typer.echo(dumps(understood.understood_json(problem, home.settings.name, notes)), nl=False)
        return
    typer.echo(str(meant))
    for line in fit_all(understood.lines(problem, notes), 27, width()):
        typer.echo(line)
