"""`rotation sheet`: the week of the kept plan on one page, for the screen, the phone and the fridge door."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.opened import NowOption
from rotation.commands.options import MOST_DAYS, HouseholdOption, found, moment, number_of_days, refuse_no_place

SheetDays = Annotated[
    int | None,
    typer.Option("--days", metavar="N", parser=number_of_days, help=f"1 to {MOST_DAYS}; 7 unless the household says."),
]


def sheet(
    household: HouseholdOption = None,
    days: SheetDays = None,
    out: Annotated[Path | None, typer.Option(metavar="FILE.html", help="Write it there; else it is printed.")] = None,
    pdf: Annotated[Path | None, typer.Option(metavar="FILE.pdf", help="Write it as PDF, by Chromium.")] = None,
    now: NowOption = None,
) -> None:
    """Lay the week of the kept plan out on one page: what to do, a picture of it, the freezer, what to buy."""
    from calendars.writing import write_file
    from rotation.household.reading import read_home
    from rotation.on_paper import week_sheet
    from rotation.paper import chromium
    from rotation.paper.sheet import page, print_sheet

    for path, setting, example in ((out, "--out", "week.html"), (pdf, "--pdf", "week.pdf")):
        if path is not None:
            refuse_no_place(path, setting, example)
    program = None if pdf is None else chromium.needed(os.environ)
    home = read_home(found(household).folder)
    told = week_sheet(home, moment(now, home.zone, "--now"), days)
    as_set = home.zone, home.settings.paper.size, home.settings.shown.display
    if told.old:
        typer.echo(told.old, err=True)
    if out is not None:
        write_file(out, page(told, *as_set).encode())
        typer.echo(f"sheet written to {out}", err=True)
    if pdf is not None and program is not None:
        print_sheet(program, told, *as_set, pdf)
        typer.echo(f"sheet written to {pdf}", err=True)
    if out is None and pdf is None:
        typer.echo(page(told, *as_set), nl=False)
