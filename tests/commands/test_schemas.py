"""Every command that prints JSON prints what its schema says."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import typer

from rotation.commands import app
from rotation.commands.schema import KINDS, schema_of
from rotation.ledger import Ledger, Note
from tests.commands.conftest import Run
from tests.json_checked import WRITTEN
from tests.publishing.homes import NOW, lay_out

FROM = ("--from", NOW)
AT = ("--now", NOW)
COMMANDS: dict[str, tuple[tuple[str, ...], str]] = {
    "plan": ((*FROM, "--work", "quick"), "plan"),
    "check": (FROM, "check"),
    "calendar": (("Family", *FROM), "calendar"),
    "bread": (("country", "--at", NOW), "bench"),
    "now": (AT, "now"),
    "why": (("not", "friday", *AT), "why"),
    "try": (("--freezer", "20", *AT), "try"),
    "buy": (AT, "buy"),
    "eaten": (AT, "eaten"),
    "rehearse": ((*FROM, "--weeks", "1"), "rehearsal"),
    "freezer list": (AT, "freezer"),
    "freezer history": (AT, "freezer-history"),
    "freezer power-cut": (("--hours", "30", *AT), "freezer-guidance"),
    "freezer open-lid": (("A=icy", *AT), "freezer-guidance"),
}
"""What each command is given, and the kind of what it prints."""


def with_json(group: Any, before: str = "") -> Iterator[str]:
    """Yield the commands that can print JSON."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from with_json(command, f"{before}{name} ")
        elif any("--json" in parameter.opts for parameter in command.params):
            yield f"{before}{name}"


def test_no_command_is_forgotten() -> None:
    assert set(with_json(typer.main.get_command(app))) == set(COMMANDS)
    assert {kind for _, kind in COMMANDS.values()} == set(KINDS) - set(WRITTEN)


@pytest.fixture(scope="module")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a household with a plan kept, four weeks of history, and a pantry."""
    from rotation.commands import run

    home = lay_out(tmp_path_factory.mktemp("made") / "home", "")
    now = datetime(2027, 2, 1, 12, tzinfo=UTC)
    assert run(["plan", "--household", str(home), *FROM, "--work", "quick"]) == 0
    assert run(["freezer", "count", "A", "2", "--household", str(home), "--now", "2027-02-20T12:00"]) == 0
    with Ledger.open(home / ".rotation") as ledger:
        (state,) = ledger.lots(now)
        for day in range(13):
            ledger.count_lot(state.lot.id, 2 - day % 2, Note(now=now + timedelta(days=20 + day)))
    return home


LONG = ("rehearse",)
"""Those that take more seconds than the quick suite has."""


@pytest.mark.parametrize("command", [pytest.param(c, marks=pytest.mark.long if c in LONG else ()) for c in COMMANDS])
def test_what_is_printed_fits_its_schema(rotation: Run, lived: Path, command: str) -> None:
    words, kind = COMMANDS[command]
    if command == "eaten":
        words = ("--now", "2027-03-20T12:00")
    ran = rotation(*command.split(), *words, "--json", "--household", lived)
    assert ran.code == 0, ran.err
    assert json.loads(ran.out)["schema"] == schema_of(kind)["properties"]["schema"]["const"]
