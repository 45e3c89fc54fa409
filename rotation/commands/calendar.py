"""`rotation calendar`: list what is understood of one calendar."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from rotation.commands.options import DaysOption, FromOption, HouseholdOption, JsonOption, clock, found, moment, width
from rotation.errors import BadInput


def calendar(
    source: Annotated[
        str, typer.Argument(metavar="SOURCE", help="A file, a folder, an address, or a calendar's name.")
    ],
    household: HouseholdOption = None,
    start: FromOption = None,
    days: DaysOption = None,
    kind: Annotated[str | None, typer.Option(metavar="KIND", help="What SOURCE is, where it does not show.")] = None,
    json: JsonOption = False,
) -> None:
    """List what is understood of one calendar: events, whose time they take, meals, and what is odd."""
    from calendars.zones import here, instant
    from rotation import one_calendar, week
    from rotation.show.calendar import document, lines
    from rotation.show.fit import fit_all
    from rotation.show.json_text import dumps

    try:
        meant = found(household)
    except BadInput:  # nothing names a household: then without its rules
        meant = None
    home = week.load(meant.folder) if meant else None
    zone = home.zone if home else ZoneInfo(here())
    asked = one_calendar.calendar_of(home, source, kind)
    first = moment(start, zone).astimezone(zone).date()
    edges = (datetime.combine(first + timedelta(days=more), time()) for more in (0, days or 14))
    begin, end = (instant(edge, zone) for edge in edges)
    read = one_calendar.read(home, asked, (begin, end), zone, clock())
    if json:
        typer.echo(dumps(document(read)), nl=False)
        return
    if meant:
        typer.echo(str(meant))
    for line in fit_all(lines(read), 25, width()):
        typer.echo(line)
