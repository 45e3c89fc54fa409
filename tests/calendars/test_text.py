"""Text of strangers is harmless wherever it comes out: on a screen, in JSON, in an error."""

from __future__ import annotations

import json
import unicodedata
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from calendars.listing import as_json, lines
from calendars.reading import read_calendar
from calendars.store import UnreadableCalendar
from calendars.text import clean, clean_lines

HOME = ZoneInfo("Europe/Berlin")
WINDOW = (datetime(2027, 3, 15, tzinfo=UTC), datetime(2027, 3, 20, tzinfo=UTC))
NASTY = [
    "\x1b[31mred\x1b[0m", "\x1b]8;;https://a.example\x07link\x1b]8;;\x07", "\x9b2J", "\x1bP1;2q\x1b\\", "\x1b",
    "\x07\x08", "<script>alert(1)</script>", "line\r\nbreak", "\u2028\u2029\x85", "\u202egnp.exe", "\u2066x\u2069",
    "\ufeff", "\x00", "BEGIN:VEVENT", "END:VCALENDAR", "\\n\\N\\,\\;\\\\", '"', ";", ":", "\ud800", "é",
    "e\u0301", "漢字",
]  # fmt: skip
texts = st.lists(st.one_of(st.sampled_from(NASTY), st.text(max_size=8)), max_size=6).map("".join)


def harmful(text: str, *, newlines: bool = False) -> list[str]:
    """Return the characters a terminal acts upon, or that turn the reading order around."""
    kinds = {"Cc", "Cs"}
    turning = set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u2028\u2029\ufeff")
    allowed = {"\n", "\t"} if newlines else set()
    return [char for char in text if (unicodedata.category(char) in kinds or char in turning) and char not in allowed]


@settings(max_examples=50, derandomize=True, deadline=None)
@given(texts)
@example("".join(NASTY))
def test_cleaned_text(text: str) -> None:
    assert not harmful(clean(text))
    assert not harmful(clean_lines(text), newlines=True)
    assert clean(clean(text)) == clean(text)
    assert len(clean(text, 10)) <= 10


def test_words_stay_as_they_are() -> None:
    assert clean("Brötchen für Zoë, <script> 漢字 👨‍👩‍👧") == "Brötchen für Zoë, <script> 漢字 👨‍👩‍👧"


@settings(max_examples=50, derandomize=True, deadline=None)
@given(st.lists(texts, min_size=6, max_size=6))
@example(["".join(NASTY)] * 6)
def test_through_a_file_to_the_screen(said: list[str]) -> None:
    uid, title, place, zone, category, name = (
        text.encode("utf-8", "replace").decode().replace("\n", "\\n") for text in said
    )
    event = (
        f"UID:{uid}\nSUMMARY:{title}\nLOCATION:{place}\nDESCRIPTION:{title}\nCATEGORIES:{category}\n"
        f"ATTENDEE;CN={name}:mailto:{name}\nDTSTART;TZID={zone}:20270316T100000\nDURATION:PT1H\n"
    )
    text = f"BEGIN:VCALENDAR\nX-WR-TIMEZONE:{zone}\nBEGIN:VEVENT\n{event}END:VEVENT\nEND:VCALENDAR\n"
    try:
        reading = read_calendar(text.encode("utf-8", "replace"), source=name, zone=HOME, window=WINDOW)
    except UnreadableCalendar:  # the text ended the calendar
        return
    for line in lines(reading, name, WINDOW, HOME):
        assert not harmful(line), line
    document = as_json(reading, name, WINDOW, HOME)
    for value in _texts(document):
        assert not harmful(value, newlines=True), value
    assert json.loads(json.dumps(document)) == document


def _texts(value: object) -> list[str]:
    if isinstance(value, dict):
        return [text for inner in value.values() for text in _texts(inner)]
    if isinstance(value, list):
        return [text for inner in value for text in _texts(inner)]
    return [value] if isinstance(value, str) else []


@pytest.mark.parametrize("size", [10, 100_000])
def test_cleaning_looks_at_no_more_than_is_shown(size: int) -> None:
    assert clean("\x1b]" + "x" * size, 5) in ("", "…")
    assert len(clean_lines("x" * 10 * size, size)) <= size
