"""What is eaten, on the page: found, offered, and written only as it was shown."""

from __future__ import annotations

import re
from datetime import timedelta

from rotation.ledger import Ledger, NewLot, Note
from tests.page.kitchen import Clock, Person, clock, person, planned

__all__ = ["clock", "person", "planned"]


def test_what_is_eaten_is_offered_and_written_only_as_it_was_shown(person: Person, clock: Clock) -> None:
    settings = person.folder / "household.toml"
    before = settings.read_text(encoding="utf-8")
    assert "0 loaves a week" in person.see("/eaten")
    seen, _ = person.work("/eaten/look")
    assert "habits want 14. Go on recording what is taken out." in seen
    with Ledger.open(person.folder / ".rotation") as ledger:
        for day in range(28):
            now = clock.now + timedelta(days=day)
            later = now + timedelta(days=90)
            new = NewLot(bread="country", form="part-baked", units=1, bagged=now, through=now, eat_first=later,
                         toast_after=later)  # fmt: skip
            ledger.add(new, Note(now=now), baked=True)
            ledger.take("country", "part-baked", 1, Note(now=now))
    clock.now += timedelta(days=29)
    seen, html = person.work("/eaten/look")
    assert "usual days; " in seen
    assert "Country loaf" in seen
    assert "Loaves a week" in seen
    assert settings.read_text(encoding="utf-8") == before
    assert "Something changed since you looked." in person.work("/eaten/take", seen="of another week")[0]
    assert settings.read_text(encoding="utf-8") == before
    found = re.search(r'name="seen" value="([^"]+)"', html)
    assert found is not None
    assert "Taken over" in person.work("/eaten/take", seen=found[1])[0]
    assert settings.read_text(encoding="utf-8") != before
    assert "0 loaves a week" not in person.see("/eaten").replace("10 loaves", "")
