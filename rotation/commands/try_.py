"""`rotation try`: what if. The plan kept against a week with something other in it; nothing is written."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.options import HouseholdOption, JsonOption, Work, WorkOption, found, moment, width
from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.reasons.answers import Without

Some = list[str] | None


def try_(
    event: Annotated[
        Some, typer.Option("--event", metavar="WHEN WHO out|busy", help='"Sat 18:00-20:00 jo out".')
    ] = None,
    no_event: Annotated[Some, typer.Option("--no-event", metavar="TITLE", help="It is called off.")] = None,
    oven_out: Annotated[
        Some, typer.Option("--oven-out", metavar="WHEN [OVEN]", help='Not to be used: "Sat-Sun".')
    ] = None,
    freezer: Annotated[
        float | None, typer.Option("--freezer", metavar="LITRES", min=1, max=1000, help="One more.")
    ] = None,
    baker: Annotated[Some, typer.Option("--baker", metavar="NAME", help="One more who bakes.")] = None,
    drop: Annotated[Some, typer.Option("--drop", metavar="BREAD", help="Without this bread.")] = None,
    guests: Annotated[Some, typer.Option("--guests", metavar="WHEN HEADS", help='"Sat 18:00 6".')] = None,
    work: WorkOption = Work.QUICK,
    json: JsonOption = False,
    household: HouseholdOption = None,
    now: Annotated[str | None, typer.Option("--now", metavar="WHEN", help="Take it to be this moment.")] = None,
) -> None:
    """Try what if, several at once: what would become of the plan. Nothing is written."""
    from rotation.commands.spans import moment_and_rest, span
    from rotation.household.reading import read_home
    from rotation.intake.invited import Asked
    from rotation.reasons.supposed import Supposed
    from rotation.show.json_text import dumps
    from rotation.show.tried import best_lines, lines, title, try_json
    from rotation.solve import limits
    from rotation.trying import standing, what_if

    home = read_home(found(household).folder)
    at = moment(now, home.zone, "--now")
    of = standing(home, at)
    start = of.problem.zero.astimezone(home.zone)
    supposed = Supposed(home)
    for said in event or ():
        supposed = supposed.busy(span(said, start, "--event"))
    for said in no_event or ():
        supposed = supposed.called_off(said)
    for said in oven_out or ():
        supposed = supposed.oven_out(span(said, start, "--oven-out"))
    if freezer is not None:
        supposed = supposed.freezer(freezer)
    for said in baker or ():
        supposed = supposed.baker(said)
    for said in drop or ():
        supposed = supposed.dropped(said)
    for said in guests or ():
        when, heads = moment_and_rest(said, start, "--guests")
        if not heads.isdigit() or not 1 <= int(heads) <= 500:
            raise BadInput(
                Mistake("--guests", None, "", f'"{said[:40]}" does not say how many.', 'Write "Sat 18:00 6".')
            )
        supposed = supposed.invited(Asked(when, int(heads), 2.0))
    if not supposed.words:
        raise typer.BadParameter("say what is to be tried, as --oven-out Sat; see --help", param_hint="try")
    trial = what_if(home, of, supposed, at, None if work == Work.QUICK else limits(work))
    parts: list[Without] = []
    stopped = False
    if not json:
        typer.echo(title(trial.words))
    try:
        for part in trial.parts:
            for line in [] if json else lines(trial.problem, part, width(), brief=bool(parts)):
                typer.echo(line)
            parts.append(part)
    except KeyboardInterrupt:
        stopped = True
        typer.echo("Stopped: what was found so far stands.", err=True)
    if json:
        typer.echo(dumps(try_json(trial.problem, home.settings.name, trial.words, trial.gap, parts, stopped)), nl=False)
        return
    for line in best_lines(trial.problem, parts, width()):
        typer.echo(line)
    if not parts:
        typer.echo("  No plan fits with that.")
    gap = trial.gap or 0.0
    doubt = f" The plan kept itself could be bettered by at most {100 * gap:.1f} %." if gap >= 0.0005 else ""
    typer.echo(f"  Nothing is written.{doubt}")
