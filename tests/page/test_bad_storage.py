"""A ledger that cannot be written to, and a wrong clock, on the page: clear words, nothing lost or half done."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import timedelta
from uuid import uuid4

import pytest

from rotation.ledger import storage
from tests.doing.test_bad_storage import held, locked, pragma
from tests.page.kitchen import SATURDAY, Clock, Person, at, clock, person, planned, words

__all__ = ["clock", "person", "planned"]

TAPS = (
    ("/step/sat-thaw/done", {}),
    ("/step/sat-thaw/not-there", {}),
    ("/step/sat-mix/skip", {}),
    ("/all-as-planned", {}),
    ("/starter/fed", {}),
    ("/take-back", {"step": "starter"}),
    ("/freezer/take", {"kind": "country|part-baked"}),
    ("/freezer/bag/A/take", {"units": "1"}),
    ("/freezer/bag/A/discard", {"because": "burnt"}),
    ("/freezer/bag/A/count", {"units": "1"}),
    ("/freezer/add", {"kind": "country|part-baked", "units": "2"}),
    ("/freezer/outage", {"what": "cut", "hours": "90", "at": at(f"{SATURDAY}15:00").isoformat()}),
    ("/shopping/bought", {}),
    ("/shopping/there", {"name": "wheat flour", "mass": "900 g"}),
    ("/guests/agree", {"day": "2027-03-07", "at": "17:00", "heads": "4"}),
)
"""All that is tapped and recorded at once."""

QUICK = ("/step/sat-thaw/done", "/freezer/outage", "/take-back", "/shopping/there")


def each(quick: tuple[str, ...] = QUICK) -> list[object]:
    """Return the taps, all but a few in the long suite only."""
    return [one if one[0] in quick else pytest.param(*one, marks=pytest.mark.long) for one in TAPS]


@pytest.fixture
def begun(person: Person, clock: Clock) -> Person:
    """A person whose household has a record of each kind. It is Saturday at four."""
    clock.now = at(f"{SATURDAY}08:00")
    person.tap("/starter/fed")
    person.tap("/freezer/add", kind="country|part-baked", units="1")
    clock.now = at(f"{SATURDAY}16:00")
    person.see("/")  # what nobody spoke of is assumed now, not by the first tap
    return person


@pytest.mark.parametrize(("path", "fields"), each())
def test_what_cannot_be_written_is_said_and_the_same_tap_sent_again_counts_once(
    begun: Person, path: str, fields: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    before, once = held(begun.folder), str(uuid4())
    full, fixed = "PRAGMA max_page_count = 1", "PRAGMA query_only = ON"
    for make, wrong in (
        (lambda: locked(begun.folder, monkeypatch), "another program is writing to it"),
        (lambda: pragma(monkeypatch, fixed), "may only be read"),
        (lambda: pragma(monkeypatch, full), "the disk is full, and nothing was recorded"),
    ):
        with make():
            answer = begun.send(path, once, **fields)
            seen = begun.client.get("/")
        monkeypatch.undo()
        if "full" in wrong and answer.status_code == 200:
            return  # there was room left in a page: it is recorded, wholly
        assert (answer.status_code, wrong in words(answer.text)) == (503, True), words(answer.text)
        assert f'name="once" value="{once}"' in answer.text, "there to be sent again"
        assert str(begun.folder) not in answer.text
        assert seen.status_code == 200, "there is still something to see"
        assert held(begun.folder) == before, wrong
    assert begun.send(path, once, **fields).status_code == 200
    after = held(begun.folder)
    assert after != before
    assert begun.send(path, once, **fields).status_code == 200
    assert held(begun.folder) == after, "once"


@pytest.mark.parametrize("days", [-30, 1400])
@pytest.mark.parametrize(("path", "fields"), each(QUICK[:1]))
def test_a_clock_that_is_wrong_is_told_or_does_no_harm(
    begun: Person, clock: Clock, path: str, fields: dict[str, str], days: int
) -> None:
    clock.now += timedelta(days=days)
    for page in ("/", "/freezer", "/week", "/timers", "/shopping", "/plan"):
        assert begun.client.get(page).status_code == 200, page
    answer = begun.send(path, **fields)
    assert answer.status_code in (200, 409), words(answer.text)
    with closing(sqlite3.connect(begun.folder / ".rotation" / storage.FILE)) as connection:
        assert min(units for (units,) in connection.execute("SELECT SUM(units) FROM share GROUP BY lot")) >= 0
    clock.now -= timedelta(days=days)
    assert "Saturday 6 Mar" in begun.see("/"), "and back again"
    assert "Every rule holds." in begun.work("/plan", work="quick")[0]
