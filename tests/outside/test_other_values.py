"""Values of RFC 7986, RFC 9253 and RFC 9074 around an event change nothing of how it is read.

The values are in data/rfc_other_values.json, which names where each was read.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from calendars.reading import read_calendar

OTHER: dict[str, Any] = json.loads((Path(__file__).parent / "data" / "rfc_other_values.json").read_text())
EVENT = ["UID:a", "SUMMARY:Tea", "DTSTART:20270316T100000Z", "DURATION:PT1H"]
OF_CALENDARS = [line.split(" (")[0] for line in OTHER["rfc7986"]["values"]]
OF_EVENTS = OTHER["rfc9253"]["values"]
ALARM = OTHER["rfc9074"]["values"]


def read(head: list[str], event: list[str]) -> tuple[Any, ...]:
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", *head, "BEGIN:VEVENT", *event, "END:VEVENT", "END:VCALENDAR", ""]
    window = (datetime(2027, 3, 1, tzinfo=UTC), datetime(2027, 4, 1, tzinfo=UTC))
    reading = read_calendar("\r\n".join(lines).encode(), source="rfc", zone=ZoneInfo("Europe/Berlin"), window=window)
    assert reading.oddities == ()
    return reading.events


PLAIN = read([], EVENT)


@pytest.mark.parametrize(
    "line", [*OF_CALENDARS, "NAME:One", "NAME;LANGUAGE=fr:Un", "UID:c", "LAST-MODIFIED:20270101T000000Z"]
)
def test_what_a_calendar_says_of_itself(line: str) -> None:
    assert read([line], EVENT) == PLAIN


@pytest.mark.parametrize(
    "line", [*OF_EVENTS, *(f"RELATED-TO;RELTYPE={kind}:b" for kind in OTHER["rfc9253"]["reltype"])]
)
def test_relations(line: str) -> None:
    assert read([], [*EVENT, line]) == PLAIN


def test_alarms_with_names_of_their_own() -> None:
    snoozed = [
        *("BEGIN:VALARM", "UID:one", "TRIGGER:-PT15M", "ACTION:DISPLAY", "ACKNOWLEDGED:20270316T094500Z", "END:VALARM"),
        *("BEGIN:VALARM", "UID:two", "TRIGGER;VALUE=DATE-TIME:20270316T095000Z", "RELATED-TO;RELTYPE=SNOOZE:one"),
        *("SUMMARY:not the event's", "DTSTART:20280101T000000Z", "END:VALARM"),
    ]
    assert ALARM["alarm_uid"] == "UID in VALARM"
    assert read([], snoozed + EVENT) == read([], EVENT + snoozed) == PLAIN
