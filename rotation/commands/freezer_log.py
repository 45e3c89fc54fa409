"""`rotation freezer history`, `export` and `import`: every movement, to be read and to be carried elsewhere."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.opened import NowOption, opened
from rotation.commands.options import HouseholdOption, JsonOption, width
from rotation.errors import StorageError

MOST_BYTES = 20_000_000
"""A file of more is no history of a freezer."""


def history(
    last: Annotated[int, typer.Option("--last", min=1, metavar="N", help="How many, the latest.")] = 20,
    bag: Annotated[str, typer.Option("--bag", metavar="BAG", help="Only of bags of this letter.")] = "",
    household: HouseholdOption = None,
    json: JsonOption = False,
    now: NowOption = None,
) -> None:
    """Say what went in and out, the latest last."""
    from rotation.show import movements
    from rotation.show.json_text import dumps

    with opened(household, now, readonly=True) as freezer:
        all_ = freezer.ledger.history()
    meant = [one for one in all_ if not bag or any(share.lot.letter == bag.upper() for share in one.shares)][-last:]
    if json:
        typer.echo(dumps(movements.history_json(meant, freezer.home.settings.name, freezer.home.zone)), nl=False)
        return
    for line in movements.lines(meant, freezer.home.zone, width()):
        typer.echo(line)


def export(
    file: Annotated[Path | None, typer.Argument(metavar="FILE.csv", help="Where to; else the screen.")] = None,
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Write every movement as CSV, so that `import` can read it again."""
    from rotation.ledger.csv_file import to_csv

    with opened(household, now, readonly=True) as freezer:
        all_ = freezer.ledger.history()
    if file is None:
        typer.echo(to_csv(all_), nl=False)
        return
    from calendars.writing import write_file

    write_file(file, to_csv(all_).encode())
    typer.echo(f"{len(all_)} movements written to {file}", err=True)


def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="As `export` writes it; - for standard input.")],
    household: HouseholdOption = None,
    now: NowOption = None,
) -> None:
    """Read movements from CSV: all of them, or none if a line is wrong. What is recorded already counts once."""
    from rotation.ledger.csv_file import from_csv
    from rotation.ledger.importing import bring_in
    from rotation.stockroom import begins_with_opening

    written = from_csv(_read(file), str(file))
    with opened(household, now, seeding=not begins_with_opening(written)) as freezer:
        came = bring_in(freezer.ledger, written, str(file), freezer.now)
    typer.echo(f"{came.new} new, {came.known} known already.")


def _read(file: Path) -> str:
    try:
        data = sys.stdin.buffer.read(MOST_BYTES + 1) if str(file) == "-" else _bytes(file)
        if len(data) > MOST_BYTES:
            raise StorageError(f"{file}: is larger than a freezer's history can be.")
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise StorageError(f"{file}: is not UTF-8. Save the table as CSV in UTF-8.") from None


def _bytes(file: Path) -> bytes:
    with file.open("rb") as opened_file:
        return opened_file.read(MOST_BYTES + 1)
