"""`rotation sheet`: where the page goes, and what is said where there is none."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rotation.ledger import Ledger
from rotation.paper import chromium
from tests.commands.conftest import Run
from tests.paper.sample import document, text_of

NOW = ("--now", "2027-03-05T17:00")


@pytest.fixture
def kept(home: Path) -> Path:
    (home / ".rotation").mkdir()
    with Ledger.open(home / ".rotation") as ledger:
        ledger.keep_plan(json.dumps(document()), datetime(2027, 3, 5, 16, tzinfo=UTC))
    return home


def test_the_page_is_printed_or_written(rotation: Run, kept: Path, tmp_path: Path) -> None:
    printed = rotation("sheet", "--household", kept, *NOW)
    assert (printed.code, printed.err) == (0, "")
    assert "BREAD OUT: 9 rolls, bag B" in text_of(printed.out)
    written = rotation("sheet", "--household", kept, *NOW, "--out", tmp_path / "week.html")
    assert (written.code, written.out, written.err) == (0, "", f"sheet written to {tmp_path / 'week.html'}\n")
    assert (tmp_path / "week.html").read_text(encoding="utf-8") == printed.out


def test_so_many_days_as_asked_for(rotation: Run, kept: Path) -> None:
    page = text_of(rotation("sheet", "--household", kept, *NOW, "--days", "2").out)
    assert "Fri 5 Mar to Sat 6 Mar 2027" in page
    text = (kept / "household.toml").read_text(encoding="utf-8")
    assert text.count("\ndays = 7 ") == 1
    (kept / "household.toml").write_text(text.replace("\ndays = 7 ", "\ndays = 1 "), encoding="utf-8")
    assert "Fri 5 Mar 2027" in text_of(rotation("sheet", "--household", kept, *NOW).out)


def test_an_old_plan_is_said_to_be_old(rotation: Run, kept: Path) -> None:
    late = rotation("sheet", "--household", kept, "--now", "2027-03-07T08:00")
    assert late.code == 0
    assert late.err == "This plan is a day old. Plan again before you rely on it.\n"
    assert "Old plan. This plan is a day old." in text_of(late.out)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--now", "2027-03-09"), "sheet: the plan kept is over. Plan on: rotation plan\n"),
        ((*NOW, "--out", "/"), "--out: is a folder."),
        ((*NOW, "--pdf", "nowhere/week.pdf"), "--pdf: is in no folder that is there."),
        ((*NOW, "--days", "0"), '--days: "0" is not a number of days'),
    ],
)
def test_what_cannot_be_is_said(rotation: Run, kept: Path, words: tuple[str, ...], said: str) -> None:
    ran = rotation("sheet", "--household", kept, *words)
    assert (ran.code, ran.out) == (2, "")
    assert said.partition(":")[2].strip()[:20] in ran.err


def test_without_a_plan_or_with_one_of_an_older_program(rotation: Run, home: Path) -> None:
    ran = rotation("sheet", "--household", home, *NOW)
    assert (ran.code, ran.err) == (2, "sheet: no plan is kept. Make one: rotation plan\n")
    (home / ".rotation").mkdir(exist_ok=True)
    older = {key: value for key, value in document().items() if key != "strips"}
    with Ledger.open(home / ".rotation") as ledger:
        ledger.keep_plan(json.dumps(older), datetime(2027, 3, 5, 16, tzinfo=UTC))
    assert "the plan kept is of an older program" in rotation("sheet", "--household", home, *NOW).err


def test_without_a_browser_there_is_no_pdf(
    rotation: Run, kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.delenv(chromium.VARIABLE, raising=False)
    ran = rotation("sheet", "--household", kept, *NOW, "--pdf", tmp_path / "week.pdf")
    assert ran.code == 2
    assert "--pdf: needs a Chromium browser, and there is none. Install chromium, or name its program" in ran.err
    assert not (tmp_path / "week.pdf").exists()


def test_a_pdf_is_written(rotation: Run, kept: Path, tmp_path: Path) -> None:
    if chromium.find(os.environ) is None:
        pytest.skip("no Chromium browser on this machine")
    ran = rotation("sheet", "--household", kept, *NOW, "--pdf", tmp_path / "week.pdf")
    assert (ran.code, ran.out, ran.err) == (0, "", f"sheet written to {tmp_path / 'week.pdf'}\n")
    assert (tmp_path / "week.pdf").read_bytes().startswith(b"%PDF")
