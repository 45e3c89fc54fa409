"""`python -m calendars`, and how a reading is listed."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from jsonschema import Draft202012Validator

from calendars.__main__ import main
from calendars.event import Oddity, Reading
from calendars.listing import counted, lines, oddity_lines
from calendars.schema import READING
from calendars.zones import here
from tests.calendars.web_server import Reply, serving

Ics = Callable[..., bytes]
Read = Callable[..., Reading]
EVENTS = (
    "UID:a\nSUMMARY:Tea\nLOCATION:Kitchen\nDTSTART:20270316T100000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=2",
    "UID:b\nSUMMARY:Trip\nDTSTART;VALUE=DATE:20270317\nDTEND;VALUE=DATE:20270320",
    "UID:c\nSUMMARY:Birthday\nDTSTART;VALUE=DATE:20270316",
    "UID:d\nSUMMARY:Night train\nSTATUS:TENTATIVE\nDTSTART:20270316T220000Z\nDURATION:PT34H",
    "UID:e\nDTSTART:20270316T120000Z",
    "UID:f\nSUMMARY:Old\nSTATUS:CANCELLED\nDTSTART:20270316T120000Z\nDURATION:PT1H",
    "UID:g\nSUMMARY:Long ago\nDTSTART;VALUE=DATE:20270301\nDTEND;VALUE=DATE:20270318\nTRANSP:TRANSPARENT",
)
WINDOW = (datetime(2027, 3, 15, 23, tzinfo=UTC), datetime(2027, 3, 18, 23, tzinfo=UTC))


def test_days_and_marks(ics: Ics, read: Read, home: ZoneInfo) -> None:
    listed = list(lines(read(ics(*EVENTS), WINDOW), "family", WINDOW, home))
    assert listed == [
        "family: 2027-03-16 to 2027-03-18, times of Europe/Berlin",
        "Tuesday 16 March 2027",
        "  1 Mar to 17 Mar        Long ago [takes nobody's time]",
        "  all day                Birthday [takes nobody's time]",
        "  11:00-12:00            Tea (Kitchen) [repeats]",
        "  13:00                  (no title) [takes nobody's time]",
        "  13:00-14:00            Old [cancelled]",
        "  16 Mar 23:00-18 Mar 09:00 Night train [tentative]",
        "  busy: 11:00-12:00, 23:00-24:00",
        "Wednesday 17 March 2027",
        "  17 Mar to 19 Mar       Trip",
        "  11:00-12:00            Tea (Kitchen) [repeats]",
        "  busy: all day",
        "Thursday 18 March 2027",
        "  busy: all day",
    ]


def test_nothing(home: ZoneInfo) -> None:
    assert list(lines(Reading(), "family", WINDOW, home))[1:] == ["Nothing in these days."]


def test_what_is_said_of_many_is_said_once() -> None:
    odd = [Oddity("family", f"u{n}", f"“Tea {n}” names no time zone", "a.ics") for n in range(9)]
    odd += [
        Oddity("family", "", "x is empty", "x", "left out"),
        Oddity("family", "", "the time zone “W” is X", "a.ics", "translated"),
    ]
    assert list(oddity_lines(odd)) == [
        "LEFT OUT:",
        "  family, x: x is empty",
        "ASSUMED, or odd:",
        "  family, a.ics: “Tea 0” (u0), “Tea 1” (u1), “Tea 2” (u2) and 6 more names no time zone",
        "TIME ZONES known by other names:",
        "  family, a.ics: the time zone “W” is X",
    ]
    assert counted(odd) == "1 thing left out, 9 things assumed"
    assert counted(odd[-1:]) == ""


def test_the_program(ics: Ics, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "family.ics"
    path.write_bytes(ics(*EVENTS))
    how = ["--from", "2027-03-16", "--days", "3", "--zone", "Europe/Berlin"]
    assert main([str(path), *how]) == 0
    assert capsys.readouterr().out.startswith("family.ics: 2027-03-16 to 2027-03-18")
    assert main([str(tmp_path), *how, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    Draft202012Validator(READING).validate(document)
    assert (document["from"], len(document["events"])) == ("2027-03-15T23:00:00Z", 8)
    assert [span["start"] for span in document["busy"]] == ["2027-03-16T10:00:00Z", "2027-03-16T22:00:00Z"]
    assert main(["--schema"]) == 0
    assert json.loads(capsys.readouterr().out) == READING
    Draft202012Validator.check_schema(READING)


def test_the_program_and_an_address(
    ics: Ics, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FAMILY_PASSWORD", "hush")
    with serving() as web:
        web.always(Reply(body=ics(*EVENTS)))
        place = f"{web.root}/s3cret"
        assert main([place, "--from", "2027-03-16", "--user", "jo", "--password-from", "env: FAMILY_PASSWORD"]) == 0
        assert "authorization" in web.asked[0][1]
        web.always(Reply(404))
        assert main([place]) == 2
    said = capsys.readouterr()
    assert "Tea" in said.out
    assert "no such calendar" in said.err
    assert "s3cret" not in said.out + said.err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "say which calendar"),
        (["nowhere.ics"], "there is no such file"),
        (["nowhere.ics", "--zone", "Kitchen"], 'no time zone "Kitchen"'),
        (["http://calendar.example.org/s3cret"], "not encrypted"),
    ],
)
def test_the_program_refuses(arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert words in said.err
    assert "s3cret" not in said.err


@pytest.mark.parametrize("arguments", [["x", "--days", "0"], ["x", "--days", "many"], ["x", "--from", "soon"]])
def test_the_program_refuses_numbers(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    assert "usage" in capsys.readouterr().err


def test_the_zone_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(os.environ, "TZ", ":America/New_York")
    assert here() == "America/New_York"
    monkeypatch.setattr(Path, "resolve", lambda path: Path("/usr/share/zoneinfo/Asia/Tokyo"))
    monkeypatch.setitem(os.environ, "TZ", "nonsense")
    assert here() == "Asia/Tokyo"
    monkeypatch.setattr(Path, "resolve", lambda path: path)
    assert here() == "UTC"
