"""`rotation sheet`: the week of the kept plan on one page, for the screen, the phone and the fridge door."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.opened import NowOption, opened
from rotation.commands.options import MOST_DAYS, HouseholdOption, number_of_days, refuse_no_place
from rotation.errors import BadInput, Mistake

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
    from rotation.buying import shopping
    from rotation.intended import document
    from rotation.ledger import Happenings
    from rotation.paper import chromium
    from rotation.paper.sheet import page
    from rotation.show.sheet import sheet as facts
    from rotation.stockroom import held, planned

    for path, setting, example in ((out, "--out", "week.html"), (pdf, "--pdf", "week.pdf")):
        if path is not None:
            refuse_no_place(path, setting, example)
    program = None if pdf is None else chromium.needed(os.environ)
    with opened(household, now, readonly=True) as house:
        plan = document(house.ledger.kept_plan())
        if plan is None or "strips" not in plan:
            wrong = "no plan is kept." if plan is None else "the plan kept is of an older program."
            raise BadInput(Mistake("sheet", None, "", wrong, "Make one: rotation plan"))
        happened = Happenings(house.ledger).standing()
        lots, meant = held(house.home, house.ledger, house.now), planned(house.ledger, house.now)
    home, settings = house.home, house.home.settings
    to_buy = shopping(home, plan, happened, house.now)
    told = facts(home, plan, happened, lots, meant, to_buy, house.now, days or settings.paper.days)
    if told is None:
        raise BadInput(Mistake("sheet", None, "", "the plan kept is over.", "Plan on: rotation plan"))
    html = page(told, home.zone, settings.paper.size, settings.shown.display)
    if told.old:
        typer.echo(told.old, err=True)
    if out is not None:
        write_file(out, html.encode())
        typer.echo(f"sheet written to {out}", err=True)
    if pdf is not None and program is not None:
        chromium.print_pdf(program, html, pdf)
        typer.echo(f"sheet written to {pdf}", err=True)
    if out is None and pdf is None:
        typer.echo(html, nl=False)
