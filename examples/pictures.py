"""Makes the pictures of the README from an example home: the sheet and a label.

Run it from the checkout's root: .venv/bin/python examples/pictures.py
It plans a week in a copy of the example, and wants the test dependencies (playwright, Pillow) and a Chromium browser.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from shutil import copytree, ignore_patterns
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from rotation.commands import run
from rotation.paper import chromium

HERE = Path(__file__).parent
EXAMPLE, NOW = "school-week", "2027-03-01"
PICTURES = HERE / "pictures"
PAPER = {"width": 794, "height": 1123}
"""A4 in CSS pixels."""


def made(folder: Path) -> tuple[Path, Path]:
    """Return the sheet and the labels of a copy of the example, as HTML."""
    home, sheet, labels = folder / EXAMPLE, folder / "sheet.html", folder / "labels.html"
    copytree(HERE / EXAMPLE, home, ignore=ignore_patterns(".rotation"))
    for words in (
        ["plan", "--from", NOW, "--days", "9"],
        ["sheet", "--now", NOW, "--out", str(sheet)],
        ["labels", "B", "--now", NOW, "--out", str(labels)],
    ):
        code = run([*words, "--household", str(home)])
        if code:
            sys.exit(code)
    return sheet, labels


def taken(browser: Browser, page: Path, of: str, name: str, *, media: str) -> None:
    """Take a picture of a part of a page, in a palette so that it stays small."""
    tab = browser.new_page(viewport=PAPER, device_scale_factor=1.25)
    tab.emulate_media(media="print" if media == "print" else "screen")
    tab.goto(page.as_uri())
    if media == "print":
        tab.add_style_tag(content="body { padding: 8mm !important }")
    PICTURES.mkdir(exist_ok=True)
    path = PICTURES / name
    tab.locator(of).first.screenshot(path=path)
    tab.close()
    with Image.open(path) as picture:
        few = picture.convert("RGB").quantize(64, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
        few.save(path, optimize=True)
    print(f"{path}: {path.stat().st_size // 1000} kB")


def main() -> None:
    """Make all pictures."""
    program = chromium.needed(os.environ)
    with TemporaryDirectory() as folder, sync_playwright() as play:
        sheet, labels = made(Path(folder))
        browser = play.chromium.launch(executable_path=program, args=["--no-sandbox"])
        taken(browser, sheet, "body", "sheet.png", media="print")
        taken(browser, labels, ".label", "label.png", media="screen")
        browser.close()


if __name__ == "__main__":
    main()
