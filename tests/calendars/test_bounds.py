"""Work and memory stay bounded whatever a file holds: counted in what is looked at, never in seconds."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest

from calendars import reading as reading_module
from calendars import screen
from calendars.event import Reading
from calendars.reading import STEPS_FOR_ALL
from calendars.recurrence import STEPS_FOR_ONE
from calendars.stepping import Budget

Ics = Callable[..., bytes]
Read = Callable[..., Reading]
AT_TEN = "DTSTART;TZID=Europe/Berlin:20270316T100000\nDTEND;TZID=Europe/Berlin:20270316T110000"
GOOD = f"UID:good\nSUMMARY:Tea\n{AT_TEN}"


@pytest.fixture
def budgets(monkeypatch: pytest.MonkeyPatch) -> list[Budget]:
    """Give every budget of a reading, to see what was spent."""
    made: list[Budget] = []

    class Watched(Budget):
        def __init__(self, steps: int) -> None:
            super().__init__(steps)
            made.append(self)

    monkeypatch.setattr(reading_module, "Budget", Watched)
    return made


ENDLESS = [
    "RRULE:FREQ=SECONDLY",
    "RRULE:FREQ=SECONDLY;INTERVAL=7",
    "RRULE:FREQ=MINUTELY;BYSECOND=0,1,2,3,4,5",
    "RRULE:FREQ=DAILY;COUNT=999999",
    "RRULE:FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
    "RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=3",
    "RRULE:FREQ=DAILY;UNTIL=99991231T235959Z",
    f"RRULE:FREQ=YEARLY;BYYEARDAY={','.join(map(str, range(1, 367)))};BYHOUR={','.join(map(str, range(24)))}",
    f"RRULE:FREQ=HOURLY;BYMINUTE={','.join(map(str, range(0, 60, 5)))};BYSETPOS=1,2,3",
    f"RRULE:FREQ=DAILY\nEXRULE:{'FREQ=DAILY;INTERVAL=2'}",
    "\n".join(["RRULE:FREQ=DAILY;COUNT=39000"] * 5),
    "RRULE:FREQ=WEEKLY;WKST=SU;INTERVAL=1000000",
    "RRULE:FREQ=MONTHLY;BYDAY=1MO,2MO,3MO,4MO,5MO,-1FR;BYSETPOS=366",
]


@pytest.mark.parametrize("rule", ENDLESS)
@pytest.mark.parametrize("start", ["00010101T000000Z", "20000101T000000Z", "20270316T100000Z"])
def test_a_rule_costs_no_more_than_a_series_may(
    ics: Ics, read: Read, budgets: list[Budget], rule: str, start: str
) -> None:
    reading = read(ics(f"UID:x\nSUMMARY:X\nDTSTART:{start}\n{rule}", GOOD))
    assert "good" in {event.uid for event in reading.events}
    (budget,) = budgets
    most = STEPS_FOR_ONE * (rule.count("RRULE") + rule.count("EXRULE")) + 1_000
    assert STEPS_FOR_ALL - budget.steps <= most


def test_all_series_together_cost_no_more_than_a_file_may(ics: Ics, read: Read, budgets: list[Budget]) -> None:
    costly = [f"UID:{n}\nDTSTART:19000101T000000Z\nRRULE:FREQ=DAILY;COUNT=999999" for n in range(60)]
    reading = read(ics(*costly, GOOD))
    assert "good" in {event.uid for event in reading.events}
    assert budgets[0].steps >= -STEPS_FOR_ONE
    assert {odd.kind for odd in reading.oddities} == {"left out"}


def test_exceptions_far_from_the_window_are_not_read(ics: Ics, read: Read, monkeypatch: pytest.MonkeyPatch) -> None:
    from calendars import recurrence

    looked_at: list[str] = []
    real = recurrence.moment
    monkeypatch.setattr(recurrence, "moment", lambda line, zone: (looked_at.append(line.value), real(line, zone))[1])
    first = date(1970, 1, 1)
    gone = ",".join(f"{first + timedelta(days=n):%Y%m%d}T090000Z" for n in range(20_000))
    reading = read(ics(f"UID:a\nSUMMARY:Gym\nDTSTART:19700101T090000Z\nRRULE:FREQ=DAILY\nEXDATE:{gone}", GOOD))
    assert "good" in {event.uid for event in reading.events}
    assert len(looked_at) < 60
    assert ["has more than 2,000 exceptions" in odd.reason for odd in reading.oddities] == [True]


def test_attendees_beyond_those_looked_at_are_not_taken_apart(
    ics: Ics, read: Read, monkeypatch: pytest.MonkeyPatch
) -> None:
    from calendars import vevent

    parsed: list[str] = []
    real = vevent.parse_line
    monkeypatch.setattr(vevent, "parse_line", lambda raw, name: (parsed.append(name), real(raw, name))[1])
    people = "\n".join(f"ATTENDEE;CN=P{n}:mailto:{n}@example.org" for n in range(50_000))
    reading = read(ics(f"UID:a\nSUMMARY:All\n{AT_TEN}\n{people}", GOOD))
    assert {event.uid for event in reading.events} == {"a", "good"}
    assert parsed.count("ATTENDEE") <= 501
    assert ["more than 500 people" in odd.reason for odd in reading.oddities] == [True]


class Counted(bytes):
    """Bytes that note how much of them is searched."""

    searched = 0

    def find(self, sub: bytes, start: int = 0, end: int | None = None, /) -> int:  # type: ignore[override]
        stop = len(self) if end is None else end
        place = super().find(sub, start, stop)
        Counted.searched += (stop if place < 0 else place) - start
        return place

    def rfind(self, sub: bytes, start: int = 0, end: int | None = None, /) -> int:  # type: ignore[override]
        stop = len(self) if end is None else end
        place = super().rfind(sub, start, stop)
        Counted.searched += stop - max(place, start)
        return place


@pytest.mark.parametrize(
    "text",
    [
        "BEGIN:VEVENT\nUID:a\nRRULE:FREQ=DAILY\n" * 4_000,
        "BEGIN:VEVENT\nUID:a\nEND:VEVENT\n" + "BEGIN:VTODO\nRRULE:FREQ=DAILY\nEND:VTODO\n" * 4_000,
        "BEGIN:VEVENT\nUID:a\n" + "RDATE:20270316T100000Z\n" * 8_000 + "END:VEVENT\n",
        "BEGIN:VEVENT\nUID:a\n" + "BEGIN:VALARM\n" * 8_000 + "END:VALARM\n" * 8_000 + "END:VEVENT\n",
        "RRULE:FREQ=DAILY\n" * 8_000 + "BEGIN:VEVENT\nUID:a\nEND:VEVENT\n",
        "END:VEVENT\n" * 8_000,
        "BEGIN:VEVENTX\nDTSTART:20270316T100000Z\n" * 4_000,
    ],
    ids=["unclosed", "tasks", "dates", "alarms", "before", "ends", "odd names"],
)
def test_every_byte_is_searched_a_few_times_at_most(text: str) -> None:
    upper = Counted(b"\n" + text.encode())
    Counted.searched = 0
    events = screen._Events(upper)
    window = (datetime(2027, 3, 1, tzinfo=UTC), datetime(2027, 4, 1, tzinfo=UTC))
    events.with_same_uid(events.touching(window))
    assert Counted.searched < 20 * len(upper)


def test_memory_is_a_few_times_the_file(ics: Ics, read: Read) -> None:
    old = [f"UID:{n}\nSUMMARY:Event {n}\nDTSTART:2019{n % 12 + 1:02}16T100000Z\nDURATION:PT1H" for n in range(20_000)]
    data = ics(*old, GOOD)
    tracemalloc.start()
    try:
        assert len(read(data).events) == 1
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 8 * len(data)
