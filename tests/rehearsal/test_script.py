"""The script of the whole rehearsal: killed in the middle, it goes on, and comes to what it would have come to."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from rotation.rehearsal.runs import append, mend, read
from rotation.rehearsal.scenarios import STABILITY_SEEDS, TEST_SEEDS, TRAINING_SEEDS
from tests.rehearsal.test_report import OURS, THEIRS

ROOT = Path(__file__).parents[2]
KIND = "up to S"
SEEDS = (*TRAINING_SEEDS, 103)


def test_seeds_that_results_are_told_of_are_nobody_elses() -> None:
    """Rules are tuned on others, and scripts are tried on others."""
    assert not set(TEST_SEEDS) & {*SEEDS, *STABILITY_SEEDS, *range(1, 31)}


def _begun(rows: Path, *more: str) -> subprocess.Popen[str]:
    words = ["--weeks", "1", "--warm", "0", "--scenario", "easy", "--scenario", "usual"]
    words += [word for seed in SEEDS for word in ("--seed", str(seed))]
    command = [sys.executable, "-m", "tests.benchmarks.rehearsals", str(rows), *words, "--policy", KIND, *more]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def _lives(said: str) -> list[str]:
    return [line.split(": ")[0] for line in said.splitlines() if ", seed " in line]


@pytest.mark.long
def test_killed_it_goes_on(tmp_path: Path) -> None:
    """The same rows in the same order as without a stop, seed by seed; what was lived is not lived again."""
    whole, killed = tmp_path / "whole.csv", tmp_path / "killed.csv"
    said, _ = _begun(whole).communicate(timeout=600)
    lives = _lives(said)
    assert lives == [f"{where}, seed {seed}" for seed in SEEDS for where in ("usual", "easy")]
    program = _begun(killed)
    assert program.stdout is not None
    for line in program.stdout:
        if ", seed " in line:
            program.kill()
            break
    program.communicate(timeout=60)
    before = len(read(killed, 1))
    assert 1 <= before < 6
    with killed.open("a") as file:
        file.write(f"{KIND},usual,{SEEDS[2]},1,12")  # as a stop in the middle of writing leaves it
    said, _ = _begun(killed, "--processes", "2").communicate(timeout=600)
    assert "tuned to" not in said
    assert len(_lives(said)) == 6 - before
    assert sorted(killed.read_text().splitlines()) == sorted(whole.read_text().splitlines())


def test_half_a_run_is_no_run(tmp_path: Path) -> None:
    """What was stopped while it was written is taken out, and whole runs stay as they are."""
    path = tmp_path / "rows.csv"
    append(path, (KIND, "usual", 201), OURS)
    text = path.read_text()
    append(path, (KIND, "usual", 202), THEIRS[:2])
    with path.open("a") as file:
        file.write("up to S,usual,202,3,10")
    assert len(read(path)) == 2
    assert mend(path, len(OURS)) == {(KIND, "usual", 201): OURS}
    assert path.read_text() == text
    append(path, (KIND, "usual", 202), THEIRS)
    assert mend(path, len(OURS)).keys() == {(KIND, "usual", 201), (KIND, "usual", 202)}
    assert mend(path, 26) == {}
    assert not path.exists()
