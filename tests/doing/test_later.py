""" "Not yet" offers what can be done, each planned and priced, and writes nothing until one is chosen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from rotation.ledger import Happenings, Ledger
from tests.commands.conftest import Run

Say = Callable[..., str]
Plan = Callable[[str], dict[str, Any]]


def chosen(home: Path) -> list[str]:
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        return [row.said for row in Happenings(ledger).standing() if row.what == "changed"]


def test_slow_dough_is_given_time_warmth_another_shape_or_up(say: Say, plan: Plan, home: Path) -> None:
    say("done sat-mix --at 15:20", "16:50")
    said = say("later sat-shape", "16:55")
    assert "1 give it the time it wants, in the room: shape Sat 17:10" in said
    assert "2 put it warmer" in said
    assert "3 go on now, as flatbread or in a tin: shape Sat 16:55" in said
    assert "4 give it up: no loaf of it; " in said
    assert "into the fridge" not in said, "guests' food fills it"
    assert chosen(home) == []
    say("later sat-shape --take 3", "16:55")
    assert chosen(home) == ["flatbread"]
    (bake,) = plan("16:55")["bakes"]
    assert bake["steps"][1]["start"][11:16] == "16:55"
    say("done sat-shape --at 16:55", "17:06")
    assert plan("17:06")["bakes"][0]["under_way"], "the bake goes on in the way that was chosen"


def test_with_room_in_the_fridge_it_waits_there_overnight(say: Say, plan: Plan, home: Path) -> None:
    settings = home / "household.toml"
    settings.write_text(settings.read_text() + "\n[kitchen]\nfridge_spots_guests = 2\n", encoding="utf-8")
    say("done sat-mix --at 15:20", "16:50")
    said = say("later sat-shape", "16:55")
    assert "3 cover it, into the fridge; go on when it suits: shape Sun" in said
    say("later sat-shape --take 3", "16:55")
    (bake,) = [bake for bake in plan("16:55")["bakes"] if bake["under_way"]]
    assert bake["steps"][1]["start"] >= "2027-03-07T00:55"


def test_what_is_given_up_is_gone(say: Say, plan: Plan, home: Path) -> None:
    say("done sat-mix --at 15:20", "16:50")
    say("later sat-shape --take 4", "16:55")
    assert chosen(home) == ["bin"]
    assert not [bake for bake in plan("16:55")["bakes"] if bake["under_way"]]


def test_what_has_not_begun_or_is_done_is_told(rotation: Run, say: Say, home: Path) -> None:
    ran = rotation("later", "sat-shape", "--household", home, "--now", "2027-03-06T16:55")
    assert (ran.code, "has begun" in ran.err) == (2, True)
    say("done sat-mix --at 15:20", "16:50")
    ran = rotation("later", "sat-mix", "--household", home, "--now", "2027-03-06T16:55")
    assert (ran.code, "is done" in ran.err) == (2, True)
    ran = rotation("later", "sat-shape", "--take", "9", "--household", home, "--now", "2027-03-06T16:55")
    assert (ran.code, "was not offered" in ran.err) == (2, True)
