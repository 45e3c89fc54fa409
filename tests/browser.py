"""A real browser for tests: Chromium through playwright, and what is measured of a page in it.

`browser` is a fixture of all tests; where there is no browser the tests that ask for it are skipped, and say so.
"""

from __future__ import annotations

import atexit
import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

import pytest

from rotation.paper.chromium import find

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PHONE, TABLET, DESKTOP = (390, 844), (820, 1180), (1280, 800)
SIZES = {"phone": PHONE, "tablet": TABLET, "desktop": DESKTOP}
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")


@pytest.fixture(scope="session")
def browser() -> Browser:
    program = find(os.environ)
    if program is None:
        pytest.skip("no Chromium browser on this machine: install chromium, or name it in ROTATION_BROWSER")
    return _started(program)


@cache
def _started(program: str) -> Browser:
    """Return the one browser of a test run, whichever modules ask for it by a fixture of their own."""
    from playwright.sync_api import sync_playwright

    play = sync_playwright().start()
    started = play.chromium.launch(executable_path=program, args=["--no-sandbox", "--disable-dev-shm-usage"])
    atexit.register(play.stop)
    atexit.register(started.close)
    return started


@contextmanager
def opened(
    browser: Browser, size: tuple[int, int] = DESKTOP, scheme: Literal["light", "dark"] = "light", **more: Any
) -> Iterator[Page]:
    """Yield an empty page of a browser of its own, with no cookies. more: as `Browser.new_context` takes it."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]}, color_scheme=scheme, reduced_motion="reduce", **more
    )
    context.set_default_timeout(10_000)
    try:
        yield context.new_page()
    finally:
        context.close()


def violations(page: Page) -> list[str]:
    """Return what axe-core finds wrong with a page as it is now: rule, what is wrong, and where."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response
    return [
        f"{one['id']}: {one['help']}: {node['target']} {node.get('failureSummary', '')}"
        for one in found["violations"]
        for node in one["nodes"]
    ]


def too_wide(page: Page) -> list[str]:
    """Return what reaches beyond the right edge of the page, or is cut or hidden within its own box, as it is now."""
    found: list[str] = page.evaluate(_TOO_WIDE)
    return found


_TOO_WIDE = """() => {
    const said = one => `${one.tagName.toLowerCase()}.${one.className?.baseVal ?? one.className} `
        + `"${(one.textContent || '').trim().slice(0, 40)}"`;
    const wide = document.documentElement.clientWidth, found = [];
    const whole = document.documentElement.scrollWidth;
    if (whole > wide) found.push(`page: ${whole} > ${wide}`);
    for (const one of document.body.querySelectorAll('*')) {
        const style = getComputedStyle(one), box = one.getBoundingClientRect();
        if (!box.width || !box.height || style.visibility === 'hidden' || style.position === 'absolute') continue;
        const scrolls = one.closest('[data-scrolls]');
        if (!scrolls && box.right > wide + 1) found.push(`beyond the edge: ${said(one)}`);
        const cuts = ['hidden', 'clip'].includes(style.overflowX) || ['hidden', 'clip'].includes(style.overflowY);
        if (cuts && style.textOverflow !== 'ellipsis' && one.clientWidth
            && (one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1))
            found.push(`cut: ${said(one)}`);
    }
    return found;
}"""
"""Elements inside one marked `data-scrolls` may be wider than the page: they scroll by themselves."""


def small_targets(page: Page, least: int = 44) -> list[str]:
    """Return links, buttons and fields that are to be tapped and smaller than so many CSS pixels either way.

    Links within a sentence are left out, as WCAG 2.2 (2.5.8) does.
    """
    found: list[str] = page.evaluate(_SMALL, least)
    return found


_SMALL = """least => [...document.querySelectorAll(
        'a[href], button, input:not([type=hidden]), select, summary, textarea')]
    .filter(one => {
        const box = (one.closest('label') || one).getBoundingClientRect(), style = getComputedStyle(one);
        if (!box.width || !box.height || style.visibility === 'hidden') return false;
        if (one.tagName === 'A' && style.display === 'inline') return false;
        if (one.matches('.skip') || box.bottom < 0) return false;
        return box.width < least - .5 || box.height < least - .5;
    }).map(one => `${one.tagName.toLowerCase()} "${(one.textContent || one.name || '').trim().slice(0, 40)}" `
        + `${Math.round(one.getBoundingClientRect().width)} x ${Math.round(one.getBoundingClientRect().height)}`)"""
