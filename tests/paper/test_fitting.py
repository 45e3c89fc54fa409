"""The room that text is reckoned to take, against the room a browser gives it."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any

from hypothesis import given
from hypothesis import strategies as st

from rotation.paper.fitting import largest, lines_of, points, width_em
from tests.browser import DESKTOP, opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser

TEXTS = (
    "BREAD OUT: 1 Country loaf, bag B, freezer to fridge, bagged.",
    "959 g strong wheat flour + 107 spelt flour + 341 water + 320 milk + 75 butter",
    "Breakfast: 4 slices of Country loaf from the bread box and 1 slice of Milk tin loaf, bag A, straight from it.",
    "Freezer tonight: 14 slices of Country loaf (1 bag), 5 Breakfast rolls, 48 slices of Milk tin loaf (2 bags)",
    "Für Großmutters Frühstück: Brötchen, Äpfel, Süßes",
)
STYLE = "font: 100px Arial, Liberation Sans, Helvetica, sans-serif; white-space: nowrap; position: absolute"


def test_widths_are_those_of_a_browser_with_a_little_to_spare(browser: Browser) -> None:
    with opened(browser, DESKTOP) as tab:
        for weight in (400, 700):
            tab.set_content("".join(f'<p style="{STYLE}; font-weight: {weight}">{text}</p>' for text in TEXTS))
            real: list[Any] = tab.evaluate("[...document.querySelectorAll('p')].map(one => one.offsetWidth / 100)")
            for text, width in zip(TEXTS, real, strict=True):
                assert 1.0 <= width_em(text, weight == 700) / width < 1.2, text


def test_lines_are_those_of_a_browser(browser: Browser) -> None:
    """As many, or one more for each ten; never fewer."""
    with opened(browser, DESKTOP) as tab:
        for room in (12, 20, 37):
            style = f"font: 20px/20px Arial, Liberation Sans, sans-serif; overflow-wrap: anywhere; width: {20 * room}px"
            tab.set_content("".join(f'<p style="{style}">{text}</p>' for text in (*TEXTS, "W" * 90)))
            real: list[int] = tab.evaluate("[...document.querySelectorAll('p')].map(one => one.offsetHeight / 20)")
            for text, lines in zip((*TEXTS, "W" * 90), real, strict=True):
                assert lines <= lines_of(text, room) <= lines + 1 + lines // 10, (room, text)


@given(st.text(max_size=200), st.floats(min_value=5, max_value=80))
def test_any_text_takes_some_lines_and_fewer_where_there_is_more_room(text: str, room: float) -> None:
    assert lines_of(text, 2 * room) <= lines_of(text, room)
    assert lines_of(text, room) >= 1


def test_the_largest_size_that_fits_is_taken() -> None:
    sizes = points(11, 6.5)
    assert (sizes[0], sizes[-1]) == (11, 6.5)
    assert all(before > after for before, after in pairwise(sizes))
    assert largest(sizes, lambda size: size <= 8.05) == 8
    assert largest(sizes, lambda size: size < 6) is None
