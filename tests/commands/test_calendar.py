"""`rotation calendar` and what `rotation check` says of calendars, as a user runs them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from rotation.commands.schema import schema_of
from rotation.household.finding import VARIABLE
from tests.calendars.web_server import Reply, serving
from tests.commands.conftest import Run

WEEK = ("--from", "2027-03-01", "--days", "7")
ODD = (
    "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:floats\r\nSUMMARY:Te\x1b[31ma\r\nDTSTART:20270302T100000\r\nDURATION:PT1H\r\n"
    "END:VEVENT\r\nBEGIN:VEVENT\r\nUID:zone\r\nSUMMARY:Call\r\nDTSTART;TZID=Kitchen clock:20270303T100000\r\n"
    "DURATION:PT1H\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nUID:never\r\nSUMMARY:Never\r\nDTSTART:20270399\r\nEND:VEVENT\r\n"
    "BEGIN:VEVENT\r\nUID:guests\r\nSUMMARY:Dinner with 4 guests\r\nDTSTART;TZID=Europe/Berlin:20270306T190000\r\n"
    "DURATION:PT3H\r\nEND:VEVENT\r\nBEGIN:VTODO\r\nUID:task\r\nSUMMARY:Buy salt\r\nEND:VTODO\r\nEND:VCALENDAR\r\n"
)


@pytest.fixture
def calendar(home: Path) -> Path:
    path = home / "calendars" / "family.ics"
    path.write_bytes(ODD.encode())
    return path


def test_of_the_household_by_its_name(rotation: Run, home: Path, calendar: Path) -> None:
    ran = rotation("calendar", "family", "--household", home, *WEEK)
    assert (ran.code, ran.err) == (0, "")
    for said in (
        "Family: 2027-03-01 to 2027-03-07, times of Europe/Berlin",
        "10:00-11:00            Tea",
        "busy: 10:00-11:00",
        "WHOSE TIME IT TAKES:",
        "Sat 6 Mar 19:00 to 22:00",
        "MEALS:\n  Sat 6 Mar 19:00 Dinner with 4 guests: GUESTS, 4 heads, 8 portions",
        "“Never” (never) has a date that does not exist (20270399); it is left out",
        "“Tea” (floats) names no time zone; read as Europe/Berlin",
        "“Call” (zone) names a time zone that is not known",
        str(calendar),
    ):
        assert said in ran.out.replace("\n" + " " * 25, " ")
    assert "\x1b" not in ran.out
    assert "salt" not in ran.out


def test_as_data(rotation: Run, home: Path, calendar: Path) -> None:
    document = json.loads(rotation("calendar", "Family", "--household", home, *WEEK, "--json").out)
    Draft202012Validator(schema_of("calendar")).validate(document)
    assert [event["uid"] for event in document["events"]] == ["floats", "zone", "guests"]
    assert [(odd["uid"], odd["kind"]) for odd in document["oddities"]] == [
        ("never", "left out"),
        ("floats", "assumed"),
        ("zone", "assumed"),
    ]
    assert [(meal["key"], meal["heads"]) for meal in document["meals"]] == [("guests", 4)]
    assert {claim["key"] for claim in document["claims"]} == {"floats", "zone", "guests"}


def test_a_file_a_folder_and_an_address(
    rotation: Run, home: Path, calendar: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.setenv("TZ", "Europe/London")
    monkeypatch.setattr("rotation.household.finding.usual_place", lambda: tmp_path / "nowhere")
    assert "times of Europe/London" in rotation("calendar", calendar, *WEEK).out
    folder = rotation("calendar", calendar.parent, *WEEK)
    assert folder.code == 0
    assert "Tea" in folder.out
    with serving() as web:
        web.always(Reply(body=ODD.encode()))
        ran = rotation("calendar", f"{web.root}/s3cret.ics", *WEEK)
        assert ran.code == 0
        assert "Tea" in ran.out
        assert "s3cret" not in ran.out
        web.always(Reply(500))
        ran = rotation("calendar", f"{web.root}/s3cret.ics", *WEEK)
        assert ran.code == 2
        assert "status 500" in ran.err
        assert "s3cret" not in ran.err


def test_what_is_no_calendar_names_those_there_are(rotation: Run, home: Path) -> None:
    ran = rotation("calendar", "famly", "--household", home, *WEEK)
    assert ran.code == 2
    assert 'there is no file or folder "famly", and no calendar of that name.' in ran.err


def test_check_lists_every_oddity_and_how_old_the_copy_is_of_a_calendar_that_is_down(
    rotation: Run, home: Path, calendar: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with serving() as web:
        web.always(Reply(body=ODD.encode().replace(b"UID:", b"UID:school-")))
        monkeypatch.setenv("FEED", f"{web.root}/s3cret.ics")
        settings = home / "household.toml"
        settings.write_text(settings.read_text() + '\n[[calendars]]\nname = "School"\nurl_from = "env: FEED"\n')
        assert rotation("calendar", "School", "--household", home, *WEEK).code == 0
        web.always(Reply(503))
        ran = rotation("check", "--household", home, *WEEK)
    assert ran.code == 0
    said = ran.out.replace("\n" + " " * 27, " ")
    assert "calendars: 2 things left out, 5 things assumed; see below." in said
    assert "CALENDARS, in detail\nLEFT OUT:\n" in said
    assert "“Tea” (floats) names no time zone" in said
    assert "School, localhost: localhost is busy (503); try again later. Read instead: the copy of " in said
    assert "not two hours old" in said
    assert "s3cret" not in "".join(path.read_text(errors="replace") for path in home.rglob("*") if path.is_file())
    document = json.loads(rotation("check", "--household", home, *WEEK, "--json").out)
    assert len(document["oddities"]) == 7
