"""The program: `rotation`, and `python -m rotation`. Commands read arguments, print, and leave all else to others.

Only typer is imported here; each command imports what it needs when it runs, so that help and the freezer are quick.
"""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Sequence
from io import TextIOWrapper
from pathlib import Path

import typer

from rotation.commands import (
    bread,
    buy,
    calendar,
    check,
    done,
    eaten,
    freezer,
    guests,
    labels,
    later,
    new,
    now,
    phones,
    plan,
    publish,
    rehearse,
    schema,
    serve,
    sheet,
    try_,
    why,
)
from rotation.commands.options import help_unless_more
from rotation.errors import RotationError

BAD_USAGE, STORAGE, UNFORESEEN, STOPPED, BROKEN_PIPE = 2, 5, 70, 130, 141
"""Exit codes that no RotationError carries: see `rotation.errors` for the others."""

UsageError: type[Exception] = typer.BadParameter.__bases__[0]
"""A wrong argument. typer carries the library it is built on, and gives no other name for this class."""

app = typer.Typer(
    help="Plans a family's bread from its calendars: bakes, thaws and finishes, and the freezer between them.",
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
app.command()(new.new)
app.command()(check.check)
app.command()(calendar.calendar)
app.command()(plan.plan)
app.command()(publish.publish)
app.command()(done.done)
app.command()(done.skip)
app.command()(later.later)
app.command()(why.why)
app.command("try")(try_.try_)
app.command()(guests.guests)
app.command()(now.now)
app.command()(buy.buy)
app.command()(eaten.eaten)
app.command()(rehearse.rehearse)
app.command()(sheet.sheet)
app.command()(labels.labels)
app.command()(serve.serve)
app.command(short_help="Print bench notes of one bake.")(bread.bread)
app.command(short_help="Print JSON Schema, for editors and programs.")(schema.schema)
app.add_typer(freezer.app, name="freezer")
app.add_typer(phones.app, name="phones")


@app.callback()
def _options(
    context: typer.Context,
    debug: bool = typer.Option(False, "--debug", help="Show where an unforeseen error came from."),
) -> None:
    """Plans a family's bread from its calendars: bakes, thaws and finishes, and the freezer between them."""
    help_unless_more(context)


def main() -> None:
    """Run the program with the arguments of the process, and end it with its exit code."""
    sys.stdout, sys.stderr = (stream or Path(os.devnull).open("w") for stream in (sys.stdout, sys.stderr))  # noqa: SIM115 open to the end
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    sys.exit(run(sys.argv[1:]))


def run(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code. Whatever goes wrong ends in one message on stderr."""
    try:
        code = app(list(arguments), prog_name="rotation", standalone_mode=False)
        sys.stdout.flush()
    except RotationError as error:
        return _failed(str(error), error.exit_code)
    except UsageError as error:
        return _misused(error)
    except (typer.Abort, KeyboardInterrupt):
        code = STOPPED
    except (BrokenPipeError, SystemExit):  # typer leaves that way when whoever reads the output has gone
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return BROKEN_PIPE
    except OSError as error:
        return _failed(f"{error.filename or 'A file'}: {error.strerror or error}.", STORAGE)
    except Exception as error:
        return _unforeseen(error, shown="--debug" in arguments)
    if code == STOPPED:
        return _failed("Stopped. What was planned before stays.", STOPPED)
    return code if isinstance(code, int) else 0


def _failed(message: str, code: int) -> int:
    from calendars.text import clean_lines

    typer.echo(clean_lines(message), err=True)
    return code


def _misused(error: Exception) -> int:
    """Print what is wrong with the arguments, as typer words it."""
    show = getattr(error, "show", None)
    if show is not None:
        show()
    return BAD_USAGE


def _unforeseen(error: Exception, shown: bool) -> int:
    """Print one message for an error that is ours, or that of a calendar."""
    from calendars.store import CalendarError

    if isinstance(error, CalendarError):
        return _failed(str(error), BAD_USAGE)
    if shown:
        traceback.print_exception(error)
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    return _failed(
        f"Something went wrong that should not have ({what}). Nothing was changed that is not said above. "
        "Please report it with what `rotation --debug ...` prints.",
        UNFORESEEN,
    )
