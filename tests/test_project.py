"""The project as a whole: what the README promises is there, nothing lies where it should not, examples stay clean."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from shutil import copytree, ignore_patterns
from typing import Any

import pytest
import typer
from jsonschema import Draft202012Validator

from rotation.commands import app
from rotation.commands.schema import KINDS, schema_of
from rotation.household.reading import read_home
from tests.commands.test_errors import environment

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
EXAMPLES = sorted(path.parent for path in ROOT.glob("examples/*/household.toml"))
INSTALL = "python3 -m venv .venv && .venv/bin/pip install -q -e "
PLAN = INSTALL + ". && .venv/bin/rotation plan --household examples/school-week --from 2027-03-01"
TESTS = INSTALL + "'.[test]' && .venv/bin/pytest -q"
TOP_LEVEL = {"pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE", "rotation", "calendars", "tests", "examples"}
NAMES = [folder.name for folder in EXAMPLES]


def files() -> Iterator[Path]:
    """Yield the text files of the project, tests' data included."""
    for name in sorted(TOP_LEVEL | {".ci"}):
        found = [ROOT / name] if (ROOT / name).is_file() else sorted((ROOT / name).rglob("*"))
        yield from (path for path in found if path.is_file() and not {"__pycache__", ".rotation"} & {*path.parts})


def modules() -> Iterator[Path]:
    for package in ("rotation", "calendars"):
        yield from sorted((ROOT / package).rglob("*.py"))


def test_readme_opens_with_the_job_and_the_two_commands() -> None:
    title, job, debian, commands = README.split("\n\n")[:4]
    assert title == "# Bread Rotation"
    assert len(job.split()) < 150
    assert "apt install python3-venv" in debian
    assert commands.splitlines() == ["```sh", PLAN, TESTS, "```"]


def test_ci_runs_the_readme_s_commands() -> None:
    ci = ROOT / ".ci" / "run"
    assert ci.stat().st_mode & 0o100
    assert "from_readme" in ci.read_text(encoding="utf-8")
    last_words = [re.findall(rf"^ *python3 -m venv .*{last}", README, re.MULTILINE) for last in ("pytest -q$", "plan ")]
    assert [len(found) for found in last_words] == [1, 1]


def test_top_level_holds_only_what_belongs_there() -> None:
    listed = ["git", "ls-files", "--cached", "--others", "--exclude-standard"]
    done = subprocess.run(listed, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip("not a checkout")
    tops = {line.split("/")[0] for line in done.stdout.splitlines()}
    assert {top for top in tops if not top.startswith(".")} <= TOP_LEVEL


def test_no_module_is_too_long_to_read() -> None:
    lengths = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in modules()}
    assert {str(path.relative_to(ROOT)): length for path, length in lengths.items() if length > 300} == {}


def test_nothing_names_a_place_on_one_machine() -> None:
    place = re.compile(r"(?<![\w.~}])/(work|root|home|Users|tmp|opt)" + r"/\w")
    named = [path for path in files() if place.search(path.read_text(encoding="utf-8", errors="replace"))]
    assert named == []


def test_the_clock_is_read_only_where_a_program_begins() -> None:
    wall = callers({"now", "utcnow", "today", "time_ns"})
    assert wall == ["calendars/__main__.py", "rotation/commands/options.py"]


def test_only_what_speaks_to_a_server_measures_how_long_it_takes() -> None:
    assert set(callers({"monotonic", "perf_counter"})) <= {"calendars/fetch.py", "calendars/dav_line.py"}


def callers(names: set[str]) -> list[str]:
    """Return the modules that call a method or function of one of these names."""

    def calls(path: Path) -> bool:
        called = (node.func for node in ast.walk(ast.parse(path.read_bytes())) if isinstance(node, ast.Call))
        return bool(names & {call.attr for call in called if isinstance(call, ast.Attribute)})

    return sorted(path.relative_to(ROOT).as_posix() for path in modules() if calls(path))


def test_commands_are_those_of_the_readme() -> None:
    there = {command.name or command.callback.__name__ for command in app.registered_commands if command.callback}
    there |= {str(group.name) for group in app.registered_groups}
    assert set(re.findall(r"^\| `rotation (\w+)", README, re.MULTILINE)) == there
    assert set(re.findall(r"`rotation (\w+)", README)) <= there
    for group in app.registered_groups:
        row = next(line for line in README.splitlines() if line.startswith(f"| `rotation {group.name}`"))
        assert group.typer_instance is not None
        assert {name(one) for one in group.typer_instance.registered_commands} <= set(re.findall(r"`([\w-]+)`", row))


def name(command: typer.models.CommandInfo) -> str:
    """Return how a command is called."""
    return command.name or getattr(command.callback, "__name__", "")


def test_exit_codes_are_those_of_the_readme() -> None:
    from rotation import commands, errors

    kinds = [getattr(errors, word) for word in vars(errors)]
    codes = {kind.exit_code for kind in kinds if isinstance(kind, type) and issubclass(kind, errors.RotationError)}
    codes |= {0, commands.BAD_USAGE, commands.STORAGE, commands.UNFORESEEN, commands.STOPPED, commands.BROKEN_PIPE}
    assert {int(code) for code in re.findall(r"^\| (\d+) \|", README, re.MULTILINE)} == codes


def test_every_example_is_told_in_the_readme() -> None:
    assert set(re.findall(r"^- `examples/([\w-]+)`:", README, re.MULTILINE)) == set(NAMES)
    assert NAMES == ["guest-week", "school-week", "tight-week", "two-bakers"]


def read(path: Path) -> Any:
    """Return a TOML file as JSON values."""
    return json.loads(
        json.dumps(tomllib.loads(path.read_text(encoding="utf-8")), default=lambda date: date.isoformat())
    )


@pytest.mark.parametrize("folder", EXAMPLES, ids=NAMES)
def test_examples_are_read_and_fit_the_schemas(folder: Path) -> None:
    assert read_home(folder).breads
    Draft202012Validator(schema_of("household")).validate(read(folder / "household.toml"))
    Draft202012Validator(schema_of("stock")).validate(read(folder / "stock.toml"))
    for bread in (folder / "breads").glob("*.toml"):
        Draft202012Validator(schema_of("bread")).validate(read(bread))


@pytest.mark.parametrize("kind", KINDS)
def test_schemas_are_schemas(kind: str) -> None:
    Draft202012Validator.check_schema(schema_of(kind))


def test_examples_hold_three_kinds_of_bread() -> None:
    """A naturally leavened loaf by two processes with a cold retard, an enriched tin kept sliced, small rolls."""
    breads = [bread for folder in EXAMPLES for bread in read_home(folder).breads.values()]
    assert any(len(bread.processes) > 1 and "part-baked" in bread.forms and not bread.small for bread in breads)
    assert any("sliced" in bread.forms and not bread.small for bread in breads)
    assert any(bread.small for bread in breads)


def git(folder: Path, *words: str) -> str:
    who = ["-c", "user.name=Test", "-c", "user.email=test@home.example"]
    return subprocess.run(["git", *who, *words], cwd=folder, capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize("example", NAMES)
def test_planning_an_example_leaves_the_checkout_clean(example: str, tmp_path: Path) -> None:
    folder = tmp_path / "examples" / example
    copytree(ROOT / "examples" / example, folder, ignore=ignore_patterns(".rotation"))
    (tmp_path / ".gitignore").write_bytes((ROOT / ".gitignore").read_bytes())
    for words in (["init", "-q"], ["add", "."], ["commit", "-q", "-m", "as it was"]):
        git(tmp_path, *words)
    words = ["plan", "--household", f"examples/{example}", "--from", "2027-03-01", "--days", "1"]
    done = subprocess.run(
        [sys.executable, "-m", "rotation", *words],
        cwd=tmp_path, env=environment(), capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout.count("checked: every rule holds.")) == (0, 1), done.stderr
    assert (folder / ".rotation").is_dir()
    assert git(tmp_path, "status", "--porcelain") == ""
