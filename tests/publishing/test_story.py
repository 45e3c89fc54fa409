"""The whole story on every kind of calendar: plan, publish, the family edits, plan again, publish again."""

from __future__ import annotations

from pathlib import Path

from rotation.ledger import Ledger, Told
from rotation.life import State
from tests.commands.conftest import Ran, Run
from tests.publishing.clients import Family
from tests.publishing.homes import NOW, lay_out

LATER = "2027-03-05T18:00"

THEIRS = b"""\
BEGIN:VCALENDAR\r
VERSION:2.0\r
PRODID:-//a phone//EN\r
BEGIN:VEVENT\r
UID:swimming\r
DTSTAMP:20270301T000000Z\r
DTSTART:20270306T090000Z\r
DTEND:20270306T110000Z\r
SUMMARY:Bread: swimming\\, not ours\r
END:VEVENT\r
END:VCALENDAR\r
"""


def planned(rotation: Run, home: Path, at: str) -> Ran:
    ran = rotation("plan", "--household", home, "--from", at, "--work", "quick")
    assert ran.code == 0, ran.err
    return ran


def published(rotation: Run, home: Path, at: str) -> Ran:
    ran = rotation("publish", "--household", home, "--now", at, "--yes")
    assert ran.code == 0, ran.err
    return ran


def test_plan_publish_edits_plan_again_publish_again(rotation: Run, family: Family, tmp_path: Path) -> None:
    home = lay_out(tmp_path / "home", family.client.entries)
    family.add("swimming.ics", THEIRS)
    planned(rotation, home, NOW)
    assert "Bread: 3 to add." in published(rotation, home, NOW).out
    thaw, bake, finish = (family.named(title) for title in ("Bread out", "Milk loaf", "Oven"))
    assert family.value(finish, "DTSTART") == "20270306T163000Z"
    before = family.client.all()
    assert published(rotation, home, NOW).out == "Bread: nothing to write.\n"
    assert family.client.all() == before

    family.move(finish, "20270306T160000Z", "20270306T163300Z")
    family.colour(finish, "tomato")
    family.delete(bake)
    family.tick(thaw)
    ticked = family.titles()[thaw]
    ran = rotation("publish", "--household", home, "--now", LATER, "--yes")
    assert ran.code == 2
    assert "you changed entries since this plan was made" in ran.err
    assert "Not in the plan yet: “Bread: 1 Milk loaf (Jo)” of Sat 6 Mar 15:20 deleted." in ran.out

    ran = planned(rotation, home, LATER)
    assert "Kept: “Oven 220: 1 Country loaf” moved to Sat 6 Mar 17:00; it costs" in ran.out
    assert "Kept: “Bread: 1 Milk loaf (Jo)” of Sat 6 Mar" in ran.out
    assert "Done, as ticked off: “Bread out: 1 Country loaf”." in " ".join(ran.out.split())
    assert "MIX 1 Milk loaf" not in ran.out
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert Told(ledger).states()[thaw.rpartition("-")[0]] is State.CLOSED

    published(rotation, home, LATER)
    assert set(family.uids()) == {thaw, finish, "swimming"}, "nothing twice, and what was deleted stays away"
    assert family.value(finish, "DTSTART") == "20270306T160000Z"
    assert family.value(finish, "COLOR") == "tomato"
    assert family.titles()[thaw] == ticked
    after = family.client.all()
    assert published(rotation, home, LATER).out == "Bread: nothing to write.\n"
    assert family.client.all() == after
    assert after["swimming.ics"] == before["swimming.ics"], "nobody else's event is touched"

    again = planned(rotation, home, LATER).out
    assert days(again) == days(ran.out), "what is published is what is planned, minute by minute"
    assert "changes against the plan last published" in ran.out
    assert "changes against" not in again
    assert published(rotation, home, LATER).out == "Bread: nothing to write.\n"


def days(printed: str) -> str:
    return printed.partition("\n\n")[2].partition("SHORT")[0]
