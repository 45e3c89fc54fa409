"""The sheet as a page: whole, on its own, harmless whatever titles say, and readable on every screen and on paper."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import pytest

from rotation.household.reading import Home
from rotation.paper import chromium, fitting, rendering
from rotation.paper.sheet import LARGEST, SMALLEST, page, print_sheet, set_for
from rotation.show.sheet import Sheet
from rotation.units import Display, read_clocks
from tests.browser import DESKTOP, PHONE, SCHEMES, SIZES, opened, too_wide, violations
from tests.paper.contrast import contrast, palettes
from tests.paper.sample import HOSTILE, document, pdf_of, text_of, told, week
from tests.show.sample import ZONE, problem

if TYPE_CHECKING:
    from playwright.sync_api import Browser

CSS = (Path(rendering.__file__).parent / "templates" / "sheet.css").read_text(encoding="utf-8")


def html_of(sheet: Sheet, paper: str = "A4") -> str:
    return page(sheet, ZONE, paper, Display())


def squeezed(text: str) -> str:
    return "".join(text.split())


def all_words(sheet: Sheet) -> list[str]:
    """Return what must be read on the page, without blanks."""
    acts = [act for day in sheet.days for act in day.acts]
    words = [f"{act.times}{act.over}{act.who}{act.act}{act.what}{act.detail}" for act in acts]
    words += [f"{meal.times}{meal.title}" for day in sheet.days for meal in day.meals]
    words += [meal.what for day in sheet.days for meal in day.meals]
    words += [day.tonight for day in sheet.days] + [f"{bag.letter}{bag.what}" for bag in sheet.bags]
    return [squeezed(text) for text in [*words, *sheet.cautions, sheet.household, sheet.span]]


def test_all_of_it_stands_on_the_page(weekend: Sheet) -> None:
    text = squeezed(text_of(html_of(weekend)))
    assert [words for words in all_words(weekend) if words not in text] == []


def test_the_page_needs_nothing_else(weekend: Sheet) -> None:
    html = html_of(weekend)
    assert not re.search(r"<script|<link|<img|<iframe|\ssrc=|\son\w+=|https?:|@import", html)
    assert re.findall(r"url\(([^)]*)\)", html) == ["#warming"]
    assert "default-src 'none'" in html


def test_nothing_is_asked_of_a_network(weekend: Sheet, browser: Browser, tmp_path: Path) -> None:
    (tmp_path / "week.html").write_text(html_of(weekend), encoding="utf-8")
    with opened(browser) as tab:
        asked: list[str] = []
        tab.on("request", lambda request: asked.append(request.url))
        tab.goto((tmp_path / "week.html").as_uri())
        assert asked == [(tmp_path / "week.html").as_uri()]


QUICK = (("phone", "light"), ("desktop", "dark"))
SCREENS = [
    pytest.param(size, scheme, marks=() if (size, scheme) in QUICK else pytest.mark.long)
    for size in SIZES
    for scheme in SCHEMES
]


@pytest.mark.parametrize(("size", "scheme"), SCREENS)
def test_every_screen_can_show_it(
    weekend: Sheet, browser: Browser, size: str, scheme: Literal["light", "dark"]
) -> None:
    with opened(browser, SIZES[size], scheme) as tab:
        tab.set_content(html_of(replace(week(weekend), old="This plan is a day old.")))
        assert too_wide(tab) == []
        tab.locator("summary").click()
        assert (violations(tab), too_wide(tab)) == ([], [])


def test_on_a_phone_the_days_come_before_the_freezer(weekend: Sheet, browser: Browser) -> None:
    for size, alone in ((PHONE, True), (DESKTOP, False)):
        with opened(browser, size) as tab:
            tab.set_content(html_of(week(weekend)))
            boxes = [tab.locator(which).bounding_box() for which in ("section.day >> nth=-1", ".stock")]
            assert boxes[0]
            assert boxes[1]
            assert not alone or boxes[0]["y"] + boxes[0]["height"] <= boxes[1]["y"]


@pytest.mark.parametrize("scheme", ["light", "dark", "paper"])
def test_colours_can_be_told_apart(scheme: str) -> None:
    of = palettes(CSS)[scheme]
    for text in ("ink", "soft", "crust", "lack", "cold"):
        assert contrast(of[text], of["card"]) >= 4.5, text
        assert contrast(of[text], of["paper"]) >= 4.5, text
    for text in ("ink", "soft"):
        assert contrast(of[text], of["bed"]) >= 4.5, text
    for mark in ("crust", "ember", "cold", "soft"):
        assert contrast(of[mark], of["bed"]) >= 3, mark


def test_the_contrast_is_that_of_the_guidelines() -> None:
    """Black on white is 21, #777 on white just misses 4.5 and #767676 has it (WCAG 2.2, from memory)."""
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") < 4.5 <= contrast("#767676", "#ffffff")


def hostile(home: Home) -> Sheet:
    """Return a sheet in which every name and title is one that nobody should have."""
    house = problem()
    house = replace(
        house,
        people=tuple(replace(one, name=HOSTILE[at]) for at, one in enumerate(house.people)),
        breads=tuple(replace(one, name=HOSTILE[at % 4]) for at, one in enumerate(house.breads, 1)),
        meals=tuple(replace(one, summary=HOSTILE[at % 4]) for at, one in enumerate(house.meals)),
        ovens=tuple(replace(one, name=HOSTILE[2]) for one in house.ovens),
    )
    breads = {
        id_: bread.model_copy(update={"name": HOSTILE[at]}) for at, (id_, bread) in enumerate(home.breads.items())
    }
    settings = home.settings.model_copy(update={"name": HOSTILE[3]})
    found = told(replace(home, breads=breads, settings=settings), of=document(house))
    assert found is not None
    return week(found)


def test_hostile_titles_are_only_text(house: Home) -> None:
    html = html_of(hostile(house))
    assert "<script" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]", html)
    assert "<bdi>שלום</bdi>" in html
    assert "W" * 100 not in html


@pytest.mark.parametrize("size", ["phone", pytest.param("desktop", marks=pytest.mark.long)])
def test_hostile_titles_leave_the_layout_as_it_is(house: Home, browser: Browser, size: str) -> None:
    with opened(browser, SIZES[size]) as tab:
        tab.on("dialog", lambda dialog: pytest.fail("a script ran"))
        tab.set_content(html_of(hostile(house)))
        assert (violations(tab), too_wide(tab)) == ([], [])


def one_page(sheet: Sheet, paper: str, folder: Path) -> str:
    """Return all text, without blanks, of a sheet that was printed on one page of the paper."""
    chromium.print_pdf(chromium.needed({}), html_of(sheet, paper), folder / f"{paper}.pdf")
    sizes, text = pdf_of(folder / f"{paper}.pdf")
    assert sizes == [pytest.approx({"A4": (210, 297), "Letter": (215.9, 279.4)}[paper], abs=0.3)]
    return text


@pytest.mark.parametrize("paper", ["A4", pytest.param("Letter", marks=pytest.mark.long)])
def test_a_week_prints_on_one_page_with_nothing_cut(
    weekend: Sheet, browser: Browser, paper: str, tmp_path: Path
) -> None:
    sheet = week(weekend)
    text = one_page(sheet, paper, tmp_path)
    assert [words for words in all_words(sheet) if words not in text] == []
    assert set_for(sheet, paper).fits


@pytest.mark.long
def test_wider_fonts_than_reckoned_still_print_on_one_page(
    weekend: Sheet, browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fitting, "SPARE", 0.85)
    program, full = chromium.needed({}), week(weekend)
    chromium.print_pdf(program, html_of(full), tmp_path / "two.pdf")
    assert chromium.pages_of(tmp_path / "two.pdf") == len(pdf_of(tmp_path / "two.pdf")[0]) == 2
    print_sheet(program, full, ZONE, "A4", Display(), tmp_path / "one.pdf")
    assert len(pdf_of(tmp_path / "one.pdf")[0]) == 1


@pytest.mark.long
def test_a_hostile_week_prints_on_one_page(house: Home, browser: Browser, tmp_path: Path) -> None:
    sheet = hostile(house)
    assert set_for(sheet, "A4").fits
    text = one_page(sheet, "A4", tmp_path)
    assert "alert(1)" in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_what_is_printed_keeps_within_the_margins(weekend: Sheet, browser: Browser, paper: str, tmp_path: Path) -> None:
    """Measured at the width of the paper between its margins, in CSS pixels of 1/96 inch."""
    wide, high = {"A4": (194, 281), "Letter": (199.9, 263.4)}[paper]
    with opened(browser, (round(wide * 96 / 25.4), 1000)) as tab:
        tab.emulate_media(media="print")
        tab.set_content(html_of(week(weekend), paper))
        assert too_wide(tab) == []
        tall: float = tab.evaluate("document.documentElement.getBoundingClientRect().height * 25.4 / 96")
        assert 0.6 * high < tall <= high, "the page is full, and no fuller"


def test_text_is_as_large_as_the_page_allows(weekend: Sheet) -> None:
    full, short = set_for(week(weekend), "A4"), set_for(weekend, "A4")
    assert SMALLEST < full.points < short.points <= LARGEST
    busy = week(replace(weekend, days=tuple(replace(day, acts=day.acts * 9) for day in weekend.days)))
    assert set_for(busy, "A4") == replace(set_for(busy, "A4"), points=SMALLEST, fits=False)


@pytest.mark.long
def test_more_days_run_on_over_pages(weekend: Sheet, browser: Browser, tmp_path: Path) -> None:
    fortnight = replace(week(weekend), days=week(weekend).days * 2)
    chromium.print_pdf(chromium.needed({}), html_of(fortnight), tmp_path / "two.pdf")
    sizes, text = pdf_of(tmp_path / "two.pdf")
    assert len(sizes) > 1
    assert [words for words in all_words(fortnight) if words not in text] == []


def test_clocks_of_twelve_hours_have_room(house: Home, browser: Browser) -> None:
    read_clocks(12)
    found = told(house)
    assert found is not None
    html = html_of(week(found))
    assert "8:30 am" in text_of(html)
    with opened(browser, PHONE) as tab:
        tab.set_content(html)
        assert too_wide(tab) == []
        lefts: list[Any] = tab.evaluate(
            "[...document.querySelectorAll('.acts .who')].map(one => Math.round(one.getBoundingClientRect().left))"
        )
        assert max(lefts.count(left) for left in lefts) > 0.8 * len(lefts), "names stand beneath each other"
