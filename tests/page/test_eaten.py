"""What is eaten, on the page: found, offered, written only as it was shown, and taken back."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from rotation.ledger import Ledger, NewLot, Note
from rotation.stockroom import STATE
from rotation.taking_over import BEFORE
from tests.page.kitchen import Clock, Person, clock, person, planned, words

__all__ = ["clock", "person", "planned"]


def _eat(person: Person, clock: Clock) -> None:
    """Bake a loaf and take it out again each day for four weeks."""
    with Ledger.open(person.folder / STATE) as ledger:
        for day in range(28):
            now = clock.now + timedelta(days=day)
            later = now + timedelta(days=90)
            new = NewLot(bread="country", form="part-baked", units=1, bagged=now, through=now, eat_first=later,
                         toast_after=later)  # fmt: skip
            ledger.add(new, Note(now=now), baked=True)
            ledger.take("country", "part-baked", 1, Note(now=now))
    clock.now += timedelta(days=29)


def _value(html: str, name: str) -> str:
    found = re.search(f'name="{name}" value="([^"]+)"', html)
    assert found is not None, words(html)
    return found[1]


@pytest.fixture
def taken(person: Person, clock: Clock) -> str:
    """Take over what is eaten, into a file whose line ends and last line are its own; return what an undo sends."""
    settings = person.folder / "household.toml"
    settings.write_bytes(settings.read_bytes().replace(b"\n", b"\r\n") + b"# The last line ends here.")
    (person.folder / STATE / BEFORE).mkdir()
    (person.folder / STATE / BEFORE / f"{'0' * 24}.toml").write_text("of long ago")
    _eat(person, clock)
    _, html = person.work("/eaten/look")
    before = settings.read_bytes()
    said, html = person.work("/eaten/take", seen=_value(html, "seen"))
    assert "Taken over" in said
    assert settings.read_bytes() != before
    (kept,) = (person.folder / STATE / BEFORE).iterdir()
    assert kept.read_bytes() == before
    return _value(html, "settings")


def test_what_is_eaten_is_offered_and_written_only_as_it_was_shown(person: Person, clock: Clock) -> None:
    settings = person.folder / "household.toml"
    before = settings.read_text(encoding="utf-8")
    seen = person.see("/eaten")
    assert "0 loaves a week" in seen
    assert "Take back" not in seen
    seen, _ = person.work("/eaten/look")
    assert "habits want 14. Go on recording what is taken out." in seen
    _eat(person, clock)
    seen, html = person.work("/eaten/look")
    assert "usual days; " in seen
    assert "Country loaf" in seen
    assert "Loaves a week" in seen
    assert settings.read_text(encoding="utf-8") == before
    assert "Something changed since you looked." in person.work("/eaten/take", seen="of another week")[0]
    assert settings.read_text(encoding="utf-8") == before
    assert "Taken over" in person.work("/eaten/take", seen=_value(html, "seen"))[0]
    assert settings.read_text(encoding="utf-8") != before
    assert "0 loaves a week" not in person.see("/eaten").replace("10 loaves", "")


def test_an_undo_brings_back_every_byte_and_counts_once(person: Person, taken: str) -> None:
    settings, (kept,) = person.folder / "household.toml", (person.folder / STATE / BEFORE).iterdir()
    said = person.tap("/take-back", settings=taken, back="/eaten")
    assert "Taken back: the household's file says what it said before" in said
    assert "Plan again" in said
    assert settings.read_bytes() == kept.read_bytes()
    edited = settings.read_bytes() + b"\r\n# Edited."
    assert "Taken back" in person.tap("/take-back", settings=taken, back="/eaten")  # sent again: nothing is other
    assert settings.read_bytes() == kept.read_bytes()
    assert "0 loaves a week" in person.see("/eaten")
    assert "Take back" not in person.see("/eaten")
    settings.write_bytes(edited)
    assert "edited since" in person.refused("/take-back", settings=taken)
    assert settings.read_bytes() == edited


def test_a_file_edited_since_stays_as_it_is(person: Person, taken: str) -> None:
    settings = person.folder / "household.toml"
    edited = settings.read_bytes() + b"# So it is now.\n"
    settings.write_bytes(edited)
    said = person.refused("/take-back", settings=taken, back="/eaten")
    assert "The household's file was edited since that was taken over, so it stays as it is." in said
    assert "Before, it said loaves_a_week = 0." in said
    assert settings.read_bytes() == edited
    assert "Take back" not in person.see("/eaten")


def test_it_is_taken_back_later_too(person: Person, clock: Clock, taken: str) -> None:
    """By another start of the page, which remembers no taps; only what was taken over last, and nothing made up."""
    settings, (kept,) = person.folder / "household.toml", (person.folder / STATE / BEFORE).iterdir()
    before, again = kept.read_bytes(), Person(person.folder, clock)
    with again.client:
        assert "Take back" in again.see("/eaten")
        for other in ("0" * 24, "../household", "é" * 200):
            assert "too long ago" in again.refused("/take-back", settings=other)
        assert "Taken back" in again.tap("/take-back", settings=taken, back="/eaten")
    assert settings.read_bytes() == before


def test_nothing_is_taken_over_that_could_not_be_taken_back(person: Person, clock: Clock) -> None:
    """Something lies where the settings as they are would be kept."""
    settings = person.folder / "household.toml"
    before = settings.read_bytes()
    _eat(person, clock)
    _, html = person.work("/eaten/look")
    (person.folder / STATE / BEFORE).write_text("in the way")
    said, _ = person.work("/eaten/take", seen=_value(html, "seen"))
    assert "What household.toml says now cannot be kept" in said
    assert settings.read_bytes() == before
