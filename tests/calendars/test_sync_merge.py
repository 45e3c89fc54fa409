"""What the family added to our entries stays when we write them anew."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calendars.content import Piece, main_of, parse, span_of, to_bytes
from calendars.merge import merged, same_part, speaks_for
from calendars.store import UnreadableCalendar
from calendars.writing import Entry, to_resource
from tests.calendars.family import NOW, PRODUCT, ZONE, entry, set_line

OURS = entry(
    "a", 5, alarms=(timedelta(minutes=15), timedelta(hours=12)), categories=("Bread",), related=(("PARENT", "b"),)
)


def resource(wanted: Entry = OURS) -> str:
    return to_resource(wanted, stamp=NOW, product_id=PRODUCT).decode().replace("\r\n ", "")


def piece(text: str) -> Piece:
    found = main_of(parse(text.encode()), "a")
    assert found is not None
    return found


def merge(held: str, wanted: Entry, base: Entry = OURS) -> Piece:
    there = piece(held)
    result = merged(piece(resource(base)), there, piece(resource(wanted)), ZONE)
    again = merged(piece(resource(wanted)), result, piece(resource(wanted)), ZONE)
    assert again is result, "what was written once is not written again"
    return result


def test_nothing_new_is_the_same_object() -> None:
    there = piece(resource())
    assert merged(there, there, piece(resource(replace(OURS, sequence=9))), ZONE) is there


@pytest.mark.parametrize(
    "served",
    [
        resource().replace("RELATED-TO;RELTYPE=PARENT:b", "RELATED-TO:b"),
        resource().replace("DTSTART:20270315T140000Z", "DTSTART;TZID=Europe/Berlin:20270315T150000"),
        resource().replace("DTEND:20270315T144500Z", "DURATION:PT45M"),
        resource().replace("DTSTAMP:20270315T090000Z", "DTSTAMP:20270101T000000Z\r\nCREATED:20270101T000000Z"),
        resource().replace("PRODID:-//example//bread//EN", "PRODID:-//a server//EN"),
        resource().replace("SUMMARY:", "SUMMARY;LANGUAGE=de:"),
        resource().replace("BEGIN:VALARM", "BEGIN:VALARM\r\nX-SERVER:1", 1),
        resource().replace("UID:a-alarm-15\r\n", ""),
        resource().replace("UID:a-alarm-15\r\n", "X-WR-ALARMUID:a-alarm-15\r\nUID:of-a-server\r\n"),
        resource().replace("TRANSP:TRANSPARENT\r\n", ""),
    ],
)
def test_what_servers_and_programs_do_to_it_asks_for_no_write(served: str) -> None:
    held = piece(served)
    assert merged(piece(resource()), held, piece(resource()), ZONE) is held


def test_a_change_of_ours_is_written_with_stamps_and_a_higher_sequence() -> None:
    held = resource().replace("SEQUENCE:0", "SEQUENCE:7").replace("20270315T090000Z", "20270101T000000Z")
    result = merge(held, replace(OURS, summary="Bread: three"))
    assert result.text("SUMMARY") == "Bread: three"
    assert result.value("SEQUENCE") == "8"
    assert result.value("DTSTAMP") == result.value("LAST-MODIFIED") == "20270315T090000Z"


def test_everything_else_they_have_on_it_stays_byte_for_byte() -> None:
    added = 'X-ODD;X-P="a;b,c":\\q;;,\\N\r\nCOMMENT:Oma\\, 3 pm\r\nATTENDEE;CN="Jo, B":mailto:jo@example.org'
    added += "\r\nno line at all"
    held = resource().replace("UID:a\r\n", f"UID:a\r\n{added}\r\n")
    held = held.replace("END:VEVENT", "BEGIN:VLOCATION\r\nUID:x\r\nEND:VLOCATION\r\nEND:VEVENT")
    text = to_bytes(merge(held, replace(OURS, summary="New", start=OURS.start + timedelta(hours=1)))).decode()
    text = text.replace("\r\n ", "")
    assert f"UID:a\r\n{added}\r\n" in text
    assert "BEGIN:VLOCATION\r\nUID:x\r\nEND:VLOCATION\r\n" in text


def test_another_time_is_written_whatever_they_made_of_it() -> None:
    held = (
        resource().replace("DTSTART:", "DTSTART;TZID=Europe/Berlin:").replace("DTEND:20270315T144500Z", "DURATION:P1D")
    )
    wanted = replace(OURS, start=OURS.start + timedelta(hours=1), end=OURS.end + timedelta(hours=2))
    result = merge(held, wanted)
    assert span_of(result, ZONE) == ((wanted.start, wanted.end), False)
    assert result.raw("DURATION") == ()
    assert result.raw("DTSTART") == ("DTSTART:20270315T150000Z",)


def test_called_off_and_wanted_all_the_same_is_on_again() -> None:
    assert merge(set_line(resource(), "STATUS", "STATUS:CANCELLED"), OURS).raw("STATUS") == ()
    kept = set_line(resource(), "STATUS", "STATUS:TENTATIVE")
    assert merge(kept, replace(OURS, summary="New")).word("STATUS") == "TENTATIVE"


@pytest.mark.parametrize(
    ("theirs", "ours", "both"),
    [
        ("Bread: a", "Bread: b", "Bread: b"),
        ("Bread: a (Oma)", "Bread: b", "Bread: b (Oma)"),
        ("! Bread: a", "Bread: b", "! Bread: b"),
        ("Sourdough!", "Bread: b", "Bread: b (Sourdough!)"),
        ("Sourdough!", "Bread: a", "Sourdough!"),
        ("", "Bread: b", "Bread: b"),
        ("Bread: b", "Bread: b", "Bread: b"),
    ],
)
def test_titles(theirs: str, ours: str, both: str) -> None:
    held = set_line(resource(), "SUMMARY", f"SUMMARY:{theirs}")
    assert merge(held, replace(OURS, summary=ours)).text("SUMMARY") == both


@pytest.mark.parametrize(
    ("theirs", "ours", "both"),
    [
        ("one\ntwo\nthree", "one\n2\nthree", "one\n2\nthree"),
        ("one\ntwo\nthree\nnote", "one\n2\nthree", "one\n2\nthree\nnote"),
        ("note\none\ntwo\nthree", "one\n2\nthree", "note\none\n2\nthree"),
        ("one\nnote\ntwo\nthree", "one\n2\nthree", "one\nnote\n2\nthree"),
        ("one\nthree", "one\ntwo\n3", "one\n3"),
        ("one\nTWO!\nthree", "one\n2\nthree", "one\nTWO!\n2\nthree"),
        ("one\ntwo (Jo)\nthree", "1\ntwo\nthree", "1\ntwo (Jo)\nthree"),
        ("mine", "one\n2\nthree", "mine\n2"),
        ("one\ntwo\nthree\n\nnote", "quite\nother", "quite\nother\n\nnote"),
        ("one\ntwo\nthree\nnote", "", "note"),
        ("", "one\n2\nthree", "2"),
    ],
)
def test_descriptions(theirs: str, ours: str, both: str) -> None:
    base = replace(OURS, description="one\ntwo\nthree")
    lines = theirs.replace("\n", "\\n")
    held = set_line(resource(base), "DESCRIPTION", f"DESCRIPTION:{lines}")
    assert merge(held, replace(OURS, description=ours), base).text("DESCRIPTION") == both


def test_a_second_form_of_an_old_description_goes_with_it() -> None:
    held = set_line(resource(), "X-ALT-DESC", "X-ALT-DESC;FMTTYPE=text/html:<p>old</p>")
    assert merge(held, replace(OURS, summary="New")).raw("X-ALT-DESC")
    assert merge(held, replace(OURS, description="New")).raw("X-ALT-DESC") == ()


def test_controls_in_what_they_wrote_are_not_sent_back() -> None:
    held = set_line(resource(), "SUMMARY", "SUMMARY:Bread: a \x1b[31mOma\x00")
    assert merge(held, replace(OURS, summary="Bread: b")).text("SUMMARY") == "Bread: b Oma"


def test_choices_of_theirs_stay_and_ours_follow_where_they_made_none() -> None:
    held = set_line(set_line(resource(), "COLOR", "COLOR:tomato"), "TRANSP", "TRANSP:OPAQUE")
    result = merge(held, replace(OURS, color="gold", url="https://example.org/"))
    assert (result.value("COLOR"), result.value("TRANSP")) == ("tomato", "OPAQUE")
    assert result.value("URL") == "https://example.org/"
    assert merge(resource(), replace(OURS, color="gold")).value("COLOR") == "gold"


def test_sets_take_from_both() -> None:
    held = resource().replace("CATEGORIES:Bread", "CATEGORIES:Oma,Bread\\, dark\r\nCATEGORIES:Bread")
    result = merge(held, replace(OURS, categories=("Rolls",), related=(("FINISHTOSTART", "c"),)))
    assert [line.value for line in result.all("CATEGORIES")] == ["Oma", "Bread\\, dark", "Rolls"]
    assert result.raw("RELATED-TO") == ("RELATED-TO;RELTYPE=FINISHTOSTART:c",)


class TestAlarms:
    @staticmethod
    def triggers(result: Piece) -> list[str]:
        return [each.value("TRIGGER") for each in result.parts]

    def test_ours_follow_our_plan(self) -> None:
        result = merge(resource(), replace(OURS, alarms=(timedelta(minutes=15), timedelta(minutes=5))))
        assert self.triggers(result) == ["-PT15M", "-PT5M"]

    def test_acknowledged_and_snoozed_ones_stay_so(self) -> None:
        held = resource().replace("UID:a-alarm-15\r\n", "UID:a-alarm-15\r\nACKNOWLEDGED:20270315T134600Z\r\n")
        snooze = "BEGIN:VALARM\r\nUID:s\r\nTRIGGER;VALUE=DATE-TIME:20270315T135500Z\r\n"
        snooze += "RELATED-TO;RELTYPE=SNOOZE:a-alarm-15\r\nEND:VALARM\r\n"
        result = merge(held.replace("END:VEVENT", f"{snooze}END:VEVENT"), replace(OURS, summary="Bread: b"))
        assert result.parts[0].value("ACKNOWLEDGED") == "20270315T134600Z"
        assert result.parts[0].text("DESCRIPTION") == "Bread: b"
        assert self.triggers(result) == ["-PT15M", "-PT12H", "20270315T135500Z"]

    def test_one_they_took_out_stays_out_and_one_they_changed_stays_changed(self) -> None:
        held = resource().replace("TRIGGER:-PT15M", "TRIGGER:-PT30M")
        only = held[: held.rindex("BEGIN:VALARM")] + "END:VEVENT\r\nEND:VCALENDAR\r\n"
        assert self.triggers(merge(only, replace(OURS, summary="New"))) == ["-PT30M"]
        assert self.triggers(merge(only, replace(OURS, alarms=()))) == ["-PT30M"]

    def test_one_they_have_already_is_not_doubled(self) -> None:
        theirs = "BEGIN:VALARM\r\nTRIGGER:-PT5M\r\nACTION:AUDIO\r\nEND:VALARM\r\n"
        held = resource().replace("END:VEVENT", f"{theirs}END:VEVENT")
        assert self.triggers(merge(held, replace(OURS, alarms=(timedelta(minutes=5),)))) == ["-PT5M"]

    def test_words_of_their_own_on_it_stay(self) -> None:
        held = resource().replace("ACTION:DISPLAY\r\nDESCRIPTION:Bread: a", "ACTION:DISPLAY\r\nDESCRIPTION:Up!")
        assert merge(held, replace(OURS, summary="New")).parts[0].text("DESCRIPTION") == "Up!"


def test_an_event_becomes_a_task_and_keeps_their_notes() -> None:
    held = set_line(resource(), "COMMENT", "COMMENT:Oma")
    wanted = replace(OURS, task=True)
    result = merge(held, wanted)
    assert result.name == "VTODO"
    assert span_of(result, ZONE) == ((OURS.start, OURS.end), False)
    assert (result.word("STATUS"), result.value("COMMENT")) == ("NEEDS-ACTION", "Oma")
    assert result.raw("DTEND") == result.raw("TRANSP") == ()


def test_how_far_a_task_is_is_theirs_until_we_know_better() -> None:
    task = replace(OURS, task=True)
    held = resource(task).replace("NEEDS-ACTION", "IN-PROCESS").replace("COMPLETE:0", "COMPLETE:50")
    assert merge(held, replace(task, summary="New"), task).value("PERCENT-COMPLETE") == "50"
    done = merge(held, replace(task, completed=NOW), task)
    assert (done.word("STATUS"), done.value("COMPLETED")) == ("COMPLETED", "20270315T090000Z")


TEXTS = st.lists(st.sampled_from(["one", "two", "three", "a; b, c\\", ""]), max_size=4).map("\n".join)


@settings(max_examples=50, derandomize=True, deadline=None)
@given(was=TEXTS, theirs=TEXTS, ours=TEXTS)
def test_a_merge_holds_still_and_loses_no_word_of_either(was: str, theirs: str, ours: str) -> None:
    base, wanted = replace(OURS, description=was), replace(OURS, description=ours)
    lines = theirs.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
    result = merge(set_line(resource(base), "DESCRIPTION", f"DESCRIPTION:{lines}"), wanted, base)
    there = set(result.text("DESCRIPTION").split("\n"))
    if ours.rstrip() != was.rstrip():
        assert set(ours.rstrip().split("\n")) - set(was.split("\n")) <= there | {""}
    assert set(theirs.rstrip().split("\n")) - set(was.split("\n")) <= there | {""}


def test_parts_that_say_the_same() -> None:
    one, other = piece(resource()), piece(resource(replace(OURS, sequence=4)))
    assert same_part(one, other, ZONE)
    assert not same_part(one, piece(resource(replace(OURS, url="https://example.org"))), ZONE)
    assert not same_part(one, piece(resource(replace(OURS, end=OURS.end + timedelta(1)))), ZONE)


@pytest.mark.parametrize(
    ("there", "made"),
    [
        (OURS, False),
        (replace(OURS, summary="Two", description="New"), True),
        (replace(OURS, summary="Two (Oma)", description="note"), True),
        (replace(OURS, summary="Bread: a (Oma)", description="note"), False),
        (replace(OURS, summary="Rolls", description="New\nnote"), True),
        (replace(OURS, description=f"{OURS.description}\nnote"), False),
    ],
)
def test_whether_an_edited_entry_was_made_of_the_old_part_or_of_the_new(there: Entry, made: bool) -> None:
    new = replace(OURS, summary="Two", description="New")
    moved = replace(there, start=NOW, end=NOW)
    for each in (there, moved):
        votes = speaks_for(resource().encode(), resource(new).encode(), resource(each).encode(), "a")
        assert (votes > 0, votes < 0) == (made, not made)


def test_the_longer_of_two_titles_that_are_there_counts() -> None:
    old, new = (resource(replace(OURS, summary=title)).encode() for title in ("Bread", "Bread 39"))
    for title, votes in (("Bread 39!", 1), ("Bread!", -1), ("Rolls", 0)):
        there = resource(replace(OURS, summary=title)).encode()
        assert speaks_for(old, new, there, "a") == votes
        assert speaks_for(new, old, there, "a") == -votes


class TestTree:
    def test_what_goes_in_comes_out(self) -> None:
        text = 'BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nX:ä\\n"\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n'
        assert to_bytes(parse(text.encode())) == text.encode()

    def test_long_lines_are_folded_between_characters(self) -> None:
        data = f"BEGIN:VCALENDAR\r\nX-A:{'ä' * 100}\r\nEND:VCALENDAR\r\n".encode()
        folded = to_bytes(parse(data))
        assert max(map(len, folded.split(b"\r\n"))) <= 75
        assert all(line.decode() for line in folded.split(b"\r\n") if line)
        assert parse(folded) == parse(data)

    @pytest.mark.parametrize(
        "text", ["BEGIN:VCALENDAR\nEND:VEVENT\nEND:VCALENDAR\n", "END:VCALENDAR\nBEGIN:VCALENDAR\nEND:VCALENDAR\n"]
    )
    def test_pieces_that_do_not_close_are_refused(self, text: str) -> None:
        with pytest.raises(UnreadableCalendar, match="END"):
            parse(text.encode())
