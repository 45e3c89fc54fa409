"""Whatever is wrong ends in one clear message and an exit code: no traceback, nothing lost, no escape on the screen."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.commands.conftest import NOW, Ran, Run
from tests.commands.test_errors import environment

STEERS = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Signs that steer a terminal or turn text round; a line's end is none."""

HEAD = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//x//EN\r\n"
EVENT = (
    "BEGIN:VEVENT\r\nUID:{uid}\r\nDTSTAMP:20270220T080000Z\r\nSUMMARY:{summary}\r\nDTSTART:{start}\r\n"
    "{more}END:VEVENT\r\n"
)
END = "END:VCALENDAR\r\n"
GUESTS = EVENT.format(
    uid="guests@home.example",
    summary="Dinner with \x1b[31mred\x07 \x1b]0;title\x07 \x9b2J\u202e guests for 4",
    start="20270306T180000Z",
    more="DTEND:20270306T200000Z\r\nLOCATION:\x1b[2J\r\n",
)

Check = Callable[..., Ran]


@pytest.fixture
def calendar(home: Path) -> Path:
    """Return the people's calendar of the household."""
    return home / "calendars" / "family.ics"


@pytest.fixture
def checked(rotation: Run, home: Path) -> Check:
    """Run `rotation check` from a moment for some days."""

    def check(start: str = NOW, days: int = 7) -> Ran:
        return rotation("check", "--household", home, "--from", start, "--days", str(days))

    return check


def refused(ran: Ran, *said: str, code: int = 2) -> None:
    """Hold a command to one message that says all this, and to no output."""
    assert (ran.code, ran.out) == (code, "")
    assert len(ran.err.splitlines()) == 1, ran.err
    for words in said:
        assert words in ran.err
    assert not STEERS.search(ran.err)


def changed(file: Path, old: str, new: str) -> None:
    """Change the first place of a text in a file."""
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


# calendars ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b" \r\n" * 40, "is empty"),
        ((HEAD + GUESTS + END).encode()[:200], "is cut off"),
        (bytes(range(256)) * 40, "is not a calendar"),
        (b"<html>Sign in</html>", "is not a calendar"),
    ],
    ids=["empty", "blank", "truncated", "binary", "a web page"],
)
def test_what_is_no_calendar_is_never_an_empty_one(checked: Check, calendar: Path, content: bytes, said: str) -> None:
    calendar.write_bytes(content)
    refused(checked(), "calendars.0.path", str(calendar), said)


def test_all_calendars_that_cannot_be_read_at_once(checked: Check, calendar: Path) -> None:
    calendar.write_bytes(b"")
    calendar.with_name("oven.ics").unlink()
    ran = checked()
    assert (ran.code, ran.out) == (2, "")
    assert [line.split(": ")[1] for line in ran.err.splitlines()] == ["calendars.0.path", "calendars.1.path"]


@pytest.mark.parametrize("make", [lambda path: path.symlink_to("/dev/zero"), os.mkfifo], ids=["device", "pipe"])
def test_what_never_ends_is_not_begun(checked: Check, calendar: Path, make: Callable[[Path], None]) -> None:
    calendar.unlink()
    make(calendar)
    refused(checked(), str(calendar), "is not a plain file")


def test_a_series_without_end_that_repeats_every_second(checked: Check, calendar: Path) -> None:
    more = "DTEND:19700101T000001Z\r\nRRULE:FREQ=SECONDLY\r\n"
    event = EVENT.format(uid="1", summary="Tick", start="19700101T000000Z", more=more)
    calendar.write_bytes((HEAD + event + END).encode())
    ran = checked()
    assert ran.code == 0
    assert "“Tick” (1) repeats 86,400 times a day" in " ".join(ran.out.split())


def test_ten_megabytes_in_one_event(checked: Check, calendar: Path) -> None:
    event = EVENT.format(uid="1", summary="Long", start="20270303", more="DESCRIPTION:" + 10_000_000 * "x" + "\r\n")
    calendar.write_bytes((HEAD + event + END).encode())
    ran = checked()
    assert ran.code in (0, 2)
    assert len((ran.out + ran.err).encode()) < 20_000


@pytest.mark.long
def test_ten_megabytes_of_events(checked: Check, calendar: Path) -> None:
    more = "DTEND:20270101T130000Z\r\nDESCRIPTION:" + 60 * "x" + "\r\n"
    events = (EVENT.format(uid=n, summary=f"Filler {n}", start="20270101T120000Z", more=more) for n in range(50_000))
    calendar.write_bytes((HEAD + "".join(events) + END).encode())
    assert checked().code == 0


# settings -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("places = 2", "places = ", ["is not TOML", "Write one setting a line"]),
        ("places = 2", "places = -2", ["ovens.0.places: -2 is below"]),
        ("places = 2", 'places = "many"', ["ovens.0.places"]),
        ("places = 2", "places = 1e999", ["ovens.0.places"]),
        ("places = 2", "plces = 2", ["plces", 'Do you mean "places"?']),
        ("room_degc = 21.0", "room_degc = nan", ["kitchen.room_degc"]),
        ("days = 14", "days = 999999999999", ["plan.days", "above the most that makes sense, 84"]),
        ("by_bread = {}", "by_bread = { country = 0.6, tin = { sat = 0.5 } }", ["habits.by_bread", "the parts of Sat"]),
        ("lunch_breads = []", 'lunch_breads = ["baguete"]', ["habits.lunch_breads.0", 'no bread is called "baguete"']),
        ('zone = "Europe/Berlin"', 'zone = "Europe/Atlantis"', ["zone", "Europe/Atlantis"]),
        ('zone = "Europe/Berlin"', 'zone = "\\u001b[31m"', ["zone"]),
        ('closes = { weekdays = "20:00"', 'closes = { weekdays = "26:00"', ["shop.closes"]),
        ('closed = ["17:00-19:00"]', 'closed = ["17:00-19:00", "18:00-20:00"]', ["ovens.0.closed", "overlap"]),
    ],
)
def test_a_setting_that_makes_no_sense(checked: Check, home: Path, old: str, new: str, said: list[str]) -> None:
    changed(home / "household.toml", old, new)
    refused(checked(), f"{home / 'household.toml'}:", *said)


def test_people_who_are_one_or_in_two_hours_at_once(checked: Check, home: Path) -> None:
    settings = home / "household.toml"
    once = settings.read_text(encoding="utf-8")
    person = once[once.index("[[people]]") : once.index("# ----", once.index("[[people]]"))]
    settings.write_text(once.replace(person, person + person), encoding="utf-8")
    ran = checked()
    assert (ran.code, ran.out) == (2, "")
    assert 'people.1.id: "jo" is there twice' in ran.err
    settings.write_text(once.replace('["17:30-21:30"]', '["17:30-21:30", "20:00-22:00"]', 1), encoding="utf-8")
    refused(checked(), "17:30-21:30 and 20:00-22:00 overlap")


@pytest.mark.parametrize("file", ["household.toml", "breads/tin.toml", "stock.toml"])
@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xff\xfe\x00x", "is not a text file."),
        (b'name = "x\n', "is not TOML"),
        (b"# \xe9\n", "not UTF-8."),
        (2_000_000 * b"#", "far more than any settings need."),
    ],
)
def test_a_file_that_is_no_settings(checked: Check, home: Path, file: str, content: bytes, said: str) -> None:
    (home / file).write_bytes(content)
    refused(checked(), str(home / file), said)


def test_settings_that_never_end(checked: Check, home: Path) -> None:
    (home / "household.toml").unlink()
    (home / "household.toml").symlink_to("/dev/zero")
    refused(checked(), str(home / "household.toml"), "is not a plain file.")


# arguments ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("days", ["0", "85", "-1", "soon", "1e3", "", 5000 * "9", "0000000841", "٣", "\x1b[31m"])
@pytest.mark.parametrize("command", ["plan", "check"])
def test_days_that_are_no_days(rotation: Run, home: Path, command: str, days: str) -> None:
    ran = rotation(command, "--household", home, f"--days={days}")
    refused(ran, "--days: ", "is not a number of days from 1 to 84. Write --days 14.")


@pytest.mark.parametrize("when", ["banana", "2027-02-30", "\x1b[31m2027", "1066-10-14"])
def test_a_beginning_that_is_none(rotation: Run, home: Path, when: str) -> None:
    refused(rotation("plan", "--household", home, "--from", when), "--from", "Write 2027-03-01")


def test_a_meal_that_is_over_is_not_planned(checked: Check, calendar: Path) -> None:
    calendar.write_bytes((HEAD + GUESTS + END).encode())
    assert " GUESTS Dinner with red guests for 4" in checked("2027-03-06T12:00", 1).out
    ran = checked("2027-03-06T21:30", 1)
    assert ran.code == 0
    assert " GUESTS " not in ran.out
    assert "guests for 4” at 19:00 is over before the plan begins." in " ".join(ran.out.split())


# disks ----------------------------------------------------------------------------------------------------------------


def test_a_household_that_may_not_be_written_still_gets_its_plan(rotation: Run, home: Path) -> None:
    (home / ".rotation").write_text("a file where a folder should be", encoding="utf-8")
    ran = rotation("plan", "--household", home, "--from", "2027-03-06", "--days", "1")
    assert ran.code == 5
    assert "checked: every rule holds." in ran.out
    assert ran.err.splitlines()[-1].startswith(f"{home / '.rotation'}: cannot be made")


def test_a_new_household_under_a_file(rotation: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    ran = rotation("new", tmp_path / "file" / "home", "--yes")
    refused(ran, str(tmp_path / "file"), code=5)


def test_entries_never_take_the_place_of_a_device(rotation: Run, home: Path) -> None:
    ran = rotation("plan", "--household", home, "--from", NOW, "--days", "1", "--out", "/dev/null")
    refused(ran, "--out: /dev/null: is not a plain file.")


def test_nobody_listens(home: Path) -> None:
    """A closed output is no error."""
    words = ["check", "--household", str(home), "--from", NOW, "--days", "1"]
    shell = ["sh", "-c", 'exec "$@" >&- 2>&-', "sh", sys.executable, "-m", "rotation", *words]
    assert subprocess.run(shell, env=environment(), check=False).returncode == 0


# the screen -----------------------------------------------------------------------------------------------------------


def on_a_terminal(*words: str) -> tuple[int, str]:
    """Return the exit code of the program run on a terminal, and all that reached the screen."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "rotation", *words]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, env=environment()) as process:
        os.close(theirs)
        screen = b""
        while chunk := _read(ours):
            screen += chunk
        code = process.wait()
    os.close(ours)
    return code, screen.decode()


def _read(terminal: int) -> bytes:
    """Return what is on a terminal; nothing once the program has gone."""
    try:
        return os.read(terminal, 65_536)
    except OSError:
        return b""


@pytest.mark.parametrize("command", ["check", "plan"])
def test_no_escape_of_a_calendar_reaches_the_screen(home: Path, calendar: Path, command: str) -> None:
    calendar.write_bytes((HEAD + GUESTS + END).encode())
    code, screen = on_a_terminal(command, "--household", str(home), "--from", "2027-03-06", "--days", "1")
    assert code == 0, screen
    assert "guests for 4" in screen
    assert not STEERS.search(screen.replace("\r\n", "\n"))
