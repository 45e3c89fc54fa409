"""`rotation labels`: for which bags, where they go, and what is said where there is none."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rotation.ledger import Ledger
from rotation.paper import chromium
from tests.commands.conftest import NOW, Run
from tests.paper.sample import document, text_of

AT = ("--now", NOW)


def letters(html: str) -> list[str]:
    return [part.partition(">")[2].partition("<")[0] for part in html.split('<b class="letter"')[1:]]


def test_every_bag_gets_one(rotation: Run, home: Path, tmp_path: Path) -> None:
    printed = rotation("labels", "--household", home, *AT)
    assert (printed.code, printed.err, sorted(letters(printed.out))) == (0, "", ["A", "B", "C"])
    written = rotation("labels", "--household", home, *AT, "--out", tmp_path / "labels.html")
    assert (written.code, written.out, written.err) == (0, "", f"3 labels written to {tmp_path / 'labels.html'}\n")
    assert (tmp_path / "labels.html").read_text(encoding="utf-8") == printed.out
    text = text_of(printed.out)
    assert "Country loaf 2 loaves, part-baked Frozen Mon 1 Mar 2027" in text
    assert "Contains gluten, rye and wheat" in text


def test_some_bags_get_one_after_places_used_up(rotation: Run, home: Path) -> None:
    ran = rotation("labels", "c", "A", "--skip", "7", "--household", home, *AT)
    assert letters(ran.out) == ["C", "A"]
    assert ran.out.count('<section class="page"') == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("X",), 'labels: there is no bag "X". There is: C, B, A.\n'),
        (("--skip", "8"), "--skip: a sheet has 8 places, so 8 cannot be used up. Write 0 to 7.\n"),
        (("--planned",), "labels: the kept plan fills no bag. Plan on: rotation plan\n"),
        (("--pdf", "nowhere/x.pdf"), "--pdf: nowhere/x.pdf: is in no folder that is there."),
    ],
)
def test_what_cannot_be_is_said(rotation: Run, home: Path, words: tuple[str, ...], said: str) -> None:
    ran = rotation("labels", *words, "--household", home, *AT)
    assert (ran.code, ran.out) == (2, "")
    assert said.split(": ", 1)[-1].strip()[:25] in ran.err


def test_an_empty_freezer_has_none(rotation: Run, home: Path) -> None:
    (home / "stock.toml").write_text("", encoding="utf-8")
    ran = rotation("labels", "--household", home, *AT)
    assert (ran.code, ran.out) == (2, "")
    assert (
        "the freezer holds no bag, as far as we know. Of bags still to be baked: rotation labels --planned" in ran.err
    )


def test_bags_still_to_be_baked(rotation: Run, home: Path) -> None:
    (home / ".rotation").mkdir()
    with Ledger.open(home / ".rotation") as ledger:
        ledger.keep_plan(json.dumps(document()), datetime(2027, 3, 5, 16, tzinfo=UTC))
    ran = rotation("labels", "--planned", "--household", home, "--now", "2027-03-05T17:00")
    assert (ran.code, letters(ran.out)) == (0, [""])
    assert "2 sourdough, part-baked To be frozen Sun 7 Mar 2027" in text_of(ran.out)
    assert "<svg" not in ran.out
    late = rotation("labels", "--planned", "--household", home, "--now", "2027-03-07T13:00")
    assert late.code == 2, "they are baked by then"


def test_labels_that_the_paper_does_not_hold_are_a_mistake_of_the_file(rotation: Run, home: Path) -> None:
    settings = home / "household.toml"
    text = settings.read_text(encoding="utf-8")
    settings.write_text(text.replace("# width_mm = 99 ", "width_mm = 120 "), encoding="utf-8")
    ran = rotation("labels", "--household", home, *AT)
    assert ran.code == 2
    assert "labels.width_mm: 2 columns take 240.0 mm, the paper has 210. Measure the label" in ran.err
    settings.write_text(text.replace("\nrows = 4\n", "\nrows = 12\n"), encoding="utf-8")
    ran = rotation("labels", "--household", home, *AT)
    assert "labels.rows: 12 rows leave 24.8 mm for each label; it needs 30. Write fewer rows" in ran.err


@pytest.mark.long
def test_a_pdf_is_written(rotation: Run, home: Path, tmp_path: Path) -> None:
    if chromium.find(os.environ) is None:
        pytest.skip("no Chromium browser on this machine")
    ran = rotation("labels", "--household", home, *AT, "--pdf", tmp_path / "labels.pdf")
    assert (ran.code, ran.out) == (0, "")
    assert ran.err.startswith(f"3 labels written to {tmp_path / 'labels.pdf'}. Print at 100 %")
    assert (tmp_path / "labels.pdf").read_bytes().startswith(b"%PDF")
