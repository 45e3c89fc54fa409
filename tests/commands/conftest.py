from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from rotation.commands import run
from rotation.templates import Answers, laid_out
from tests.json_checked import checked

NOW = "2027-03-01T18:00"


@dataclass(frozen=True)
class Ran:
    """What one command came to."""

    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture
def rotation(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the program in this process; JSON that it prints has to fit its schema."""

    def ran(*arguments: str | Path) -> Ran:
        code = run([str(argument) for argument in arguments])
        said = capsys.readouterr()
        assert "Traceback" not in said.err or "--debug" in arguments
        if "--json" in arguments and code == 0:
            checked(said.out)
        return Ran(code, said.out, said.err)

    return ran


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Return the folder of a household as it is first laid out, with some bread in the freezer."""
    folder = tmp_path / "home"
    answers = Answers(date(2027, 3, 1), in_freezer=(("country", 2), ("tin", 1), ("rolls", 6)))
    for name, text in laid_out(answers).items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder
