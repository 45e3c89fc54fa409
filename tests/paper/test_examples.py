"""A planned week of each example on paper: one page of either size, and no smaller than can be read."""

from __future__ import annotations

import re
from pathlib import Path
from shutil import copytree, ignore_patterns
from typing import TYPE_CHECKING

import pytest

from tests.commands.conftest import Run
from tests.paper.sample import pdf_of
from tests.test_project import EXAMPLES, NAMES

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.mark.long
@pytest.mark.parametrize("example", EXAMPLES, ids=NAMES)
def test_a_week_fills_one_page(rotation: Run, browser: Browser, example: Path, tmp_path: Path) -> None:
    home, page, pdf = tmp_path / "home", tmp_path / "week.html", tmp_path / "week.pdf"
    copytree(example, home, ignore=ignore_patterns(".rotation"))
    rotation("plan", "--household", home, "--from", "2027-03-01", "--days", "8", "--work", "quick")
    settings = (home / "household.toml").read_text(encoding="utf-8")
    for paper, sides in (("A4", (210, 297)), ("Letter", (215.9, 279.4))):
        (home / "household.toml").write_text(f'{settings}\n[paper]\nsize = "{paper}"\n', encoding="utf-8")
        ran = rotation("sheet", "--household", home, "--now", "2027-03-01", "--out", page, "--pdf", pdf)
        assert ran.code == 0, ran.err
        sizes, text = pdf_of(pdf)
        assert sizes == [pytest.approx(sides, abs=0.3)]
        assert all(f"{date}{name}" in text for date, name in ((1, "Monday"), (7, "Sunday")))
        (points,) = re.findall(r"font-size: ([\d.]+)pt", page.read_text(encoding="utf-8"))
        assert float(points) >= 7, "a fridge door is read from an arm's length"
