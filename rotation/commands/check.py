"""`rotation check`: read everything, say what is understood, and what is odd."""

from __future__ import annotations

import typer

from rotation.commands.options import DaysOption, FromOption, HouseholdOption, JsonOption, clock, found, moment, width


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
    begin, shown = moment(start, home.zone), days or home.settings.plan.days
    week_ahead = week.understand(home, begin, shown, now=clock())
    problem, notes, odd = week_ahead.problem, week_ahead.notes, week_ahead.oddities
    if json:
        typer.echo(dumps(understood.understood_json(problem, home.settings.name, notes, odd)), nl=False)
        return
    typer.echo(str(meant))
    for line in fit_all(understood.lines(problem, notes, odd), 27, width()):
        typer.echo(line)
