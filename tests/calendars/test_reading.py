"""What real calendars contain, one trap after the other. The window is 15 March to 5 April 2027, the home Berlin."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from calendars.event import Attendee, Event, Oddity, Reading
from calendars.store import UnreadableCalendar

Ics = Callable[..., bytes]
Read = Callable[..., Reading]

HOUR = timedelta(hours=1)
TRANSLATED = "the time zone “{}” is Europe/Berlin"
AT_TEN = "DTSTART;TZID=Europe/Berlin:20270316T100000\nDTEND;TZID=Europe/Berlin:20270316T110000"
WEEKLY = f"UID:w\nSUMMARY:Choir\n{AT_TEN}\nRRULE:FREQ=WEEKLY;COUNT=3"


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def days(reading: Reading) -> list[str]:
    return [f"{event.start.astimezone(ZoneInfo('Europe/Berlin')):%m-%d %H:%M}" for event in reading.events]


def only(reading: Reading) -> Event:
    assert len(reading.events) == 1, reading
    return reading.events[0]


def reason(reading: Reading) -> str:
    assert len(reading.oddities) == 1, reading.oddities
    return reading.oddities[0].reason


class TestOneEvent:
    def test_every_field(self, ics: Ics, read: Read) -> None:
        lines = (
            "UID:a@example\nSUMMARY:Dinner\\, with\\nguests \\;-)\nDESCRIPTION:Two\\nlines\\\\n\nLOCATION:Home\n"
            "CATEGORIES:Food,Green\\,blue\nCATEGORIES:Late\nTRANSP:TRANSPARENT\nSTATUS:tentative\n"
            "X-MICROSOFT-CDO-BUSYSTATUS:oof\nORGANIZER:mailto:Jo@Example.org\n"
            'ATTENDEE;CN="Sam, the elder";PARTSTAT=DECLINED:mailto:SAM@example.org\n'
            "ATTENDEE;CN=Kim:MAILTO:kim@example.org\nBEGIN:VALARM\nUID:other\nDESCRIPTION:no\nTRIGGER:-PT5M\nEND:VALARM\n"
        )
        reading = read(ics(lines + AT_TEN))
        assert reading.oddities == ()
        assert only(reading) == Event(
            uid="a@example",
            recurrence_id=None,
            summary="Dinner, with guests ;-)",
            description="Two\nlines\\n",
            location="Home",
            categories=("Food", "Green,blue", "Late"),
            start=utc("2027-03-16T09:00"),
            end=utc("2027-03-16T10:00"),
            transparent=True,
            status="TENTATIVE",
            busy_status="OOF",
            attendees=(Attendee("sam@example.org", "Sam, the elder", "DECLINED"), Attendee("kim@example.org", "Kim")),
            organizer="jo@example.org",
            calendar="family",
        )
        assert only(reading).key == "a@example"

    def test_lines_folded_anywhere_even_inside_a_character(self, ics: Ics, read: Read) -> None:
        data = ics(f"UID:a\nSUMMARY:Brötchen für Zoë\n{AT_TEN}").replace("ö".encode(), b"\xc3\r\n \xb6")
        assert only(read(data)).summary == "Brötchen für Zoë"

    def test_a_date_folded_in_the_middle(self, ics: Ics, read: Read) -> None:
        data = ics(f"UID:a\n{AT_TEN}").replace(b"20270316T10", b"2027\r\n 0316T10")
        assert only(read(data)).start == utc("2027-03-16T09:00")

    @pytest.mark.parametrize("newline", [b"\n", b"\r", b"\r\n"])
    def test_any_line_ends_and_a_byte_order_mark(self, ics: Ics, read: Read, newline: bytes) -> None:
        data = b"\xef\xbb\xbf" + ics(f"UID:a\n{AT_TEN}").replace(b"\r\n", newline).rstrip()
        assert only(read(data)).uid == "a"

    def test_lower_case_names(self, ics: Ics, read: Read) -> None:
        data = ics(f"uid:a\nsummary:Tea\n{AT_TEN.lower().replace('europe/berlin', 'Europe/Berlin')}")
        assert only(read(data.replace(b"BEGIN:", b"begin:").replace(b"END:", b"end:"))).summary == "Tea"

    def test_no_uid_is_given_one_that_stays(self, ics: Ics, read: Read) -> None:
        data = ics(f"SUMMARY:Tea\n{AT_TEN}", f"SUMMARY:Cake\n{AT_TEN}")
        events = read(data).events
        assert len({event.uid for event in events}) == 2
        assert events == read(data).events

    def test_tasks_and_journals_are_no_events(self, ics: Ics, read: Read) -> None:
        data = ics(f"UID:a\n{AT_TEN}\nRRULE:FREQ=DAILY;COUNT=2")
        for name in (b"VTODO", b"VJOURNAL"):
            other = data.replace(b"VEVENT", name)
            assert read(other) == Reading()
            assert len(read(other + data).events) == 2

    def test_several_calendars_in_one_file(self, ics: Ics, read: Read) -> None:
        floating = "DTSTART:20270316T100000\nDTEND:20270316T110000"
        data = ics(f"UID:a\n{floating}", head="X-WR-TIMEZONE:America/New_York") + ics(f"UID:b\n{floating}")
        assert {event.uid: event.start for event in read(data).events} == {
            "a": utc("2027-03-16T14:00"),
            "b": utc("2027-03-16T09:00"),
        }


class TestEncoding:
    def test_latin_1_is_read_and_reported(self, ics: Ics, read: Read) -> None:
        data = ics(f"UID:a\nSUMMARY:Brötchen\n{AT_TEN}").decode().encode("latin-1")
        reading = read(data)
        assert only(reading).summary == "Brötchen"
        assert "not written in UTF-8" in reason(reading)

    def test_utf_16(self, ics: Ics, read: Read) -> None:
        reading = read(ics(f"UID:a\nSUMMARY:Brötchen\n{AT_TEN}").decode().encode("utf-16"))
        assert only(reading).summary == "Brötchen"
        assert "UTF-16" in reason(reading)


class TestWhatIsNoCalendar:
    @pytest.mark.parametrize("cut", [0.2, 0.5, 0.9, 0.97])
    def test_a_cut_file_is_refused(self, ics: Ics, read: Read, cut: float) -> None:
        data = ics(f"UID:a\n{AT_TEN}")
        with pytest.raises(UnreadableCalendar, match="cut off"):
            read(data[: int(len(data) * cut)])

    def test_a_second_calendar_cut_off(self, ics: Ics, read: Read) -> None:
        data = ics(f"UID:a\n{AT_TEN}")
        with pytest.raises(UnreadableCalendar, match="cut off"):
            read(data + data[:60])

    def test_too_large(self, read: Read) -> None:
        with pytest.raises(UnreadableCalendar, match="51 MB"):
            read(b"x" * 51_000_000)

    def test_absurdly_many_events_in_the_window(self, ics: Ics, read: Read) -> None:
        block = f"BEGIN:VEVENT\n{AT_TEN}\nEND:VEVENT\n".encode()
        data = ics(f"UID:a\n{AT_TEN}").replace(b"END:VCALENDAR", block * 20_001 + b"END:VCALENDAR")
        with pytest.raises(UnreadableCalendar, match="at most 20,000"):
            read(data)

    def test_an_event_without_an_end_is_left_out(self, ics: Ics, read: Read) -> None:
        data = ics(f"UID:a\n{AT_TEN}", f"UID:b\n{AT_TEN}").replace(b"END:VEVENT\r\n", b"", 1)
        reading = read(data)
        assert only(reading).uid == "b"
        assert "without an end" in reason(reading)


class TestZones:
    @pytest.mark.parametrize(
        ("tzid", "start", "told"),
        [
            ("Europe/London", "2027-03-16T10:00", ()),
            (
                "W. Europe Standard Time",
                "2027-03-16T09:00",
                (Oddity("family", "", TRANSLATED.format("W. Europe Standard Time"), "family", "translated"),),
            ),
            (
                '"/maker.example/20250101/Europe/Berlin"',
                "2027-03-16T09:00",
                (
                    Oddity(
                        "family", "", TRANSLATED.format("/maker.example/20250101/Europe/Berlin"), "family", "translated"
                    ),
                ),
            ),
            (
                "Kitchen clock",
                "2027-03-16T09:00",
                (
                    Oddity(
                        "family",
                        "a",
                        "“Tea” names a time zone that is not known, “Kitchen clock”; read as Europe/Berlin",
                        "family",
                    ),
                ),
            ),
        ],
    )
    def test_names(self, ics: Ics, read: Read, tzid: str, start: str, told: tuple[Oddity, ...]) -> None:
        reading = read(ics(f"UID:a\nSUMMARY:Tea\nDTSTART;TZID={tzid}:20270316T100000"))
        assert only(reading).start == utc(start)
        assert reading.oddities == told

    def test_floating_time_is_the_households_and_reported(self, ics: Ics, read: Read) -> None:
        reading = read(ics("UID:a\nDTSTART:20270316T100000"))
        assert only(reading).start == utc("2027-03-16T09:00")
        assert "names no time zone; read as Europe/Berlin" in reason(reading)

    def test_floating_time_in_the_calendars_own_zone(self, ics: Ics, read: Read) -> None:
        reading = read(ics("UID:a\nDTSTART:20270316T100000", head="X-WR-TIMEZONE:Europe/London"))
        assert only(reading).start == utc("2027-03-16T10:00")
        assert "the calendar's own, Europe/London" in reason(reading)

    def test_the_calendars_own_zone_leaves_zoned_times_and_dates_alone(self, ics: Ics, read: Read) -> None:
        reading = read(ics(f"UID:a\n{AT_TEN}", "UID:b\nDTSTART;VALUE=DATE:20270316", head="X-WR-TIMEZONE:Asia/Tokyo"))
        assert days(reading) == ["03-16 00:00", "03-16 10:00"]
        assert reading.oddities == ()

    def test_a_zone_of_the_file_under_a_known_name_does_not_change_it(self, ics: Ics, read: Read) -> None:
        zone = (
            "BEGIN:VTIMEZONE\nTZID:Europe/Berlin\nBEGIN:STANDARD\nDTSTART:19700101T000000\nTZOFFSETFROM:+0900\n"
            "TZOFFSETTO:+0900\nRRULE:FREQ=SECONDLY\nEND:STANDARD\nEND:VTIMEZONE"
        )
        reading = read(ics(f"UID:a\n{AT_TEN}", head=zone))
        assert only(reading).start == utc("2027-03-16T09:00")


class TestLengths:
    @pytest.mark.parametrize(
        ("lines", "length", "odd"),
        [
            ("DTSTART:20270316T100000Z", timedelta(), ""),
            ("DTSTART:20270316T100000Z\nDTEND:20270316T100000Z", timedelta(), ""),
            ("DTSTART:20270316T100000Z\nDTEND:20270316T090000Z", timedelta(), "ends before it starts"),
            ("DTSTART:20270316T100000Z\nDURATION:PT90M", 1.5 * HOUR, ""),
            ("DTSTART:20270316T100000Z\nDURATION:P1DT2H", 26 * HOUR, ""),
            ("DTSTART;VALUE=DATE:20270316", 24 * HOUR, ""),
            ("DTSTART;VALUE=DATE:20270316\nDTEND;VALUE=DATE:20270316", 24 * HOUR, "taken as one day"),
            ("DTSTART;VALUE=DATE:20270316\nDTEND;VALUE=DATE:20270310", 24 * HOUR, "taken as one day"),
            ("DTSTART;VALUE=DATE:20270327\nDTEND;VALUE=DATE:20270329", 47 * HOUR, ""),
            ("DTSTART;VALUE=DATE:20270328\nDURATION:P1D", 23 * HOUR, ""),
            ("DTSTART;TZID=Europe/Berlin:20270327T120000\nDURATION:P1D", 23 * HOUR, ""),
            ("DTSTART;TZID=Europe/Berlin:20270327T120000\nDURATION:PT24H", 24 * HOUR, ""),
            ("DTSTART;TZID=Europe/Berlin:20270327T120000\nDTEND;TZID=Europe/Berlin:20270328T120000", 23 * HOUR, ""),
        ],
    )
    def test_length(self, ics: Ics, read: Read, lines: str, length: timedelta, odd: str) -> None:
        reading = read(ics(f"UID:a\n{lines}"))
        event = only(reading)
        assert event.end - event.start == length
        assert odd in (reason(reading) if odd else "")
        assert bool(reading.oddities) is bool(odd)

    @pytest.mark.parametrize(
        "lines",
        [
            "DTSTART:20261220T100000Z\nDTEND:20270405T100000Z",
            "DTSTART:20200101T100000Z\nDTEND:20350101T100000Z",
            "DTSTART;VALUE=DATE:20250101\nDURATION:P900D",
            "DTSTART;VALUE=DATE:20200101\nDURATION:P500W",
            "DTSTART:20270314T233000Z\nDURATION:PT1H",
            "DTSTART:20270312T000200Z\nDURATION:P3DT3H",
            "DTSTART:20270301T000200Z\nDURATION:P9DT99H9999M",
            "DTSTART:20261201T000000Z\nDURATION:PT2500H",
            "DTSTART:20270301T000000Z\nDTEND:20270315T000000Z\nRRULE:FREQ=DAILY;COUNT=2",
            "DTSTART:20270331T230000Z\nDTEND:20270601T000000Z",
        ],
    )
    def test_what_began_long_before_still_touches(self, ics: Ics, read: Read, lines: str) -> None:
        assert read(ics(f"UID:a\n{lines}")).events

    @pytest.mark.parametrize(
        "lines",
        ["DTSTART:20270314T230000Z\nDTEND:20270315T000000Z", "DTSTART:20270405T000000Z\nDTEND:20270405T010000Z"],
    )
    def test_what_only_meets_the_edge_does_not(self, ics: Ics, read: Read, lines: str) -> None:
        assert read(ics(f"UID:a\n{lines}")) == Reading()


class TestSeries:
    def test_occurrences_have_names_that_stay(self, ics: Ics, read: Read) -> None:
        reading = read(ics(WEEKLY))
        assert days(reading) == ["03-16 10:00", "03-23 10:00", "03-30 10:00"]
        assert [event.key for event in reading.events] == [
            "w/20270316T090000Z",
            "w/20270323T090000Z",
            "w/20270330T080000Z",
        ]
        assert reading.oddities == ()

    def test_all_day_series(self, ics: Ics, read: Read) -> None:
        reading = read(ics("UID:a\nDTSTART;VALUE=DATE:20200101\nRRULE:FREQ=MONTHLY;BYMONTHDAY=-1"))
        assert [event.key for event in reading.events] == ["a/20270331"]
        assert days(reading) == ["03-31 00:00"]
        assert only(reading).all_day

    def test_a_changed_occurrence(self, ics: Ics, read: Read) -> None:
        change = (
            "UID:w\nSUMMARY:Choir, later\nRECURRENCE-ID;TZID=Europe/Berlin:20270323T100000\n"
            "DTSTART;TZID=Europe/Berlin:20270324T180000\nDTEND;TZID=Europe/Berlin:20270324T200000"
        )
        reading = read(ics(change, WEEKLY))
        assert days(reading) == ["03-16 10:00", "03-24 18:00", "03-30 10:00"]
        assert reading.events[1].key == "w/20270323T090000Z"
        assert reading.events[1].summary == "Choir, later"

    @pytest.mark.parametrize(
        "written", [":20270323T090000Z", ";VALUE=DATE:20270323", ";TZID=Europe/London:20270323T090000"]
    )
    def test_a_change_names_its_occurrence_in_many_ways(self, ics: Ics, read: Read, written: str) -> None:
        change = f"UID:w\nRECURRENCE-ID{written}\nDTSTART:20270324T180000Z"
        assert days(read(ics(WEEKLY, change))) == ["03-16 10:00", "03-24 19:00", "03-30 10:00"]

    def test_an_occurrence_moved_out_of_the_window_is_gone_and_one_moved_in_is_there(
        self, ics: Ics, read: Read
    ) -> None:
        out = "UID:w\nRECURRENCE-ID:20270323T090000Z\nDTSTART:20270623T090000Z"
        assert days(read(ics(WEEKLY, out))) == ["03-16 10:00", "03-30 10:00"]
        old = "UID:o\nDTSTART:20190105T090000Z\nRRULE:FREQ=YEARLY"
        moved_in = "UID:o\nRECURRENCE-ID:20210105T090000Z\nDTSTART:20270317T090000Z"
        assert days(read(ics(old, moved_in))) == ["03-17 10:00"]

    def test_a_cancelled_occurrence_is_told(self, ics: Ics, read: Read) -> None:
        change = f"UID:w\nSTATUS:CANCELLED\nRECURRENCE-ID:20270316T090000Z\n{AT_TEN}"
        assert [event.status for event in read(ics(WEEKLY, change)).events] == ["CANCELLED", "CONFIRMED", "CONFIRMED"]

    def test_a_declined_occurrence(self, ics: Ics, read: Read) -> None:
        change = f"UID:w\nATTENDEE;PARTSTAT=DECLINED:mailto:jo@x.org\nRECURRENCE-ID:20270316T090000Z\n{AT_TEN}"
        assert [len(event.attendees) for event in read(ics(WEEKLY, change)).events] == [1, 0, 0]

    def test_a_change_without_its_series(self, ics: Ics, read: Read) -> None:
        reading = read(ics(f"UID:w\nRECURRENCE-ID:20270316T090000Z\n{AT_TEN}"))
        assert only(reading).key == "w/20270316T090000Z"
        assert "a series that is not in this calendar" in reason(reading)

    def test_this_and_future(self, ics: Ics, read: Read) -> None:
        change = (
            "UID:w\nSUMMARY:Choir at noon\nRECURRENCE-ID;RANGE=THISANDFUTURE;TZID=Europe/Berlin:20270323T100000\n"
            "DTSTART;TZID=Europe/Berlin:20270324T120000\nDURATION:PT30M"
        )
        reading = read(ics(WEEKLY, change))
        assert days(reading) == ["03-16 10:00", "03-24 12:00", "03-31 12:00"]
        assert [event.summary for event in reading.events] == ["Choir", "Choir at noon", "Choir at noon"]
        assert [event.end - event.start for event in reading.events] == [HOUR, HOUR / 2, HOUR / 2]
        assert [event.key for event in reading.events][2] == "w/20270330T080000Z"

    def test_this_and_future_given_in_utc_keeps_the_wall_clock_of_the_series(self, ics: Ics, read: Read) -> None:
        change = "UID:w\nRECURRENCE-ID;RANGE=THISANDFUTURE:20270323T090000Z\nDTSTART:20270323T100000Z"
        assert days(read(ics(WEEKLY, change))) == ["03-16 10:00", "03-23 11:00", "03-30 11:00"]

    def test_this_and_future_from_long_ago(self, ics: Ics, read: Read) -> None:
        daily = "UID:d\nDTSTART;TZID=Europe/Berlin:20200101T080000\nRRULE:FREQ=WEEKLY;BYDAY=MO"
        change = (
            "UID:d\nRECURRENCE-ID;RANGE=THISANDFUTURE;TZID=Europe/Berlin:20210104T080000\n"
            "DTSTART;TZID=Europe/Berlin:20210105T090000"
        )
        assert days(read(ics(daily, change))) == ["03-16 09:00", "03-23 09:00", "03-30 09:00"]

    @pytest.mark.parametrize(
        ("exdate", "left", "odd"),
        [
            ("EXDATE;TZID=Europe/Berlin:20270323T100000", 2, False),
            ("EXDATE:20270323T090000Z,20270330T080000Z", 1, False),
            ("EXDATE:20270323T100000", 2, False),
            ("EXDATE;VALUE=DATE:20270323", 2, True),
            ("EXDATE:20270323T093000Z", 3, False),
            ("EXDATE:20270316T090000Z", 2, False),
        ],
    )
    def test_exceptions(self, ics: Ics, read: Read, exdate: str, left: int, odd: bool) -> None:
        reading = read(ics(f"{WEEKLY}\n{exdate}"))
        assert len(reading.events) == left
        assert bool(reading.oddities) is odd

    @pytest.mark.parametrize("exdate", ["20270318", "20270318T000000Z", "20270317T230000Z"])
    def test_exception_of_an_all_day_series_as_date_or_time(self, ics: Ics, read: Read, exdate: str) -> None:
        reading = read(ics(f"UID:a\nDTSTART;VALUE=DATE:20270316\nRRULE:FREQ=DAILY;COUNT=3\nEXDATE:{exdate}"))
        assert days(reading) == ["03-16 00:00", "03-17 00:00"]

    def test_a_number_before_a_weekday_means_nothing_in_a_week(self, ics: Ics, read: Read) -> None:
        reading = read(ics(f"UID:a\n{AT_TEN}\nRRULE:FREQ=WEEKLY;BYDAY=1TU,-1TH;COUNT=3"))
        assert days(reading) == ["03-16 10:00", "03-18 10:00", "03-23 10:00"]

    def test_extra_dates(self, ics: Ics, read: Read) -> None:
        extra = "RDATE;TZID=Europe/Berlin:20270318T120000\nRDATE;VALUE=DATE:20270319\nRDATE:20270316T090000Z"
        assert days(read(ics(f"UID:a\n{AT_TEN}\n{extra}"))) == ["03-16 10:00", "03-18 12:00", "03-19 10:00"]

    def test_an_extra_period_that_began_long_before(self, ics: Ics, read: Read) -> None:
        reading = read(ics("UID:a\nDTSTART:20260101T100000Z\nRDATE;VALUE=PERIOD:20270301T100000Z/20270320T100000Z"))
        assert only(reading).end == utc("2027-03-20T10:00")

    @pytest.mark.parametrize(
        "until", ["20270317", "20270317T000000Z", "20270317T215959Z", "20270317T120000", "20270316T230000Z"]
    )
    def test_an_all_day_series_ends_on_the_same_day_however_it_is_written(
        self, ics: Ics, read: Read, until: str
    ) -> None:
        reading = read(ics(f"UID:a\nDTSTART;VALUE=DATE:20270316\nRRULE:FREQ=DAILY;UNTIL={until}"))
        assert days(reading) == ["03-16 00:00", "03-17 00:00"]

    def test_excluding_rule(self, ics: Ics, read: Read) -> None:
        lines = f"UID:a\n{AT_TEN}\nRRULE:FREQ=DAILY;COUNT=4\nEXRULE:FREQ=DAILY;INTERVAL=2"
        assert days(read(ics(lines))) == ["03-17 10:00", "03-19 10:00"]

    @pytest.mark.parametrize(
        ("until", "last"),
        [("20270318T090000Z", 18), ("20270318T085959Z", 17), ("20270318", 18), ("20270318T100000", 18)],
    )
    def test_until(self, ics: Ics, read: Read, until: str, last: int) -> None:
        events = read(ics(f"UID:a\n{AT_TEN}\nRRULE:FREQ=DAILY;UNTIL={until}")).events
        assert events[-1].start.day == last

    def test_the_newest_version_wins(self, ics: Ics, read: Read) -> None:
        reading = read(ics(f"UID:a\nSEQUENCE:3\nSUMMARY:New\n{AT_TEN}", f"UID:a\nSEQUENCE:2\nSUMMARY:Old\n{AT_TEN}"))
        assert only(reading).summary == "New"
        assert "is there 2 times" in reason(reading)

    def test_the_newest_version_may_have_left_the_window(self, ics: Ics, read: Read) -> None:
        moved = "UID:a\nSEQUENCE:1\nDTSTART:20290101T100000Z"
        assert read(ics(f"UID:a\n{AT_TEN}", moved)) == Reading()

    def test_the_newest_change_to_an_occurrence_wins(self, ics: Ics, read: Read) -> None:
        changes = [
            f"UID:w\nSEQUENCE:{n}\nRECURRENCE-ID:20270323T090000Z\nDTSTART:202703{day}T090000Z"
            for n, day in [(1, 24), (3, 25), (2, 26)]
        ]
        assert days(read(ics(WEEKLY, *changes))) == ["03-16 10:00", "03-25 10:00", "03-30 10:00"]

    def test_hours_that_the_clocks_skip_or_repeat(self, ics: Ics, read: Read) -> None:
        night = "UID:n\nDTSTART;TZID=Europe/Berlin:20270327T023000\nDURATION:PT1H\nRRULE:FREQ=DAILY;COUNT=3"
        assert [f"{event.start:%dT%H:%M}" for event in read(ics(night)).events] == ["27T01:30", "28T01:30", "29T00:30"]

    def test_a_series_keeps_its_wall_clock(self, ics: Ics, read: Read) -> None:
        assert {f"{event.start:%m-%d}": event.start.hour for event in read(ics(WEEKLY)).events} == {
            "03-16": 9,
            "03-23": 9,
            "03-30": 8,
        }


MANY_DATES = ",".join(f"20270317T{n // 3600:02}{n // 60 % 60:02}{n % 60:02}Z" for n in range(2_500))
GOOD = f"UID:good\nSUMMARY:Tea\n{AT_TEN}"


class TestHostile:
    """Each of these is reported, harms no other event, and is given up after a bounded number of steps."""

    @pytest.mark.parametrize(
        ("lines", "words"),
        [
            ("LOCATION:x", "has no start"),
            ("DTSTART:", "a date that cannot be read"),
            ("DTSTART:20270332T100000Z", "a date that does not exist"),
            ("DTSTART:tomorrow", "a date that cannot be read"),
            ("DTSTART;VALUE=DATE:20270316T250000", "does not exist"),
            ("DTSTART 20270316", "has no start"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY;BYDAY", "cannot be read (BYDAY)"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY;WKST=XX", "cannot be read (WKST=XX)"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY;SKIP=OMIT", "cannot be read (SKIP=OMIT)"),
            (f"{AT_TEN}\nRRULE:\x1b[2JFREQ=DAILY;BYDAY=\x1b[2J", "cannot be read (FREQ=DAILY)"),
            (f"{AT_TEN}\nRRULE:FREQ=SOMETIMES", "without a known frequency"),
            (f"{AT_TEN}\nRRULE:", "without a known frequency"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY;INTERVAL=0", "cannot be read (INTERVAL=0)"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY;COUNT=-1", "cannot be read (COUNT=-1)"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY;COUNT=99999999999999999999", "cannot be read (COUNT"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY;BYDAY=XX", "cannot be read (BYDAY=XX)"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY;UNTIL=never", "a date that cannot be read"),
            (f"{AT_TEN}\nRRULE:FREQ=SECONDLY", "86,400 times a day"),
            (f"{AT_TEN}\nRRULE:FREQ=MINUTELY", "1,440 times a day"),
            (f"{AT_TEN}\nRRULE:FREQ=SECONDLY;COUNT=1000000", "86,400 times a day"),
            (
                f"{AT_TEN}\nRRULE:FREQ=DAILY;BYHOUR={','.join(map(str, range(24)))};BYMINUTE="
                f"{','.join(map(str, range(60)))};BYSECOND={','.join(map(str, range(60)))}",
                "86,400 times a day",
            ),
            ("DTSTART:00010101T000000Z\nRRULE:FREQ=DAILY;COUNT=999999", "repeats too often to be worked out"),
            (f"{AT_TEN}\nRRULE:FREQ=SECONDLY;INTERVAL=7", "12,343 times a day"),
            ("DTSTART:20270316T100000Z\nDTEND:99991231T235959Z\nRRULE:FREQ=DAILY", "outside the calendar"),
            ("DTSTART:20270316T100000Z\nDURATION:PT999999999H", "outside the calendar"),
            ("DTSTART:20270316T100000Z\nDURATION:PT999999999H999999999M", "outside the calendar"),
            ("DTSTART:20270316T100000Z\nDURATION:P999999999D", "outside the calendar"),
            (f"{AT_TEN}\nRDATE:{MANY_DATES}", "more than 2,000 extra dates"),
            (f"{AT_TEN}\nRRULE:FREQ=DAILY\nEXDATE:20270323Tx", "a date that cannot be read"),
            (f"{AT_TEN}\nRECURRENCE-ID:soon", "a date that cannot be read"),
            (f"{AT_TEN}\nTRANSP;X=\x07:OPAQUE", "a TRANSP line that cannot be read"),
        ],
    )
    def test_left_out(self, ics: Ics, read: Read, lines: str, words: str) -> None:
        reading = read(ics(f"UID:bad\nSUMMARY:Trouble\n{lines}", GOOD))
        assert [event.uid for event in reading.events] == ["good"]
        assert [odd.uid for odd in reading.oddities] == ["bad"]
        assert words in reason(reading)
        assert reason(reading).startswith("“Trouble” ")
        assert reason(reading).endswith("; it is left out")

    def test_more_occurrences_than_anybody_has(self, ics: Ics, read: Read) -> None:
        years = (datetime(2000, 1, 1, tzinfo=UTC), datetime(2030, 1, 1, tzinfo=UTC))
        lines = "UID:a\nDTSTART:20000101T000000Z\nRRULE:FREQ=DAILY;BYHOUR=1,2"
        assert "more than 10,000 occurrences" in reason(read(ics(lines), years))

    @pytest.mark.parametrize(
        "rule",
        [
            "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
            "FREQ=MONTHLY;BYMONTHDAY=31;BYMONTH=4",
            "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30",
            "FREQ=HOURLY;BYMONTH=2;BYMONTHDAY=30",
            "FREQ=YEARLY;BYWEEKNO=53;BYMONTH=6;BYDAY=MO",
            "FREQ=YEARLY;INTERVAL=999999",
            "FREQ=SECONDLY;INTERVAL=999999;BYMONTH=2;BYMONTHDAY=31",
            "FREQ=DAILY;UNTIL=99991231T235959Z;INTERVAL=1000000",
            "FREQ=MONTHLY;BYDAY=MO;BYSETPOS=300",
            "FREQ=MONTHLY;INTERVAL=1000000",
            "FREQ=SECONDLY;INTERVAL=3600;BYSECOND=30",
            "FREQ=MINUTELY;INTERVAL=60;BYMINUTE=30",
        ],
    )
    def test_a_rule_without_instances_gives_the_first_alone(self, ics: Ics, read: Read, rule: str) -> None:
        reading = read(ics(f"UID:a\n{AT_TEN}\nRRULE:{rule}"))
        assert days(reading) == ["03-16 10:00"]
        assert reading.oddities == ()

    def test_twenty_thousand_exceptions(self, ics: Ics, read: Read) -> None:
        first = date(1960, 1, 1)
        gone = ",".join(f"{first + timedelta(days=n):%Y%m%d}T090000Z" for n in range(20_000))
        lines = f"UID:a\nSUMMARY:Gym\nDTSTART:19600101T090000Z\nRRULE:FREQ=DAILY\nEXDATE:{gone},20270316T090000Z"
        reading = read(ics(lines, GOOD))
        assert len(reading.events) == 21
        assert "has more than 2,000 exceptions" in reason(reading)

    def test_fifty_thousand_attendees(self, ics: Ics, read: Read) -> None:
        people = "\n".join(f"ATTENDEE:mailto:{n}@example.org" for n in range(50_000))
        reading = read(ics(f"UID:a\n{AT_TEN}\n{people}"))
        assert len(only(reading).attendees) == 500
        assert "more than 500 people" in reason(reading)

    def test_alarms_within_alarms(self, ics: Ics, read: Read) -> None:
        nested = "BEGIN:VALARM\n" * 20_000 + "SUMMARY:no\n" + "END:VALARM\n" * 20_000
        assert only(read(ics(f"UID:a\n{nested}SUMMARY:Tea\n{AT_TEN}"))).summary == "Tea"

    def test_many_costly_series_do_not_use_up_what_a_plain_one_needs(self, ics: Ics, read: Read) -> None:
        costly = [f"UID:{n}\nDTSTART:00010101T000000Z\nRRULE:FREQ=DAILY;COUNT=999999" for n in range(120)]
        reading = read(ics(*costly, f"UID:good\n{AT_TEN}\nRRULE:FREQ=DAILY"))
        assert {event.uid for event in reading.events} == {"good"}
        assert len(reading.oddities) == 120

    def test_a_line_that_matters_little_is_passed_over(self, ics: Ics, read: Read) -> None:
        reading = read(ics(f"UID:a\nSUMMARY:Tea\nLOCATION\n{AT_TEN}"))
        assert only(reading).summary == "Tea"
        assert "passed over" in reason(reading)

    def test_oddities_are_bounded(self, ics: Ics, read: Read) -> None:
        reading = read(ics(*[f"UID:{n}\nDTSTART:soon" for n in range(1_100)]))
        assert len(reading.oddities) == 1_001
        assert "100 more" in reading.oddities[-1].reason

    def test_no_escape_reaches_anybody(self, ics: Ics, read: Read) -> None:
        nasty = "\x1b[31mred\x1b]0;title\x07\x9b2J\u202egnp\x00\x08<script>"
        lines = (
            f"UID:{nasty}\nSUMMARY:{nasty}\nDESCRIPTION:{nasty}\nLOCATION:{nasty}\nCATEGORIES:{nasty}\n"
            f"ATTENDEE;CN=x:{nasty}\nORGANIZER:{nasty}\nX-MICROSOFT-CDO-BUSYSTATUS:{nasty}\n"
        )
        reading = read(ics(lines + AT_TEN, f"{lines}DTSTART;TZID=Kitchen\x1b[1m:{nasty}"))
        event = only(reading)
        told = [*event.__dict__.values(), *(odd.reason + odd.uid for odd in reading.oddities)]
        assert event.summary == "redgnp<script>"
        assert reading.oddities
        assert not [text for text in map(str, told) for char in text if ord(char) < 32 or char in "\x7f\x9b\u202e"]


class TestOnlyWhatTouchesTheWindowIsParsed:
    def test_old_events_are_never_parsed(self, ics: Ics, read: Read, monkeypatch: pytest.MonkeyPatch) -> None:
        from calendars import reading as module

        parsed: list[str] = []
        real = module.parse
        monkeypatch.setattr(module, "parse", lambda block, *how: (parsed.append(block.text), real(block, *how))[1])
        old = [
            f"UID:{n}\nDTSTART:{year}0316T100000Z\nDTEND:{year}0316T110000Z" for n, year in enumerate(range(1970, 2027))
        ]
        near = ["UID:n1\nDTSTART:20270301T100000Z\nDTEND:20270301T110000Z", "UID:n2\nDTSTART:20270601T100000Z"]
        assert only(read(ics(*old, GOOD, *near))).uid == "good"
        assert len(parsed) == 1

    def test_a_window_of_many_years(self, ics: Ics, read: Read) -> None:
        events = [f"UID:{year}\nDTSTART:{year}0316T100000Z" for year in range(1990, 2040)]
        window = (datetime(1995, 1, 1, tzinfo=UTC), datetime(2030, 1, 1, tzinfo=UTC))
        assert [int(event.uid) for event in read(ics(*events), window).events] == list(range(1995, 2030))
