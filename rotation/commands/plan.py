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
    """Plan the bread, prove the plan, keep it. Days after the 28th are a sketch: which days to bake, no minutes."""
    if with_problem and not json:
        raise typer.BadParameter("goes with --json", param_hint="--with-problem")
    if out is not None:
        refuse_no_place(out)
    from rotation import planning, week
    from rotation.show import text
    from rotation.show.json_text import dumps
    from rotation.solve import limits
    from rotation.words import count

    meant = found(household)
    home = week.load(meant.folder)
    ready = planning.ready(home, moment(start, home.zone), days, clock())
    typer.echo(f"{meant}: planning {count((ready.far or ready.understood.problem).shown_days, 'day')}", err=True)
    planned = planning.planned(ready, limits(work), progress(), stoppable=True)
    problem, best, changed = planned.week.problem, planned.week.plan, planned.changed
    try:
        planned.keep()
        if out is not None:
            week.write_entries(planned.week, out)
            typer.echo(f"entries written to {out}", err=True)
    finally:  # a proven plan is printed, whatever becomes of what is written
        if json:
            typer.echo(dumps(planned.document(with_problem=with_problem, changed=changed)), nl=False)
        else:
            name = home.settings.name
            said = text.page(
                problem, best, name, planned.notes, planned.recipes, str(meant), width(), changed, planned.far
            )
            for line in said:
                typer.echo(line)
