"""`rotation plan`: compute, prove, print, keep as the current plan."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.options import (
    DaysOption,
    FromOption,
    HouseholdOption,
    JsonOption,
    Work,
    WorkOption,
    clock,
    found,
    moment,
    progress,
    refuse_no_place,
    width,
)


def plan(
    household: HouseholdOption = None,
    start: FromOption = None,
    days: DaysOption = None,
    work: WorkOption = Work.USUAL,
    json: JsonOption = False,
    out: Annotated[Path | None, typer.Option(metavar="FILE.ics", help="Write the plan as calendar entries.")] = None,
    with_problem: Annotated[bool, typer.Option("--with-problem", help="With --json: add all inputs.")] = False,
) -> None:
    """Plan the bread, prove the plan, keep it."""
    if with_problem and not json:
        raise typer.BadParameter("goes with --json", param_hint="--with-problem")
    if out is not None:
        refuse_no_place(out)
    from rotation import assuming, week, written
    from rotation.show import text
    from rotation.show.json_text import dumps
    from rotation.show.plan_json import plan_json
    from rotation.solve import limits
    from rotation.words import count

    meant = found(household)
    home = week.load(meant.folder)
    at = moment(start, home.zone)
    taken = written.take_in(home, at)
    asked = assuming.settle(home, at)
    understood = week.understand(home, at, days or home.settings.plan.days, taken, clock())
    typer.echo(f"{meant}: planning {count(understood.problem.shown_days, 'day')}", err=True)
    planned = week.plan_week(understood, limits(work), progress())
    problem, best = planned.problem, planned.plan
    changed = week.what_changed(planned)
    name, recipes, notes = (
        home.settings.name,
        week.grams(planned),
        (*asked, *week.starter_notes(planned), *understood.notes),
    )
    try:
        week.keep(planned, dumps(plan_json(problem, best, name, notes, checked=True)), taken)
        if out is not None:
            week.write_entries(planned, out)
            typer.echo(f"entries written to {out}", err=True)
    finally:  # a proven plan is printed, whatever becomes of what is written
        if json:
            shown = plan_json(problem, best, name, notes, checked=True, with_problem=with_problem, changed=changed)
            typer.echo(dumps(shown), nl=False)
        else:
            for line in text.page(problem, best, name, notes, recipes, str(meant), width(), changed):
                typer.echo(line)
