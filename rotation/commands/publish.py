"""`rotation publish`: show what would change in the calendars, ask, write."""

from __future__ import annotations

import sys
from datetime import datetime
from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.options import HouseholdOption, found, moment
from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.publishing import Proposal

DELETED = frozenset({"empty", "vanished"})
"""Questions to which yes means that the family deleted entries on purpose: a wish for the next plan."""

OURS = frozenset({"removed"})
"""Questions about what the plan itself would do, which --yes answers; all others are of what a calendar looks like."""


def publish(
    household: HouseholdOption = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Say what would change, and change nothing.")] = False,
    yes: Annotated[
        bool, typer.Option("--yes", "-y", help="Write without asking, but for what looks wrong in a calendar.")
    ] = False,
    forget_edits: Annotated[
        bool, typer.Option("--forget-edits", help="Write over what you changed in the entries, and forget it.")
    ] = False,
    now: Annotated[str | None, typer.Option("--now", metavar="WHEN", help="Take it to be this moment.")] = None,
) -> None:
    """Write the plan into the calendars."""
    from rotation import publishing, week

    meant = found(household)
    home = week.load(meant.folder)
    at = moment(now, home.zone, "--now")
    typer.echo(str(meant), err=True)
    answered = {"elsewhere", "unreadable", "unrecorded", *DELETED} if forget_edits else set[str]()
    answered |= OURS if yes else set()
    proposal = publishing.propose(home, at, answered, forget=forget_edits)
    _show(proposal)
    if dry_run:
        return
    while proposal.questions:
        answered |= _ask(proposal, yes=yes)
        proposal = publishing.propose(home, at, answered, forget=forget_edits)
        if DELETED & answered and proposal.unread and not forget_edits:
            for said in publishing.note_deleted(proposal, at):
                typer.echo(f"Noted: {said}.")
            typer.echo("Nothing was written. The next plan knows it: rotation plan")
            return
        _show(proposal)
    if proposal.unread:
        raise BadInput(Mistake("publish", None, "", "you changed entries since this plan was made.", _HOW))
    if not proposal.writes and not proposal.fed and not forget_edits:
        _finish(proposal, at, forget=False)
        return
    _confirm("Write this, and forget what you changed?" if forget_edits else "Write this?", yes=yes)
    _finish(proposal, at, forget=forget_edits)


_HOW = "Take it into the plan: rotation plan. Or write over it: rotation publish --forget-edits"


def _show(proposal: Proposal) -> None:
    """Print what would change, and what the family should know."""
    from rotation.show import changes
    from rotation.show.fit import fit_all

    zone = proposal.home.zone
    for one in proposal.ahead:
        for line in (*changes.ahead(one.target.name, one.changes, zone), *changes.overruled(one.changes, zone)):
            typer.echo(line)
    if proposal.fed:
        typer.echo(changes.fed(proposal.fed))
    for line in fit_all(proposal.said, 2):
        typer.echo(line)
    for said in proposal.unread:
        typer.echo(f"Not in the plan yet: {said}.")


def _ask(proposal: Proposal, *, yes: bool) -> set[str]:
    """Return the kinds of questions a person says yes to, all there are. Raises Exit at the first no."""
    if yes or not sys.stdin.isatty():
        name, question = min(proposal.questions, key=lambda one: one[1].kind in OURS)
        how = "Say --yes, or --dry-run to look." if question.kind in OURS else "Say so at a terminal, without --yes."
        raise BadInput(Mistake("publish", None, "", f"{name}: {question.text}.", how))
    for name, question in proposal.questions:
        _confirm(f"{name}: {question.text}.", yes=False)
    return {question.kind for _, question in proposal.questions}


def _confirm(text: str, *, yes: bool) -> None:
    """Go on only if a person says yes. Raises BadInput where there is nobody to ask."""
    if yes:
        return
    if not sys.stdin.isatty():
        wrong = "asks before it writes, and there is nobody to ask here."
        raise BadInput(Mistake("publish", None, "", wrong, "Say --yes to write, or --dry-run to look."))
    if not typer.confirm(text, default=False):
        typer.echo("Nothing was written.")
        raise typer.Exit(0)


def _finish(proposal: Proposal, now: datetime, *, forget: bool) -> None:
    """Write, and say what became of it. Raises CalendarError if something was left."""
    from calendars.store import CalendarError
    from rotation import publishing
    from rotation.show import changes

    written = publishing.publish(proposal, now, forget=forget)
    stopped = ""
    for target, done in written:
        if done.added or done.changed or done.removed or done.left:
            typer.echo(changes.became(target.name, done))
        for line in changes.left(done):
            typer.echo(line, err=True)
        if done.left:
            stopped = done.stopped or done.left[0].why
    if stopped:
        raise CalendarError(f"Not all was written: {stopped.rstrip('.')}. Say rotation publish again to go on.")
