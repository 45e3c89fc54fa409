"""`rotation phones`: which phones may use the kitchen page, and the addresses that calendars subscribe to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rotation.commands.options import HouseholdOption, clock, found, help_unless_more
from rotation.errors import BadInput, Mistake, StorageError

if TYPE_CHECKING:
    from rotation.keys import Keys

app = typer.Typer(
    help="Phones that use the kitchen page, and calendars that subscribe to the feed.",
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,
)


@app.callback()
def _options(context: typer.Context) -> None:
    help_unless_more(context)


@app.command()
def pair(household: HouseholdOption = None) -> None:
    """Print a new code to pair phones with, for the page that runs."""
    from rotation import pairing

    keys = _keys(household)
    code = pairing.new_code(keys, clock())
    _kept(keys)
    typer.echo(f"{code[:3]} {code[3:]}, good for {int(pairing.GOOD_FOR.total_seconds() // 60)} minutes.")


@app.command()
def forget(household: HouseholdOption = None) -> None:
    """Forget all phones: each has to be paired again."""
    keys = _keys(household)
    keys.renew_signing()
    _kept(keys)
    typer.echo("All phones are forgotten. A new code: rotation phones pair")


@app.command()
def feed(
    who: Annotated[str, typer.Argument(metavar="[all|PERSON]", help="Whose; a person by id.")] = "all",
    renew: Annotated[bool, typer.Option("--renew", help="Make a new address; the old one leads nowhere.")] = False,
    close: Annotated[bool, typer.Option("--close", help="Take the address away.")] = False,
    household: HouseholdOption = None,
) -> None:
    """Print where a calendar subscribes, below the address of the page."""
    from rotation import feed as feeds
    from rotation.household.reading import read_home

    home, keys = read_home(found(household).folder), _keys(household)
    known = feeds.names(home)
    meant = feeds.ALL if who == feeds.ALL else f"of {who}"
    if meant not in known:
        people = ", ".join(one.removeprefix("of ") for one in known)
        raise BadInput(
            Mistake("phones feed", None, "", f'nobody with steps is called "{who[:60]}".', f"Say: {people}.")
        )
    if close:
        feeds.close(keys, meant)
        _kept(keys)
        typer.echo("That feed has no address any more.")
        return
    secret = feeds.addresses(keys).get(meant)
    if secret is None or renew:
        secret = feeds.renew(keys, meant)
        _kept(keys)
    typer.echo(feeds.path(secret))
    typer.echo("Put the address of the page before it. Whoever has it can read that calendar.", err=True)


def _keys(household: HouseholdOption) -> Keys:
    from rotation.household.reading import read_home
    from rotation.keys import Keys
    from rotation.stockroom import STATE

    return Keys(read_home(found(household).folder).folder / STATE)


def _kept(keys: Keys) -> None:
    """Raise StorageError where what was made could not be written."""
    if keys.forgetful:
        raise StorageError(f"{keys.forgetful}.")
