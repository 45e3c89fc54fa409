"""What is eaten, found from weeks of a made-up household whose habits are known; nothing changes unasked."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from rotation.carried import Carried, to_text
from rotation.eating import _empty, _fresh, _out_of_freezer
from rotation.happened import Happened, What
from rotation.household import usual
from rotation.household.reading import read_home
from rotation.household.rewriting import with_setting
from rotation.intake.habits import normal_week
from rotation.intake.notes import Notes
from rotation.ledger import Ledger, NewLot, Note
from rotation.plan import Bake, Load, Plan, Stay
from tests.commands.conftest import Run

MONDAY = datetime(2027, 3, 1, 12, tzinfo=UTC)
NOW = "2027-04-26T12:00"
"""Eight weeks later."""

SLICES = (6, 6, 6, 6, 6, 12, 10)
"""Eaten on each weekday, on average."""


@contextmanager
def always_full(home: Path, *breads: str) -> Iterator[tuple[Ledger, list[datetime]]]:
    """Give the ledger and the days of eight weeks; on the first of each, ninety slices of each bread come in."""
    (home / ".rotation").mkdir()
    days = [MONDAY + timedelta(days=day) for day in range(56)]
    with Ledger.open(home / ".rotation") as ledger:
        for now in days[::7]:
            later = now + timedelta(days=90)
            for bread in breads:
                new = NewLot(bread=bread, form="sliced", units=90, bagged=now, through=now, eat_first=later,
                             toast_after=later)  # fmt: skip
                ledger.add(new, Note(now=now), baked=True)
        yield ledger, days


@pytest.fixture
def lived(home: Path) -> Path:
    """Return a household that ate slices for eight weeks, three more or fewer a day, from a freezer always full."""
    chance = random.Random(20270301)
    with always_full(home, "tin") as (ledger, days):
        for now in days:
            ledger.take("tin", "sliced", SLICES[now.weekday()] + chance.randint(-3, 3), Note(now=now))
    return home


def shown(rotation: Run, home: Path, *words: str) -> dict:
    ran = rotation("eaten", "--household", home, "--now", NOW, "--json", *words)
    assert ran.code == 0, ran.err
    document = json.loads(ran.out)
    assert document["schema"] == "rotation/eaten/1"
    return document


def test_habits_are_found_within_their_range(rotation: Run, lived: Path) -> None:
    document = shown(rotation, lived)
    weekdays = document["weekdays"]
    assert [day["weekday"] for day in weekdays] == list(range(7))
    assert all(set(day["breads"]) == {"tin"} for day in weekdays)
    inside = [day["low"] <= eaten <= day["high"] for day, eaten in zip(weekdays, SLICES, strict=True)]
    assert sum(inside) >= 5, "four of five lie within"
    assert weekdays[5]["portions"] > weekdays[1]["portions"] + 2
    assert 1.2 < document["reserve"]["error_a_day"] < 4
    assert document["reserve"]["portions"] % 16 == 0, "whole loaves"


def test_it_is_printed_and_nothing_changes_unasked(rotation: Run, lived: Path) -> None:
    before = {file: file.read_bytes() for file in lived.rglob("*.toml")}
    ran = rotation("eaten", "--household", lived, "--now", NOW)
    assert "Nothing is changed." in ran.out
    assert "loaves_a_week = " in ran.out
    assert "times in 100" in " ".join(ran.out.split())
    ran = rotation("eaten", "--household", lived, "--now", NOW, "--write")
    assert "Nothing was written" in ran.err
    assert {file: file.read_bytes() for file in lived.rglob("*.toml")} == before


def test_it_is_written_when_told_to_with_all_else_as_it_was(rotation: Run, lived: Path) -> None:
    file = lived / "household.toml"
    before = file.read_text().splitlines()
    document = shown(rotation, lived, "--write", "--yes")
    home = read_home(lived)
    assert home.settings.habits.loaves_a_week == document["loaves_a_week"]["found"]
    assert home.settings.reserve.portions == document["reserve"]["portions"]
    assert dict(home.settings.habits.by_weekday) == document["by_weekday"]
    after = file.read_text().splitlines()
    assert len(after) == len(before)
    assert sum(one != other for one, other in zip(before, after, strict=True)) <= 3


def test_the_days_of_the_week_are_offered_where_they_differ_and_taken_over_they_are_what_was_found(
    rotation: Run, lived: Path
) -> None:
    document = shown(rotation, lived, "--write", "--yes")
    days = document["by_weekday"]
    assert days["sat"] > 1.4 * days["tue"]
    found = [day["portions"] for day in document["weekdays"]]
    slots = normal_week(read_home(lived).settings, Notes())
    eaten = [sum(slot.portions for slot in slots if slot.weekday == day) for day in range(7)]
    boxes = read_home(lived).settings.habits.lunch_slices_on_school_days
    for day, portions in enumerate(found):
        assert abs(eaten[day] + (boxes if day < 5 else 0) - portions) <= 1.5
    again = shown(rotation, lived)
    assert again["by_weekday"] == {}, "what is written is what is found"


def test_the_bread_that_is_surely_eaten_is_offered_and_taken_over_it_is_planned_for(rotation: Run, home: Path) -> None:
    """A third of a weekday is country loaf; on Sundays it is all there is. What is offered is never more than that."""
    chance = random.Random(20270302)
    with always_full(home, "tin", "country") as (ledger, days):
        for now in days:
            country = (12 if now.weekday() == 6 else 4) + chance.randint(-1, 1)
            ledger.take("country", "sliced", country, Note(now=now))
            if now.weekday() != 6:
                ledger.take("tin", "sliced", 8 + chance.randint(-1, 1), Note(now=now))
    printed = " ".join(rotation("eaten", "--household", home, "--now", NOW).out.split())
    assert "Beside lunch boxes surely, nine times in ten: Country loaf Mon" in printed
    document = shown(rotation, home, "--write", "--yes")
    country, tin = (document["by_bread"][bread] for bread in ("country", "tin"))
    assert all(country[day] <= 1 / 3 + 0.02 for day in ("mon", "tue", "sat"))
    assert country["sat"] > 0.15
    assert country["sun"] > 0.7
    assert "sun" not in tin
    read = read_home(home)
    assert {day: read.settings.habits.part_of("country", number) for number, day in enumerate(country)} == country
    slots = normal_week(read.settings, Notes())
    for number, day in enumerate(country):
        each = [slot for slot in slots if slot.weekday == number]
        wanted = country[day] * sum(slot.portions for slot in each)
        assert abs(sum(slot.of.get("country", 0) for slot in each) - wanted) <= len(each)
    more = shown(rotation, home, "--write", "--yes")["by_bread"] or document["by_bread"]
    assert all(more["country"][day] >= part for day, part in country.items()), "the surer, where it is as expected"
    assert shown(rotation, home)["by_bread"] == {}, "what is written is what is found"


def test_of_one_bread_alone_no_part_is_offered(rotation: Run, lived: Path) -> None:
    assert shown(rotation, lived)["by_bread"] == {}


def test_days_with_guests_are_left_out(rotation: Run, lived: Path) -> None:
    event = "BEGIN:VEVENT\r\nUID:g\r\nDTSTAMP:20270101T000000Z\r\nSUMMARY:Dinner with 6 guests\r\n"
    event += "DTSTART:20270306T180000Z\r\nDTEND:20270306T210000Z\r\nEND:VEVENT\r\n"
    text = f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\n{event}END:VCALENDAR\r\n"
    (lived / "guests.ics").write_bytes(text.encode())
    with (lived / "household.toml").open("a") as file:
        file.write(
            '\n[[calendars]]\nname = "Guests"\npath = "guests.ics"\nwhose = "by event"\notherwise = "everyone"\n'
        )
    assert shown(rotation, lived)["left_out"] >= 1


def test_a_short_history_is_said(rotation: Run, home: Path) -> None:
    rotation("freezer", "take", "country", "--household", home, "--now", "2027-03-01T18:00")
    ran = rotation("eaten", "--household", home, "--now", "2027-03-08T12:00")
    assert (ran.code, ran.out) == (2, "")
    assert "has 6 whole days; habits want 14" in ran.err


@pytest.mark.parametrize(("text", "after"), [
    ("[habits]\nloaves_a_week = 3   # ours\n", "[habits]\nloaves_a_week = 4.5   # ours\n"),
    ("[habits]\n[shop]\nloaves_a_week = 3\n", "[habits]\nloaves_a_week = 4.5\n[shop]\nloaves_a_week = 3\n"),
    ("[habits]\nloaves_a_week = { a = 3, b = 4 } # x\n", "[habits]\nloaves_a_week = 4.5 # x\n"),
    ("[habits]\nloaves_a_week = { a = { b = 3 }, c = 4 } # x\n", "[habits]\nloaves_a_week = 4.5 # x\n"),
    ("[habits]\nloaves_a_week = [3, 4]\n", "[habits]\nloaves_a_week = 4.5\n"),
    ("zone = 1\n", "zone = 1\n\n[habits]\nloaves_a_week = 4.5\n"),
    ("[[habits.eaten]]\nshare = 1\n", "[[habits.eaten]]\nshare = 1\n\n[habits]\nloaves_a_week = 4.5\n"),
])  # fmt: skip
def test_one_setting_is_written_in_place(text: str, after: str) -> None:
    assert with_setting(text, "habits", "loaves_a_week", "4.5") == after


def test_loaves_from_the_oven_to_the_table_are_eaten_while_they_keep(home: Path) -> None:
    read = read_home(home)
    bread = read.breads["country"]
    stay = Stay("s", "oven", 230, False, "cold", 0, 0, 60, (Load(3, 0, 0, 60),))
    bake = Bake("b", "country", "day", 0, (("table", 2), ("part-baked", 1)), (), stay, 90, None, ())
    planned = to_text(Carried(MONDAY, 7, "home", Plan(bakes=(bake,))))
    row = Happened(id="x", thing="b", step="out", what=What.DONE, end=MONDAY, count=1, planned=planned)
    (part,) = _fresh(read, [row])
    assert (part.bread, part.portions, part.since) == ("country", bread.portions, MONDAY.date()), "two were dropped"
    (part,) = _fresh(read, [replace(row, count=2)])
    assert part.portions == 2 * bread.portions, "the one for the freezer was dropped"
    bag = replace(row, id="y", step="bag", count=0)
    assert [part.portions for part in _fresh(read, [replace(row, count=None), bag])] == [
        2 * bread.portions, bread.portions
    ], "not bagged, it stays on the table"  # fmt: skip
    assert len(list(_fresh(read, [replace(row, count=2), bag]))) == 1
    assert part.days == round(usual.keeps_hours(bread) / 24)
    assert list(_fresh(read, [replace(row, step="mix"), replace(row, what=What.SKIPPED), replace(row, count=0)])) == []


def test_a_count_that_misses_some_is_eaten_over_the_days_since(home: Path, tmp_path: Path) -> None:
    read = read_home(home)
    with Ledger.open(tmp_path / "ledger") as ledger:
        later = MONDAY + timedelta(days=90)
        new = NewLot(bread="tin", form="sliced", units=16, bagged=MONDAY, through=MONDAY, eat_first=later,
                     toast_after=later)  # fmt: skip
        ledger.add(new, Note(now=MONDAY), baked=True)
        ledger.count("tin", "sliced", 10, Note(now=MONDAY + timedelta(days=3)))
        taken = ledger.take("tin", "sliced", 2, Note(now=MONDAY + timedelta(days=4)))
        ledger.undo(taken.id, Note(now=MONDAY + timedelta(days=4)))
        parts = list(_out_of_freezer(read, ledger.history()))
        assert [(one.portions, one.days, one.since - MONDAY.date()) for one in parts] == [(6, 3, timedelta(days=1))]
        ledger.discard("A", None, Note(now=MONDAY + timedelta(days=5), reason="mould"))
        assert len(list(_out_of_freezer(read, ledger.history()))) == 1, "what is thrown away is not eaten"
        gone = _empty(read, ledger.history(), MONDAY.date() + timedelta(days=7))
        assert sorted(day - MONDAY.date() for day in gone) == [timedelta(days=5), timedelta(days=6)]
