"""The household's calendars, wherever they are kept: read at once, or refused with every reason and no secret."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rotation.errors import BadInput
from rotation.household.people import Calendar
from rotation.household.reading import Home
from rotation.household.settings import Household
from rotation.household.stock import Stock
from rotation.intake.sources import COPIES, access, read_calendars
from tests.calendars.web_server import Reply, serving

ZERO = datetime(2027, 3, 15, tzinfo=UTC)
EVENT = (
    b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:a\r\nSUMMARY:Choir\r\nDTSTART:20270316T180000Z\r\n"
    b"DTEND:20270316T190000Z\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


def home(folder: Path, *calendars: dict[str, object]) -> Home:
    named = [{"name": f"Calendar {at}"} | one for at, one in enumerate(calendars)]
    settings = Household.model_validate({"people": [{"id": "jo", "bakes": True}], "calendars": named})
    return Home(folder, settings, {}, Stock())


def test_kinds_side_by_side_and_a_copy_for_when_the_server_is_down(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "one.ics").write_bytes(EVENT)
    (tmp_path / "many").mkdir()
    (tmp_path / "many" / "a.ics").write_bytes(EVENT)
    with serving() as web:
        web.always(Reply(body=EVENT))
        monkeypatch.setenv("FEED", f"{web.root}/s3cret.ics")
        monkeypatch.setenv("HUSH", "hush")
        server = {"url_from": "env: FEED", "user": "jo", "password_from": "env: HUSH"}
        here = home(tmp_path, {"path": "one.ics"}, {"path": "many"}, server)
        readings = read_calendars(here, ZERO, 7, ZERO)
        assert [len(reading.events) for reading in readings.values()] == [1, 1, 1]
        assert not any(reading.oddities for reading in readings.values())
        assert "authorization" in web.asked[0][1]
    (copy,) = (tmp_path / COPIES).iterdir()
    good = (ZERO - timedelta(hours=5)).timestamp()
    os.utime(copy, (good, good))
    down = read_calendars(here, ZERO, 7, ZERO)
    assert {name: reading.events for name, reading in down.items()} == {
        name: reading.events for name, reading in readings.items()
    }
    (odd,) = down["Calendar 2"].oddities
    assert odd.reason.endswith("the copy of 2027-03-14 20:00, 5 hours old")
    assert (odd.source, odd.file) == ("Calendar 2", "localhost")


def test_all_that_cannot_be_read_are_named_at_their_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FEED", raising=False)
    with serving() as web:
        locked = {"url": f"{web.root}/s3cret", "user": "jo", "password_from": "env: FEED"}
        here = home(tmp_path, {"path": "a.ics"}, {"url": f"{web.root}/s3cret"}, {"url_from": "env: FEED"}, locked)
        with pytest.raises(BadInput) as caught:
            read_calendars(here, ZERO, 7)
    settings = [mistake.setting for mistake in caught.value.mistakes]
    assert settings == ["calendars.0.path", "calendars.1.url", "calendars.2.url_from", "calendars.3.url"]
    assert "s3cret" not in str(caught.value)
    assert "FEED is empty or not set" in str(caught.value)


def test_a_password_is_shown_by_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HUSH", "s3cret")
    calendar = Calendar.model_validate(
        {"name": "a", "url": "https://a.org/", "user": "jo", "password_from": "env:HUSH"}
    )
    reach = access(home(tmp_path), calendar, calendar.name)
    assert reach.password is not None
    assert reach.password() == "s3cret"
    assert "s3cret" not in repr(reach)
