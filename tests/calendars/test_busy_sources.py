"""Free-busy times and published availability: busy like events, without saying why."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from calendars.availability import is_busy
from calendars.event import Reading

Read = Callable[..., Reading]
HOME = ZoneInfo("Europe/Berlin")


def calendar(*components: str) -> bytes:
    text = f"BEGIN:VCALENDAR\nVERSION:2.0\n{''.join(each.strip() + chr(10) for each in components)}END:VCALENDAR\n"
    return text.replace("\n", "\r\n").encode()


def free_busy(lines: str, uid: str = "UID:f\n") -> bytes:
    return calendar(f"BEGIN:VFREEBUSY\n{uid}DTSTAMP:20270301T000000Z\n{lines}\nEND:VFREEBUSY")


def availability(lines: str, *times: str, uid: str = "v") -> str:
    inner = "".join(f"BEGIN:AVAILABLE\nUID:{uid}{n}\n{each}\nEND:AVAILABLE\n" for n, each in enumerate(times))
    return f"BEGIN:VAVAILABILITY\nUID:{uid}\nDTSTAMP:20270301T000000Z\n{lines}\n{inner}END:VAVAILABILITY"


def spans(reading: Reading) -> list[str]:
    def at(moment: datetime) -> str:
        return f"{moment.astimezone(HOME):%d %H:%M}"

    return [f"{at(event.start)}-{at(event.end)} {event.summary}" for event in reading.events]


class TestFreeBusy:
    def test_periods_by_their_kind(self, read: Read) -> None:
        lines = (
            "DTSTART:20270301T000000Z\nDTEND:20270501T000000Z\n"
            "FREEBUSY:20270316T090000Z/20270316T100000Z,20270317T090000Z/PT2H\n"
            "FREEBUSY;FBTYPE=BUSY-TENTATIVE:20270318T090000Z/PT1H\nFREEBUSY;FBTYPE=FREE:20270319T090000Z/PT1H\n"
            "FREEBUSY;FBTYPE=BUSY-UNAVAILABLE:20270320T090000Z/P1D\nFREEBUSY;FBTYPE=X-NAP:20270322T090000Z/PT1H"
        )
        reading = read(free_busy(lines))
        assert spans(reading) == [
            "16 10:00-16 11:00 Busy",
            "17 10:00-17 12:00 Busy",
            "18 10:00-18 11:00 Perhaps busy",
            "20 10:00-21 10:00 Not available",
            "22 10:00-22 11:00 Busy",
        ]
        assert [event.status for event in reading.events][2] == "TENTATIVE"
        assert all(is_busy(event) for event in reading.events)
        assert {event.component for event in reading.events} == {"VFREEBUSY"}
        assert reading.events[0].key == "f/20270316T090000Z"
        assert reading.oddities == ()

    def test_only_what_touches_the_window(self, read: Read) -> None:
        periods = "20260316T090000Z/PT1H,20270314T200000Z/PT10H,20270406T090000Z/PT1H,20260101T000000Z/20280101T000000Z"
        lines = f"FREEBUSY:{periods}"
        assert spans(read(free_busy(lines))) == ["01 01:00-01 01:00 Busy", "14 21:00-15 07:00 Busy"]

    def test_the_newest_answer_counts(self, read: Read) -> None:
        old, new = (free_busy(f"FREEBUSY:202703{day}T090000Z/PT1H") for day in (16, 17))
        newer = new.replace(b"DTSTAMP:20270301", b"DTSTAMP:20270302")
        assert spans(read(newer + old)) == spans(read(old + newer)) == ["17 10:00-17 11:00 Busy"]

    def test_a_question_is_no_answer(self, read: Read) -> None:
        assert (
            read(free_busy("DTSTART:20270316T090000Z\nDTEND:20270317T090000Z\nORGANIZER:mailto:jo@a.org")) == Reading()
        )

    def test_without_uid_and_with_local_times(self, read: Read) -> None:
        reading = read(free_busy("FREEBUSY;TZID=Europe/London:20270316T090000/PT1H", uid=""))
        assert spans(reading) == ["16 10:00-16 11:00 Busy"]
        assert "has no UID" in reading.oddities[0].reason

    @pytest.mark.parametrize(
        ("lines", "words"),
        [
            ("FREEBUSY:20270316T090000Z", "a period that cannot be read"),
            ("FREEBUSY:20270316T090000Z/20270316T080000Z", "ends before it starts"),
            ("FREEBUSY:20270316T090000Z/PT0S", "ends before it starts"),
            ("FREEBUSY:20270316T090000Z/-PT1H", "a negative length"),
            ("FREEBUSY:20270316T090000Z/tomorrow", "a date that cannot be read"),
            (f"FREEBUSY:{','.join(['20270316T090000Z/PT1H'] * 20_001)}", "more than 20,000 periods"),
            ("FREEBUSY;X=\x07:20270316T090000Z/PT1H", "a FREEBUSY line that cannot be read"),
        ],
    )
    def test_left_out(self, read: Read, lines: str, words: str) -> None:
        reading = read(free_busy(lines) + free_busy("FREEBUSY:20270318T090000Z/PT1H", uid="UID:good\n"))
        assert [event.uid for event in reading.events] == ["good"]
        (odd,) = reading.oddities
        assert words in odd.reason
        assert (odd.uid, odd.kind, odd.file) == ("f", "left out", "family")


OFFICE = (
    "DTSTART;TZID=Europe/Berlin:20270301T080000\nDTEND;TZID=Europe/Berlin:20270301T180000\n"
    "RRULE:FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"
)
DAY = "DTSTART;TZID=Europe/Berlin:202703{}T000000\nDTEND;TZID=Europe/Berlin:202703{}T000000"
WEEK = (datetime(2027, 3, 18, 23, tzinfo=UTC), datetime(2027, 3, 23, 23, tzinfo=UTC))  # Friday to Tuesday in Berlin


class TestAvailability:
    def test_all_but_the_available_times_is_busy(self, read: Read) -> None:
        reading = read(calendar(availability("SUMMARY:Office hours", OFFICE)), WEEK)
        assert spans(reading) == [
            "19 00:00-19 08:00 Office hours",
            "19 18:00-22 08:00 Office hours",
            "22 18:00-23 08:00 Office hours",
            "23 18:00-24 00:00 Office hours",
        ]
        assert {(event.component, event.busy_status, is_busy(event)) for event in reading.events} == {
            ("VAVAILABILITY", "OOF", True)
        }

    def test_its_own_span_bounds_it(self, read: Read) -> None:
        lines = f"{DAY.format(20, 21)}\nBUSYTYPE:BUSY-TENTATIVE"
        assert spans(read(calendar(availability(lines, OFFICE)), WEEK)) == ["20 00:00-21 00:00 Perhaps busy"]
        length = lines.replace("DTEND;TZID=Europe/Berlin:20270321T000000", "DURATION:PT6H")
        assert spans(read(calendar(availability(length, OFFICE)), WEEK)) == ["20 00:00-20 06:00 Perhaps busy"]

    def test_higher_priority_takes_the_place_of_lower(self, read: Read) -> None:
        holiday = f"{DAY.format(22, 23)}\nBUSYTYPE:BUSY\nPRIORITY:{{}}"
        base = availability("PRIORITY:5", OFFICE)
        over = availability(holiday.format(1), uid="h")
        assert "22 00:00-23 00:00 Busy" in spans(read(calendar(over, base), WEEK))
        under = availability(holiday.format(9), uid="h")
        assert spans(read(calendar(base, under), WEEK)) == spans(read(calendar(base), WEEK))
        assert spans(read(calendar(base, availability(holiday.format(0), uid="h")), WEEK)) == spans(
            read(calendar(base), WEEK)
        )

    def test_among_equals_the_busier_kind_comes_first(self, read: Read) -> None:
        busy = availability("BUSYTYPE:BUSY", OFFICE, uid="b")
        perhaps = availability("BUSYTYPE:BUSY-TENTATIVE", uid="p")
        for order in ((busy, perhaps), (perhaps, busy)):
            assert {event.uid for event in read(calendar(*order), WEEK).events} == {"b"}

    def test_of_two_that_agree_in_all_either_makes_busy(self, read: Read) -> None:
        morning, evening = (
            availability("", OFFICE.replace("T080000", f"T{a}0000").replace("T180000", f"T{b}0000"), uid=uid)
            for a, b, uid in (("08", "12", "m"), ("10", "18", "e"))
        )
        for order in ((morning, evening), (evening, morning)):
            busy = read(calendar(*order), WEEK).events
            free = [f"{a.end.astimezone(HOME):%d %H}" for a, b in pairwise(busy) if a.end < b.start]
            assert free == ["19 10", "22 10", "23 10"]

    def test_an_available_time_may_be_moved_or_cancelled(self, read: Read) -> None:
        change = "RECURRENCE-ID:20270322T070000Z\nDTSTART:20270322T110000Z\nDURATION:PT1H"
        text = availability("", OFFICE, change).replace("UID:v1", "UID:v0")
        assert "19 18:00-22 12:00 Not available" in spans(read(calendar(text), WEEK))
        gone = text.replace("DURATION:PT1H", "DURATION:PT1H\nSTATUS:CANCELLED")
        assert "19 18:00-23 08:00 Not available" in spans(read(calendar(gone), WEEK))

    @pytest.mark.parametrize(
        ("text", "words"),
        [
            (availability("DTSTART:soon", OFFICE), "a date that cannot be read"),
            (availability("", "DTSTART:soon"), "a date that cannot be read"),
            (availability("", f"{OFFICE};FREQ=SECONDLY"), "86,400 times a day"),
            (availability("", *["DTSTART:20270316T090000Z\nDURATION:PT1H"] * 501), "more than 500 times"),
            (availability("", OFFICE).replace("END:AVAILABLE\n", "BEGIN:AVAILABLE\n" * 9_000), "more than 500 times"),
        ],
    )
    def test_left_out(self, read: Read, text: str, words: str) -> None:
        reading = read(calendar(text, availability("BUSYTYPE:BUSY", OFFICE, uid="good")), WEEK)
        assert {event.uid for event in reading.events} == {"good"}
        assert [(odd.uid, odd.kind) for odd in reading.oddities] == [("v", "left out")]
        assert words in reading.oddities[0].reason

    def test_until_an_end_and_with_a_priority_that_is_none(self, read: Read) -> None:
        until = availability("DTEND;TZID=Europe/Berlin:20270319T060000\nPRIORITY:high")
        assert spans(read(calendar(until), WEEK)) == ["19 00:00-19 06:00 Not available"]

    def test_times_without_a_zone_are_told_of(self, read: Read) -> None:
        floating = OFFICE.replace(";TZID=Europe/Berlin", "")
        reading = read(calendar(availability("SUMMARY:Office", floating), availability("BUSYTYPE:BUSY", uid="x")), WEEK)
        assert [odd.reason for odd in reading.oddities] == [
            "“Office” names no time zone; read as Europe/Berlin",
        ]

    def test_a_change_without_its_series_is_told_of(self, read: Read) -> None:
        lone = "RECURRENCE-ID:20270322T070000Z\nDTSTART:20270322T110000Z\nDURATION:PT1H"
        reading = read(calendar(availability("", lone)), WEEK)
        assert "22 13:00-24 00:00 Not available" in spans(reading)
        assert "changes a series that is not in this calendar" in reading.oddities[0].reason

    def test_beside_events(self, read: Read) -> None:
        event = "BEGIN:VEVENT\nUID:e\nSUMMARY:Tea\nDTSTART:20270322T090000Z\nDURATION:PT1H\nEND:VEVENT"
        reading = read(calendar(availability("", OFFICE), event), WEEK)
        assert "22 10:00-22 11:00 Tea" in spans(reading)


def test_very_many_components_are_not_all_looked_at(read: Read) -> None:
    one = "BEGIN:VFREEBUSY\nUID:{}\nFREEBUSY:20270316T090000Z/PT1H\nEND:VFREEBUSY"
    reading = read(calendar(*(one.format(n) for n in range(3_000))))
    assert len(reading.events) == 2_000
    assert [odd.reason.split(";")[0] for odd in reading.oddities] == [
        "family has 1,000 free-busy answers or availabilities too many or without an end"
    ]


def test_components_without_an_end_are_looked_at_once(read: Read) -> None:
    reading = read(calendar("BEGIN:VFREEBUSY\nUID:a\n" * 50_000, "BEGIN:VAVAILABILITY\n" * 50_000))
    assert reading.events == ()
    assert ["has 100,000" in odd.reason for odd in reading.oddities] == [True]


AT_TEN = "DTSTART:20270316T100000Z\nDTEND:20270316T110000Z"
WEEKLY = f"{AT_TEN}\nRRULE:FREQ=WEEKLY;COUNT=2"
SECOND = "RECURRENCE-ID:20270323T100000Z\nDTSTART:20270323T100000Z\nDURATION:PT1H"


@pytest.mark.parametrize(
    ("events", "busy"),
    [
        ([AT_TEN], [True]),
        ([f"TRANSP:TRANSPARENT\n{AT_TEN}"], [False]),
        ([f"TRANSP:OPAQUE\n{AT_TEN}"], [True]),
        ([f"STATUS:CANCELLED\n{AT_TEN}"], [False]),
        ([f"STATUS:TENTATIVE\n{AT_TEN}"], [True]),
        ([f"ATTENDEE;PARTSTAT=DECLINED:mailto:Jo@Example.org\n{AT_TEN}"], [False]),
        ([f"ATTENDEE;PARTSTAT=ACCEPTED:mailto:jo@example.org\n{AT_TEN}"], [True]),
        ([f"ATTENDEE;PARTSTAT=DECLINED:mailto:sam@example.org\n{AT_TEN}"], [True]),
        ([f"X-MICROSOFT-CDO-BUSYSTATUS:FREE\n{AT_TEN}"], [False]),
        ([f"X-MICROSOFT-CDO-BUSYSTATUS:TENTATIVE\n{AT_TEN}"], [True]),
        ([f"X-MICROSOFT-CDO-BUSYSTATUS:WORKINGELSEWHERE\n{AT_TEN}"], [True]),
        (["DTSTART;VALUE=DATE:20270316"], [False]),
        (["DTSTART;VALUE=DATE:20270316\nDTEND;VALUE=DATE:20270319"], [True]),
        (["DTSTART;VALUE=DATE:20270316\nX-MICROSOFT-CDO-BUSYSTATUS:OOF"], [True]),
        (["DTSTART:20270316T100000Z"], [False]),
        (["DTSTART:20270316T100000Z\nDTEND:20270316T090000Z"], [False]),
        ([f"RECURRENCE-ID:20270315T100000Z\n{AT_TEN}"], [True]),
        ([WEEKLY, f"{SECOND}\nATTENDEE;PARTSTAT=DECLINED:mailto:jo@example.org"], [False, True]),
        ([WEEKLY, f"{SECOND}\nSTATUS:CANCELLED"], [True, False]),
        ([f"SEQUENCE:1\nTRANSP:TRANSPARENT\n{AT_TEN}", f"SEQUENCE:2\n{AT_TEN}"], [True]),
        ([WEEKLY, f"RECURRENCE-ID;RANGE=THISANDFUTURE:20270316T100000Z\nTRANSP:TRANSPARENT\n{AT_TEN}"], [False, False]),
    ],
)  # fmt: skip
def test_what_an_event_says_of_jo(read: Read, events: list[str], busy: list[bool]) -> None:
    data = calendar(*(f"BEGIN:VEVENT\nUID:a\nSUMMARY:Choir\n{lines}\nEND:VEVENT" for lines in events))
    found = read(data).events
    assert sorted(is_busy(event, frozenset({"jo@example.org"})) for event in found) == sorted(busy)
