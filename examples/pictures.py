"""Makes the pictures of the README from an example home: the sheet, a label, and the kitchen page on a phone.

Run it from the checkout's root: .venv/bin/python examples/pictures.py
It plans a week in a copy of the example, and wants the test dependencies (playwright, Pillow) and a Chromium browser.
"""

from __future__ import annotations

import os
import sys
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from shutil import copytree, ignore_patterns
from socket import socket
from tempfile import TemporaryDirectory
from threading import Thread
from time import sleep

from PIL import Image
from playwright.sync_api import Browser, sync_playwright
from uvicorn import Config, Server

from rotation.commands import run
from rotation.page.app import create_app
from rotation.paper import chromium

HERE = Path(__file__).parent
EXAMPLE, NOW = "school-week", "2027-03-01"
PICTURES = HERE / "pictures"
PAPER = {"width": 794, "height": 1123}
"""A4 in CSS pixels."""
PHONE, SATURDAY = {"width": 390, "height": 844}, "2027-03-06T08:07+01:00"


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
        small(picture, path)


def small(picture: Image.Image, path: Path) -> None:
    """Write a picture in a palette so that it stays small."""
    few = picture.convert("RGB").quantize(64, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE)
    few.save(path, optimize=True)
    print(f"{path}: {path.stat().st_size // 1000} kB")


def phones(browser: Browser, home: Path) -> None:
    """Take a picture of the kitchen page on three phones, side by side."""
    with socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    now = datetime.fromisoformat(SATURDAY).astimezone(UTC)
    server = Server(Config(create_app(home, lambda: now), host="127.0.0.1", port=port, log_level="error"))
    Thread(target=server.run, daemon=True).start()
    while not server.started:
        sleep(0.05)
    seen = []
    for path, scheme in (("/", "light"), ("/freezer", "light"), ("/timers", "dark")):
        tab = browser.new_page(viewport=PHONE, device_scale_factor=1.25, color_scheme=scheme, reduced_motion="reduce")
        tab.goto(f"http://localhost:{port}{path}")
        seen.append(Image.open(BytesIO(tab.screenshot())).convert("RGB"))
        tab.close()
    gap = 24
    whole = Image.new("RGB", (sum(one.width + gap for one in seen) - gap, seen[0].height), "white")
    for number, one in enumerate(seen):
        whole.paste(one, (number * (one.width + gap), 0))
    small(whole, PICTURES / "page.png")
    server.should_exit = True


def main() -> None:
    """Make all pictures."""
    program = chromium.needed(os.environ)
    with TemporaryDirectory() as folder, sync_playwright() as play:
        sheet, labels = made(Path(folder))
        browser = play.chromium.launch(executable_path=program, args=["--no-sandbox"])
        taken(browser, sheet, "body", "sheet.png", media="print")
        taken(browser, labels, ".label", "label.png", media="screen")
        phones(browser, Path(folder) / EXAMPLE)
        browser.close()


if __name__ == "__main__":
    main()
