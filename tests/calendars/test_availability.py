"""Who is busy, and whose an event is."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from calendars.availability import AllDay, Identity, busy_spans, is_busy, whose
from calendars.event import Attendee, Event

AT = datetime(2027, 3, 1, 9, tzinfo=UTC)
EVENT = Event("u", None, "Dentist", "", "", (), AT, AT + timedelta(hours=1))
ME = frozenset({"jo@example.org", "Jo"})
PEOPLE = {
    "jo": Identity(("Jo",), ("jo@example.org",), ("Blue",)),
    "sam": Identity(("Sam", "Sammy"), ("sam@example.org",), ("Green",)),
    "kim": Identity(("Kim",)),
}


@pytest.mark.parametrize(
    ("change", "busy"),
    [
        ({}, True),
        ({"transparent": True}, False),
        ({"status": "CANCELLED"}, False),
        ({"status": "TENTATIVE"}, True),
        ({"busy_status": "FREE"}, False),
        ({"busy_status": "OOF"}, True),
        ({"end": AT}, False),
        ({"attendees": (Attendee("jo@example.org", "", "DECLINED"),)}, False),
        ({"attendees": (Attendee("", "JO", "DECLINED"),)}, False),
        ({"attendees": (Attendee("jo@example.org", "Jo", "ACCEPTED"),)}, True),
        ({"attendees": (Attendee("sam@example.org", "Sam", "DECLINED"),)}, True),
    ],
)
def test_busy(change: dict[str, Any], busy: bool) -> None:
    assert is_busy(replace(EVENT, **change), ME) is busy


@pytest.mark.parametrize(
    ("days", "setting", "change", "busy"),
    [
        (1, "trips", {}, False),
        (3, "trips", {}, True),
        (3, "trips", {"transparent": True}, False),
        (1, "trips", {"busy_status": "OOF"}, True),
        (1, "busy", {}, True),
        (3, "free", {}, False),
    ],
)
def test_all_day(days: int, setting: AllDay, change: dict[str, Any], busy: bool) -> None:
    event = replace(EVENT, all_day=True, end=AT + timedelta(days=days), **change)
    assert is_busy(event, ME, all_day=setting) is busy


def test_the_longest_local_day_is_no_trip() -> None:
    event = replace(EVENT, all_day=True, end=AT + timedelta(hours=25))
    assert not is_busy(event, ME, all_day="trips")


@pytest.mark.parametrize(
    ("change", "people"),
    [
        ({"summary": "Dentist"}, set()),
        ({"summary": "Jo: dentist"}, {"jo"}),
        ({"summary": "JO's class with Sammy"}, {"jo", "sam"}),
        ({"summary": "Join the samba"}, set()),
        ({"categories": ("green",)}, {"sam"}),
        ({"categories": ("Kim",)}, {"kim"}),
        ({"categories": ("green",), "summary": "Jo"}, {"sam"}),
        ({"attendees": (Attendee("jo@example.org", ""),), "summary": "Sam"}, {"jo"}),
        ({"attendees": (Attendee("x@example.org", "Kim Example"),)}, {"kim"}),
        ({"attendees": (Attendee("x@example.org", "Jo Other"),)}, set()),
        ({"attendees": (Attendee("urn:uuid:1", "Jo"),)}, {"jo"}),
        ({"attendees": (Attendee("jo@example.org", "", "DECLINED"), Attendee("sam@example.org", ""))}, {"sam"}),
        ({"attendees": (Attendee("jo@example.org", "", "DECLINED"),), "summary": "Jo"}, set()),
        ({"attendees": (Attendee("stranger@example.org", "Stranger"),), "summary": "Jo and friend"}, {"jo"}),
    ],
)
def test_whose(change: dict[str, Any], people: set[str]) -> None:
    assert whose(replace(EVENT, **change), PEOPLE) == people


def test_busy_spans_are_merged() -> None:
    hour = timedelta(hours=1)
    later = replace(EVENT, start=AT + hour / 2, end=AT + 3 * hour)
    assert busy_spans([later, EVENT, replace(EVENT, end=AT)]) == ((AT, AT + 3 * hour),)
