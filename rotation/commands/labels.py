"""`rotation labels`: labels for the bags in the freezer, in exact millimetres."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.opened import NowOption
from rotation.commands.options import HouseholdOption, found, moment, refuse_no_place
from rotation.errors import BadInput, Mistake


def labels(
    lots: Annotated[list[str] | None, typer.Argument(metavar="[BAG]...", help="Letters or ids; all, if none.")] = None,
    planned: Annotated[bool, typer.Option("--planned", help="Of the bags the kept plan still fills.")] = False,
    skip: Annotated[int, typer.Option(metavar="N", min=0, help="Places of the first sheet used up already.")] = 0,
    out: Annotated[Path | None, typer.Option(metavar="FILE.html", help="Write it there; else it is printed.")] = None,
    pdf: Annotated[Path | None, typer.Option(metavar="FILE.pdf", help="Write it as PDF, by Chromium.")] = None,
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Print labels for the bags: what it is, dates, ways to the table, allergens."""
    from calendars.writing import write_file
    from rotation.household.reading import read_home
    from rotation.on_paper import bag_labels
    from rotation.paper import chromium
    from rotation.paper.labels import page
    from rotation.words import count

    for path, setting, example in ((out, "--out", "labels.html"), (pdf, "--pdf", "labels.pdf")):
        if path is not None:
            refuse_no_place(path, setting, example)
    program = None if pdf is None else chromium.needed(os.environ)
    home = read_home(found(household).folder)
    settings = home.settings.labels
    places = settings.columns * settings.rows
    if skip >= places:
        wrong = f"a sheet has {places} places, so {skip} cannot be used up."
        raise BadInput(Mistake("--skip", None, "", wrong, f"Write 0 to {places - 1}."))
    told = bag_labels(home, moment(now, home.zone, "--now"), lots or (), ahead=planned)
    html = page(told, settings, skip)
    said = f"{count(len(told), 'label')} written to"
    if out is not None:
        write_file(out, html.encode())
        typer.echo(f"{said} {out}", err=True)
    if pdf is not None and program is not None:
        chromium.print_pdf(program, html, pdf)
        typer.echo(f"{said} {pdf}. Print at 100 %, never “fit to page”.", err=True)
    if out is None and pdf is None:
        typer.echo(html, nl=False)
