"""A sheet of the sample weekend of tests/show, and what is read off a page or a PDF of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from pypdf import PdfReader

from rotation.buying import Shopping
from rotation.happened import Happened
from rotation.household.reading import Home
from rotation.ledger import Lot, LotState, Standing
from rotation.plan import Plan
from rotation.problem import Problem
from rotation.show.plan_json import plan_json
from rotation.show.sheet import Sheet, sheet
from tests.show.sample import ZONE, plan, problem

FRIDAY = datetime(2027, 3, 5, 17, tzinfo=ZONE)
DAY = timedelta(days=1)

HOSTILE = (
    "<script>alert(1)</script>",
    "\u202egnalb\u202c שלום 12 عربي",
    "W" * 10_000,
    '\x1b]0;title\x07\x1b[31mred\x1b[0m & "quoted" \'</title>',
)
"""Titles nobody should have: markup, turned reading order, ten thousand letters without a gap, terminal escapes."""


def document(house: Problem | None = None, of: Plan | None = None) -> dict[str, Any]:
    grams = {("bake-1", "mix"): "200 g starter + 600 strong wheat flour + 420 water + 14 salt, KEEP 20 starter"}
    return plan_json(house or problem(), of or plan(), "Home", [], checked=True, recipes=grams)


def bag(letter: str, bread: str, form: str, left: int, days: int, standing: Standing = Standing.GOOD) -> LotState:
    bagged = datetime(2027, 2, 20, tzinfo=UTC)
    lot = Lot(id=f"lot-{letter}", letter=letter, bread=bread, form=form, bagged=bagged, through=bagged + DAY,
              eat_first=bagged + 28 * DAY, toast_after=bagged + 84 * DAY, strict_until=None)  # fmt: skip
    return LotState(lot, left, standing, days)


LOTS = (bag("C", "country", "part-baked", 1, -3, Standing.EAT_FIRST), bag("A", "tin", "sliced", 30, 15))
NOTHING = Shopping((), (), (), FRIDAY + 3 * DAY)


def told(
    home: Home, now: datetime = FRIDAY, days: int = 7, happened: tuple[Happened, ...] = (),
    of: dict[str, Any] | None = None,
) -> Sheet | None:  # fmt: skip
    return sheet(home, of or document(), happened, LOTS, {}, NOTHING, now, days)


def week(some: Sheet) -> Sheet:
    """Return the sheet with its days over and over until they are seven: a full week."""
    days = (some.days * 7)[:7]
    first = date(2027, 3, 5)
    return replace(some, days=tuple(replace(day, date=first + number * DAY) for number, day in enumerate(days)))


class _Text(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.parts: list[str] = []
        self._not: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag in ("style", "script", "svg", "details"):
            self._not.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self._not and self._not[-1] == tag:
            self._not.pop()

    def handle_data(self, data: str) -> None:
        if not self._not:
            self.parts.append(data)


def text_of(html: str) -> str:
    """Return what stands on a page beside its picture, blanks as one."""
    reader = _Text()
    reader.feed(html)
    return " ".join("".join(reader.parts).split())


def pdf_of(path: Path) -> tuple[list[tuple[float, float]], str]:
    """Return width and height of each page of a PDF, in millimetres, and all text without blanks."""
    pages = PdfReader(path).pages
    sizes = [(float(page.mediabox.width) * 25.4 / 72, float(page.mediabox.height) * 25.4 / 72) for page in pages]
    return sizes, "".join("".join(page.extract_text().split()) for page in pages)
