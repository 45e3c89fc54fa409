"""`rotation freezer power-cut` and `open-lid`: what the usual guidance says of each bag, and what was done with it."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.opened import AtOption, NowOption, Opened, note, opened
from rotation.commands.options import HouseholdOption, JsonOption, width
from rotation.errors import BadInput, Mistake

if TYPE_CHECKING:
    from rotation.keeping import Found
    from rotation.outage import Judged

FOUND = ("hard", "icy", "cold", "warm")
"""How a bag may feel: hard, icy inside, soft and cold, or warm."""

BagsArgument = Annotated[
    list[str] | None, typer.Argument(metavar="[BAG=HOW]...", help=f"How bags were found: {', '.join(FOUND)}.")
]
WarmOption = Annotated[
    float | None, typer.Option("--hours-warm", min=0, metavar="H", help="How long they were over 4 degC, if known.")
]
RecordOption = Annotated[bool, typer.Option("--record", help="Record that it was done so, without asking.")]


def power_cut(
    hours: Annotated[float, typer.Option("--hours", min=0, max=2000, metavar="H", help="How long, the door shut.")],
    bags: BagsArgument = None,
    full: Annotated[
        float | None,
        typer.Option("--full", min=0, max=100, metavar="PERCENT", help="How full the freezer was, other food and all."),
    ] = None,
    hours_warm: WarmOption = None,
    at: AtOption = None,
    record: RecordOption = False,
    household: HouseholdOption = None,
    json: JsonOption = False,
    now: NowOption = None,
) -> None:
    """After a power cut with the door shut: what the usual guidance says of each bag."""
    from rotation import outage
    from rotation.show.outage import cut_words
    from rotation.stockroom import held

    found = _found(bags)
    with opened(household, now, readonly=True) as freezer:
        lots = held(freezer.home, freezer.ledger, freezer.now)
        share = outage.full_share(freezer.home, lots) if full is None else full / 100
        judged = outage.after_cut(freezer.home, lots, hours, share, found, hours_warm)
    words = cut_words(hours, share, measured=full is not None)
    _tell(freezer, judged, words, f"power cut, {hours:g} h", at, record, household, json, now)


def open_lid(
    bags: BagsArgument = None,
    hours_warm: WarmOption = None,
    at: AtOption = None,
    record: RecordOption = False,
    household: HouseholdOption = None,
    json: JsonOption = False,
    now: NowOption = None,
) -> None:
    """After a lid stood open: bag by bag, what the usual guidance says of it. Bags not named are asked about."""
    from rotation import outage
    from rotation.show.outage import LID
    from rotation.stockroom import held

    found = _found(bags)
    with opened(household, now, readonly=True) as freezer:
        lots = held(freezer.home, freezer.ledger, freezer.now)
        outage.after_lid(freezer.home, lots, found)  # a letter that is not there is said before any question
        found |= _asked([state.lot.letter for state in lots if state.lot.letter not in found])
        judged = outage.after_lid(freezer.home, lots, found, hours_warm)
    _tell(freezer, judged, LID, "open lid", at, record, household, json, now)


def _tell(
    freezer: Opened,
    judged: Sequence[Judged],
    words: str,
    because: str,
    at: str | None,
    sure: bool,
    household: HouseholdOption,
    json: bool,
    now: str | None,
) -> None:
    """Print what is said of each bag; record that it was done, if that is wanted."""
    from rotation import outage
    from rotation.show import outage as show
    from rotation.show.json_text import dumps
    from rotation.show.stock import moved

    if json:
        typer.echo(dumps(show.judged_json(judged, words, freezer.home.settings.name)), nl=False)
    else:
        for line in show.lines(judged, words, freezer.home.zone, width()):
            typer.echo(line)
    acts = [one for one in judged if one.act]
    if not acts:
        return
    if not sure:
        if json or not sys.stdin.isatty():
            typer.echo("Nothing is recorded yet. When it is done so: the same with --record", err=True)
            return
        sure = typer.confirm(f"Record that this was done with {len(acts)} of the bags?")
    if sure:
        with opened(household, now) as writing:
            for movement in outage.record(
                writing.home, writing.ledger, acts, because, note(writing.home, writing.now, at)
            ):
                typer.echo(moved(movement), err=json)


def _found(said: Sequence[str] | None) -> dict[str, Found]:
    """Return how bags were found, by letter, of words like "A=hard"."""
    from rotation.keeping import Found

    meant = dict(zip(FOUND, Found, strict=True))
    found: dict[str, Found] = {}
    for word in said or ():
        letter, _, how = word.partition("=")
        if not letter or how.lower() not in meant:
            wrong = f'"{word[:40]}" does not say how a bag was found.'
            raise BadInput(Mistake("freezer", None, "", wrong, f"Write A=hard; or {', '.join(FOUND[1:])}."))
        found[letter.upper()] = meant[how.lower()]
    return found


def _asked(letters: Sequence[str]) -> dict[str, Found]:
    """Ask about each bag, if somebody is there to answer; what is not answered is left out."""
    if not letters or not sys.stdin.isatty():
        return {}
    answers = [
        (letter, typer.prompt(f"Bag {letter}: {', '.join(FOUND)}, or skip", default="skip")) for letter in letters
    ]
    return _found([f"{letter}={how.strip()}" for letter, how in answers if how.strip() != "skip"])
