"""`rotation new DIR`: ask six things, lay out a commented household."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from rotation.commands.options import clock
from rotation.errors import BadInput, Mistake, StorageError
from rotation.templates import ADULT, BREADS, Answers, id_of, laid_out


def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Where to lay it out; a new or an empty folder.")],
    yes: Annotated[bool, typer.Option("--yes", "-y", help="Ask nothing; every answer is the default.")] = False,
) -> None:
    """Ask six things, and lay out a commented household."""
    _refuse_if_taken(folder)
    at = Answers(clock().astimezone().date(), zone=zone_here(os.environ, Path("/etc/localtime")))
    written = laid_out(at if yes else _asked(at))
    write(folder, written)
    typer.echo(f"Laid out in {folder}: {', '.join(sorted(written))}.")
    typer.echo(f"Every setting has its reason beside it. Next: rotation check --household {folder}")


def write(folder: Path, texts: Mapping[str, str]) -> None:
    """Write a household's files, read them back, and never over anything. Raises StorageError, BadInput."""
    from rotation.household.reading import read_home

    _refuse_if_taken(folder)
    try:
        for name, text in texts.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("x", encoding="utf-8", newline="") as file:
                file.write(text)
    except FileExistsError as error:
        raise BadInput(Mistake(str(error.filename), None, "", "is there already.", "Name another folder.")) from None
    except OSError as error:
        raise StorageError(f"{error.filename or folder}: cannot be written: {error.strerror or error}.") from None
    read_home(folder)


def _refuse_if_taken(folder: Path) -> None:
    try:
        if folder.exists() and not folder.is_dir():
            raise BadInput(Mistake(str(folder), None, "", "is a file.", "Name a folder that is not there yet."))
        if folder.is_dir() and any(folder.iterdir()):
            raise BadInput(Mistake(str(folder), None, "", "is not empty; nothing was written.", "Name another folder."))
    except OSError as error:
        raise StorageError(f"{folder}: cannot be read: {error.strerror or error}.") from None


def zone_here(env: Mapping[str, str], localtime: Path) -> str:
    """Return the name of the zone this machine's clock shows, or the default where it does not say."""
    from zoneinfo import available_timezones

    known = available_timezones()
    linked = str(localtime.resolve()).partition("zoneinfo/")[2] if localtime.exists() else ""
    told = (name for name in (env.get("TZ", "").lstrip(":"), linked) if name in known and "/" in name)
    return next((name for name in told if not name.startswith("Etc/")), Answers(date.min).zone)


def _asked(start: Answers) -> Answers:
    """Return the answers of a person; each question takes its default for an empty line."""
    from dataclasses import replace

    typer.echo("Six questions; an empty line takes the answer in brackets.")
    breads = _choice("1. Which breads?", BREADS)
    tins = _number("   How many loaf tins?", start.tins, 1, 12) if "tin" in breads else start.tins
    loaves = _loaves("2. How many loaves in a normal week?", start.loaves_a_week)
    lunch = _number("   Slices for lunchboxes on a school day?", start.lunch_slices, 0, 100)
    bakers = _names("3. Who bakes?", start.bakers)
    others, children = _others("   Who else is in the house? Children with their age, as Mia 5", taken=bakers)
    free = _hours("   When are your hands free on weekdays?", start.free_weekdays)
    inside = _hours("   And when are you really in?", start.in_weekdays)
    room = _number("4. How many bagged loaves does the freezer hold?", start.freezer_loaves, 0, 400)
    held = [(bread, _number(f"   How many of {bread} are in it now?", 0, 0, 400)) for bread in breads]
    vessels = _number("5. How many covered pots for the oven?", start.vessels, int("country" in breads), 20)
    fan = typer.confirm("   Do you bake with the fan?", default=start.fan)
    calendars = _words("6. Calendar files or folders (none: an example is written)?", ())
    nobody = _allergens("   What may nobody be served?")
    return replace(
        start, breads=breads, tins=tins, loaves_a_week=loaves, lunch_slices=lunch, bakers=bakers, others=others,
        children=children, free_weekdays=free, in_weekdays=inside, freezer_loaves=room, vessels=vessels, fan=fan,
        nobody_eats=nobody,
        in_freezer=tuple((bread, count) for bread, count in held if count),
        calendars=tuple(str(Path(path).expanduser().absolute()) for path in calendars),
    )  # fmt: skip


def _words(question: str, default: tuple[str, ...], between: str = ",") -> tuple[str, ...]:
    """Return the parts of an answer, without quotes around them. between: a regular expression of what divides them."""
    said = str(typer.prompt(question, default=", ".join(default), show_default=bool(default)))
    parts = (part.strip().strip("\"'") for part in re.split(between, said))
    return tuple(dict.fromkeys(part for part in parts if part))


AND = r",|\band\b"
"""What people write between names."""


def _choice(question: str, known: tuple[str, ...]) -> tuple[str, ...]:
    while True:
        said = tuple(word.casefold() for word in _words(question, known, AND))
        if said and set(said) <= set(known):
            return said
        typer.echo(f"   One or more of: {', '.join(known)}. Other breads are files of their own, written later.")


def _number(question: str, default: int, least: int, most: int) -> int:
    while True:
        said = str(typer.prompt(question, default=str(default))).strip()
        if said.isascii() and said.isdigit() and least <= int(said) <= most:
            return int(said)
        typer.echo(f"   A whole number from {least} to {most}.")


def _loaves(question: str, default: float, most: int = 60) -> float:
    while True:
        said = str(typer.prompt(question, default=f"{default:g}")).strip().replace(",", ".")
        if re.fullmatch(r"\d{1,2}(\.\d{1,2})?", said, re.ASCII) and float(said) <= most:
            return float(said)
        typer.echo(f"   A number from 0 to {most}, as 5.5.")


def _names(question: str, default: tuple[str, ...], taken: tuple[str, ...] = ()) -> tuple[str, ...]:
    while True:
        said = _words(question, default, AND)
        if (said or not default) and _differ((*taken, *said)):
            return said
        typer.echo("   Names between commas, each once, as: Jo, Sam")


def _others(question: str, taken: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[tuple[str, int], ...]]:
    """Return the grown-ups, and the children with their age; who has no age written is grown up."""
    while True:
        found = [_AGED.fullmatch(word) for word in _words(question, (), AND)]
        said = [(one[1].strip(), ADULT if one[2] is None else int(one[2])) for one in found if one is not None]
        if len(said) == len(found) and _differ((*taken, *(name for name, _ in said))):
            children = tuple((name, age) for name, age in said if age < ADULT)
            return tuple(name for name, age in said if age >= ADULT), children
        typer.echo("   Names between commas, each once, a child's with its age: Sam, Mia 5, Tom 11")


_AGED = re.compile(r"([^\d()]*[^\d()\s])\s*(?:\(?\s*(\d{1,2})\s*\)?)?")


def _differ(names: tuple[str, ...]) -> bool:
    """Return whether names can all be told apart, and shown."""
    return len({id_of(name) for name in names}) == len(names) and all(name.isprintable() for name in names)


def _hours(question: str, default: tuple[str, ...]) -> tuple[str, ...]:
    from pydantic import TypeAdapter, ValidationError

    from rotation.household.values import HoursList

    while True:
        said = _words(question, default)
        try:
            TypeAdapter(HoursList).validate_python(said)
            return said
        except ValidationError as error:
            wrong = error.errors()[0]["msg"].removeprefix("Value error, ").replace(" in quotes", "")
            said_so = f"That {wrong}" if wrong.startswith("is ") else wrong
            typer.echo(f"   {said_so}. Hours are written as 17:30-21:30, several between commas.")


def _allergens(question: str) -> tuple[str, ...]:
    from rotation.allergens import ALL
    from rotation.household.mistakes import closest

    while True:
        said = tuple(word.casefold() for word in _words(question, (), AND))
        if set(said) <= ALL:
            return said
        wrong = next(word for word in said if word not in ALL)
        near = closest(wrong, ALL)
        typer.echo(f"   {near if near.startswith('Do') else ''} Any of: {', '.join(sorted(ALL))}.")
