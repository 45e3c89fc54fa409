"""Labels on paper: where they are, in millimetres, that nothing is cut, and that their codes can be read."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import zxingcpp
from PIL import Image

from calendars.text import clean
from rotation.household.paper import Labels
from rotation.paper import chromium
from rotation.paper.labels import SMALLEST, page, set_for
from rotation.show.labels import Label
from tests.browser import PHONE, opened, violations
from tests.paper.sample import HOSTILE, pdf_of, text_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser

LOAF = Label(
    letter="B",
    bread="Country loaf",
    amount="2 loaves, part-baked",
    frozen="Frozen Sat 6 Mar 2027",
    dates="Eat first from 4 Apr. For toast from 30 May.",
    ways=(
        "Worktop 6 h to 16 h, 18 min at 220 (fan 200), stand 15 min.",
        "Fridge 8 h 15 min to 30 h, 18 min at 220 (fan 200), stand 15 min.",
        "Frozen: 30 min at 150 (fan 130), 20 min at 230 (fan 210), stand 30 min.",
    ),
    contains="gluten, rye and wheat",
    beside="Same kitchen: egg, milk and sesame.",
    warning="",
    caution="Golden, not dark. Mould? The whole loaf goes, unsniffed.",
    code="http://kitchen.example:8377/freezer/bag/country%3A2027-03-06%3Apart-baked",
)
FILLED = replace(LOAF, warning="Filled: thaw only in the fridge, cold within two hours of baking.")
HARMFUL = replace(LOAF, bread=clean(HOSTILE[2], 40), contains=clean(HOSTILE[0], 40), beside=clean(HOSTILE[1], 40),
                  amount=clean(HOSTILE[3], 40), ways=tuple(clean(one, 40) for one in HOSTILE))  # fmt: skip
SHEETS = {
    "divided": Labels(),
    "letter": Labels(size="Letter", columns=2, rows=3),
    "wide": Labels(columns=2, rows=5, width_mm=99, height_mm=57, left_mm=5, top_mm=6),
    "narrow": Labels(
        columns=3, rows=7, width_mm=63.5, height_mm=38, left_mm=7.2, top_mm=15, across_mm=2.5, down_mm=0.5
    ),
    "least": Labels(columns=4, rows=9, width_mm=50, height_mm=30),
}
LONG = pytest.mark.long
MM = 25.4 / 96
BOXES = """() => [...document.querySelectorAll('.page')].map(page => {
    const from = page.getBoundingClientRect();
    return [...page.querySelectorAll('.label')].map(one => {
        const box = one.getBoundingClientRect();
        return [box.left - from.left, box.top - from.top, box.width, box.height];
    });
})"""
CUT = """() => [...document.querySelectorAll('.label')].flatMap(label => {
    const style = getComputedStyle(label), outer = label.getBoundingClientRect();
    const inner = {
        right: outer.right - parseFloat(style.paddingRight) + 8, bottom: outer.bottom - parseFloat(style.paddingBottom),
        left: outer.left, top: outer.top,
    };
    return [...label.querySelectorAll('*')].filter(one => !one.closest('svg') || one.tagName === 'svg').filter(one => {
        const box = one.getBoundingClientRect();
        return box.right > inner.right + .5 || box.bottom > inner.bottom + .5 || box.left < inner.left - .5
            || box.top < inner.top - .5
            || one.scrollWidth > one.clientWidth + 8 && one.clientWidth > 0;
    }).map(one => `${one.tagName} ${one.textContent.trim().slice(0, 30)}`);
})"""


@pytest.mark.parametrize("sheet", SHEETS)
def test_labels_are_where_the_settings_say_and_nothing_is_cut(browser: Browser, sheet: str) -> None:
    settings, some = SHEETS[sheet], [LOAF, FILLED, HARMFUL, replace(LOAF, code="", letter="")]
    each = settings.columns * settings.rows
    with opened(browser, (900, 1200)) as tab:
        tab.emulate_media(media="print")
        tab.set_content(page(some, settings, skip=each - 2))
        pages: list[list[list[float]]] = tab.evaluate(BOXES)
        assert [len(boxes) for boxes in pages] == [2, 2]
        wide, high = settings.label_mm
        for boxes, first in zip(pages, (each - 2, 0), strict=True):
            for place, box in enumerate(boxes, first):
                row, column = divmod(place, settings.columns)
                left = settings.left_mm + column * (wide + settings.across_mm)
                top = settings.top_mm + row * (high + settings.down_mm)
                assert [side * MM for side in box] == pytest.approx([left, top, wide, high], abs=0.1)
        assert tab.evaluate(CUT) == []


@pytest.mark.parametrize(
    "sheet", ["divided", *(pytest.param(one, marks=pytest.mark.long) for one in ("letter", "narrow"))]
)
def test_pages_have_the_size_of_the_paper(browser: Browser, sheet: str, tmp_path: Path) -> None:
    settings = SHEETS[sheet]
    number = settings.columns * settings.rows + 1
    chromium.print_pdf(chromium.needed({}), page([LOAF] * number, settings), tmp_path / "labels.pdf")
    sizes, text = pdf_of(tmp_path / "labels.pdf")
    paper = (215.9, 279.4) if settings.size == "Letter" else (210, 297)
    assert sizes == [pytest.approx(paper, abs=0.3)] * 2
    assert text.count("Countryloaf") == number


def test_plain_paper_has_lines_to_cut_along(browser: Browser) -> None:
    with opened(browser, (900, 1200)) as tab:
        for sheet, lines in (("divided", 1 + 3), ("narrow", 0)):
            tab.set_content(page([LOAF], SHEETS[sheet]))
            assert tab.locator(".cut").count() == lines
        tab.emulate_media(media="print")
        tab.set_content(page([LOAF], SHEETS["divided"]))
        cuts: list[list[float]] = tab.evaluate(
            "[...document.querySelectorAll('.cut')].map(one => [one.offsetLeft, one.offsetTop])"
        )
        assert sorted(round(left * MM) + round(top * MM) for left, top in cuts) == [74, 105, 148, 223]


@pytest.mark.parametrize("sheet", ["divided", "wide"])
def test_codes_can_be_read(browser: Browser, sheet: str) -> None:
    """By another library than the one that made them (ZXing), at 300 dots an inch."""
    with opened(browser, (900, 1200), device_scale_factor=300 / 96) as tab:
        tab.set_content(page([LOAF], SHEETS[sheet]))
        picture = Image.open(BytesIO(tab.locator(".code").screenshot()))
        assert [one.text for one in zxingcpp.read_barcodes(picture)] == [LOAF.code]


def test_small_labels_leave_out_what_can_be_missed(browser: Browser) -> None:
    made: dict[str, Any] = {}
    for sheet, settings in SHEETS.items():
        html = page([LOAF, FILLED], settings)
        text = text_of(html)
        assert text.count("Contains gluten, rye and wheat") == text.count(LOAF.dates) == 2, sheet
        assert FILLED.warning in text, sheet
        made[sheet] = set_for(LOAF, settings.label_mm[0] - 4, settings.label_mm[1] - 4)
    assert made["divided"].code_mm == 22
    assert made["narrow"].code_mm == 0
    assert made["divided"].label == LOAF
    assert len(made["least"].label.ways) < 3
    assert all(one.points >= SMALLEST for one in made.values())


def test_the_page_needs_nothing_else_and_can_be_heard(browser: Browser) -> None:
    html = page([LOAF, HARMFUL], Labels())
    assert not any(word in html for word in ("<script", "<img", "<link", " src=", "@import"))
    assert "&lt;script&gt;" in html
    with opened(browser, PHONE) as tab:
        tab.set_content(html)
        assert violations(tab) == []
