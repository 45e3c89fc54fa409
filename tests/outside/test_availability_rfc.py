"""RFC 7953, appendices A and B, and what it says of priorities, through our own reading.

The values are in data/rfc_other_values.json. Both printed examples carry wrong dates: 6 November 2011, called a Monday,
is a Sunday, and the meeting of appendix B is printed for that day too, while its table is for 24 October. Here the
meeting and the day asked about are moved so that the printed tables come out; that the dates as printed do not give
them is held as well.
"""

from __future__ import annotations

import json
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from calendars.reading import read_calendar
from calendars.zones import instant

OTHER: dict[str, Any] = json.loads((Path(__file__).parent / "data" / "rfc_other_values.json").read_text())
MONTREAL = ZoneInfo("America/Montreal")
LETTERS = {"BUSY": "B", "OOF": "U", "TENTATIVE": "T", "": "B"}


def availability(zone: str, first: str, more: str = "") -> str:
    return (
        f"BEGIN:VAVAILABILITY\nUID:{zone}\n{more}BEGIN:AVAILABLE\nUID:{zone}-week\n"
        f"DTSTART;TZID={zone}:{first}T080000\nDTEND;TZID={zone}:{first}T180000\n"
        "RRULE:FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR\nEND:AVAILABLE\nEND:VAVAILABILITY\n"
    )


def meeting(zone: str, day: str) -> str:
    return f"BEGIN:VEVENT\nUID:m\nDTSTART;TZID={zone}:{day}T120000\nDURATION:PT2H\nEND:VEVENT\n"


DENVER = "DTSTART;TZID=America/Denver:20111023T000000\nDTEND;TZID=America/Denver:20111030T000000\nPRIORITY:1\n"
A = availability("America/Montreal", "20111002")
B = availability("America/Montreal", "20111002", "PRIORITY:0\n") + availability("America/Denver", "20111023", DENVER)


def row(components: str, day: date) -> str:
    """Return twelve slots of two hours by the clocks of Montreal: B, U, T or F for each."""
    midnight = datetime.combine(day, time())
    edges = [instant(midnight + timedelta(hours=2 * n), MONTREAL) for n in range(13)]
    data = f"BEGIN:VCALENDAR\nVERSION:2.0\n{components}END:VCALENDAR\n".encode()
    events = read_calendar(data, source="rfc", zone=MONTREAL, window=(edges[0], edges[-1])).events
    slots = []
    for start, end in pairwise(edges):
        inside = {LETTERS[event.busy_status] for event in events if event.start < end and start < event.end}
        slots.append(min(inside, default="F"))  # a meeting before the unavailable, as the appendices have it
    return "".join(slots)


def test_appendix_a() -> None:
    given = OTHER["rfc7953_appendixA"]
    assert row(A + meeting("America/Montreal", "20111107"), date(2011, 11, 7)) == given["printed_row"]
    literal = row(A + meeting("America/Montreal", "20111106"), date(2011, 11, 6))
    assert literal == "UUUUUUBUUUUU"
    assert literal in given["date_true"]


def test_appendix_b() -> None:
    given = OTHER["rfc7953_appendixB"]
    day = date(2011, 10, 24)
    assert row(B + meeting("America/Denver", "20111106"), day) == given["literal_result"]
    corrected = row(B + meeting("America/Denver", "20111024"), day)
    assert corrected == given["printed_row"] == given["with_meeting_on_2011-10-24"]


def one(rank: str, kind: str) -> str:
    return f"BEGIN:VAVAILABILITY\nUID:{rank}{kind}\n{rank}{kind}END:VAVAILABILITY\n"


def test_the_usual_kind() -> None:
    assert OTHER["rfc7953_rules"]["default_busytype"] == "BUSY-UNAVAILABLE"
    assert row(one("", ""), date(2011, 11, 7)) == "U" * 12


@pytest.mark.parametrize(("lower", "higher"), list(pairwise(OTHER["rfc7953_rules"]["priority_order_low_to_high"])))
def test_priorities(lower: int, higher: int) -> None:
    components = one(f"PRIORITY:{lower}\n", "BUSYTYPE:BUSY\n") + one(
        f"PRIORITY:{higher}\n", "BUSYTYPE:BUSY-TENTATIVE\n"
    )
    assert row(components, date(2011, 11, 7)) == "T" * 12


def test_no_priority_is_the_lowest() -> None:
    assert OTHER["rfc7953_rules"]["absent_priority"] == 0
    components = one("", "BUSYTYPE:BUSY\n") + one("PRIORITY:9\n", "BUSYTYPE:BUSY-TENTATIVE\n")
    assert row(components, date(2011, 11, 7)) == "T" * 12


@pytest.mark.parametrize(("more", "less"), list(pairwise(OTHER["rfc7953_rules"]["same_priority_order"].split(" > "))))
def test_kinds_of_one_priority(more: str, less: str) -> None:
    letter = {"BUSY": "B", "BUSY-UNAVAILABLE": "U", "BUSY-TENTATIVE": "T"}[more]
    for order in ((more, less), (less, more)):
        components = "".join(one("PRIORITY:2\n", f"BUSYTYPE:{kind}\n") for kind in order)
        assert row(components, date(2011, 11, 7)) == letter * 12
