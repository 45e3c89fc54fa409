"""What the tests of pages measure with is itself right: a bad page is found bad, a good one good."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from rotation.errors import BadInput, StorageError
from rotation.paper import chromium
from tests.browser import PHONE, opened, small_targets, too_wide, violations

if TYPE_CHECKING:
    from playwright.sync_api import Browser

GOOD = """<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Bread</title>
<style>a { display: block; width: 60px; height: 60px }</style></head>
<body><main><h1>Bread</h1><a href="#">All</a></main></body></html>"""
BAD = """<!DOCTYPE html><html><body><img src="data:,"><p style="color:#ccc;background:#fff">pale</p>
<div style="width:500px">wide</div><div style="overflow:hidden;width:40px;white-space:nowrap">much too long</div>
<button style="width:20px;height:20px">x</button></body></html>"""


def test_a_good_page_is_found_good(browser: Browser) -> None:
    with opened(browser, PHONE) as page:
        page.set_content(GOOD)
        assert (violations(page), too_wide(page), small_targets(page)) == ([], [], [])


def test_a_bad_page_is_found_bad(browser: Browser) -> None:
    with opened(browser, PHONE) as page:
        page.set_content(BAD)
        rules = {line.partition(":")[0] for line in violations(page)}
        assert rules >= {"color-contrast", "image-alt", "html-has-lang"}
        assert [line.partition(":")[0] for line in too_wide(page)] == ["page", "beyond the edge", "cut"]
        assert len(small_targets(page)) == 1


def test_a_browser_is_named_or_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    program = tmp_path / "chromium-browser"
    program.write_text("#!/bin/sh\n", encoding="utf-8")
    program.chmod(0o700)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert chromium.find({}) == str(program)
    assert chromium.find({chromium.VARIABLE: str(program)}) == str(program)
    with pytest.raises(BadInput, match=r'names "no-browser-of-this-name", which is no program'):
        chromium.find({chromium.VARIABLE: "no-browser-of-this-name"})
    with pytest.raises(StorageError, match="printed nothing"):
        chromium.print_pdf(str(program), GOOD, tmp_path / "out.pdf")
    program.unlink()
    with pytest.raises(BadInput, match=r"needs a Chromium browser.*Install chromium"):
        chromium.needed({})
    assert list(tmp_path.iterdir()) == []


def test_a_browser_that_hangs_or_has_no_place_to_write_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    program = tmp_path / "chromium"
    program.write_text("#!/bin/sh\nwhile :; do :; done\n", encoding="utf-8")
    program.chmod(0o700)
    monkeypatch.setattr(chromium, "LONGEST", 0.1)
    with pytest.raises(StorageError, match=r"did not print within 0\.1 seconds\. Nothing was written"):
        chromium.print_pdf(str(program), GOOD, tmp_path / "out.pdf")
    with pytest.raises(StorageError, match="cannot be written"):
        chromium.print_pdf(str(program), GOOD, tmp_path / "nowhere" / "out.pdf")
    assert [path.name for path in tmp_path.iterdir()] == ["chromium"]


def test_a_page_becomes_a_pdf_of_its_own_paper(browser: Browser, tmp_path: Path) -> None:
    """`browser` is asked for only so that this is skipped where there is none."""
    page = GOOD.replace("<style>", "<style>@page { size: 100mm 50mm; margin: 0 }")
    chromium.print_pdf(chromium.needed({}), page, tmp_path / "out.pdf")
    (sheet,) = PdfReader(tmp_path / "out.pdf").pages
    sides = [float(side) * 25.4 / 72 for side in sheet.mediabox[2:]]
    assert sides == pytest.approx([100, 50], abs=0.3)  # whole CSS pixels
    assert "Bread" in sheet.extract_text()
    assert [path.name for path in tmp_path.iterdir()] == ["out.pdf"]
