"""A tap repeated, sent again later or by several at once counts once, and nothing is printed by what it calls."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from rotation import by_hand, doing, guests, later, publishing
from rotation.errors import BadInput
from rotation.household.reading import Home, read_home
from rotation.intake.invited import Asked
from rotation.intake.rescues import RESCUES
from rotation.ledger import Happenings, Ledger, Movement, Note
from tests.doing.conftest import Say, steps
from tests.publishing.homes import NOW, lay_out


@pytest.fixture
def house(home: Path) -> Home:
    return read_home(home)


def at(house: Home, clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-03-06T{clock}").replace(tzinfo=house.zone)


def history(house: Home) -> tuple[Movement, ...]:
    with Ledger.open(house.folder / ".rotation", readonly=True) as ledger:
        return ledger.history()


def at_once(act: Callable[[str], Any], id_: str, capsys: pytest.CaptureFixture[str]) -> list[Any]:
    """Let four at once ask for the same with one id; nothing may be printed."""
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(act, [id_] * 4))
    assert capsys.readouterr() == ("", "")
    return found


def test_four_taps_at_once_move_one_loaf(house: Home, capsys: pytest.CaptureFixture[str]) -> None:
    now = at(house, "07:50")
    noted = at_once(lambda id_: doing.done(house, "sat-thaw", now, id_=id_), "tap-1", capsys)
    assert sorted(one.known for one in noted) == [False, True, True, True]
    assert {one.row.movements for one in noted} == {noted[0].row.movements}
    assert [one.units for one in history(house)] == [2, -1], "the opening stock, and one loaf"


def test_a_tap_sent_again_after_it_was_taken_back_counts_no_second_time(house: Home) -> None:
    now = at(house, "07:50")
    doing.done(house, "sat-thaw", now, id_="tap-1")
    doing.undo(house, "sat-thaw", now, id_="tap-2")
    again = doing.done(house, "sat-thaw", now, id_="tap-1")
    assert (again.known, again.target.name) == (True, "sat-thaw")
    assert doing.undo(house, "sat-thaw", now, id_="tap-2").known
    assert steps(house.folder) == []
    assert not doing.done(house, "sat-thaw", now, id_="tap-3").known, "said anew it counts"
    with pytest.raises(BadInput, match="was used for done"):
        doing.skip(house, "sat-mix", now, id_="tap-3")


def test_all_as_planned_skipped_and_fed_once_each(house: Home, capsys: pytest.CaptureFixture[str]) -> None:
    now = at(house, "15:30")
    noted = at_once(lambda id_: len(doing.as_planned(house, now, id_)), "all-1", capsys)
    assert set(noted) == {2}
    assert len(doing.as_planned(house, at(house, "20:00"), "all-1")) == 2, "sent again in the evening it says no more"
    assert {step for step, _ in steps(house.folder)} == {"thaw", "mix"}
    at_once(lambda id_: doing.skip(house, "sat-finish", now, id_), "skip-1", capsys)
    at_once(lambda id_: doing.starter_fed(house, now, id_=id_), "feed-1", capsys)
    assert doing.starter_fed(house, now + timedelta(hours=3), id_="feed-1") == now
    with Ledger.open(house.folder / ".rotation", readonly=True) as ledger:
        rows = [(row.what, row.step) for row in Happenings(ledger).standing()]
    assert sorted(rows) == [("done", "feed"), ("done", "mix"), ("done", "thaw"), ("skipped", "finish")]


def test_by_hand_in_out_counted_and_back_once_each(house: Home, capsys: pytest.CaptureFixture[str]) -> None:
    now = at(house, "07:00")

    def told(id_: str) -> Note:
        return Note(now=now, id=id_, reason="burnt")

    at_once(lambda id_: by_hand.add(house, "country", 3, told(id_), "part-baked"), "in-1", capsys)
    at_once(lambda id_: by_hand.take(house, "country", 1, told(id_)), "out-1", capsys)
    at_once(lambda id_: by_hand.count(house, "country", 3, told(id_)), "count-1", capsys)
    at_once(lambda id_: by_hand.discard(house, "B", 1, told(id_)), "gone-1", capsys)
    assert [one.units for one in history(house)] == [2, 3, -1, -1, -1]
    at_once(lambda id_: by_hand.undo(house, "", told(id_)), "back-1", capsys)
    assert sum(one.units for one in history(house)) == 3
    by_hand.take(house, "B", 3, told("out-2"))
    assert by_hand.take(house, "B", 3, told("out-2")).movement.units == -3, "the bag is empty, and it was this tap"


def test_what_a_step_moved_is_taken_back_with_the_step(house: Home) -> None:
    now = at(house, "07:50")
    (moved,) = doing.done(house, "sat-thaw", now).moved
    with pytest.raises(BadInput, match="rotation done sat-thaw --undo"):
        by_hand.undo(house, moved.id, Note(now=now))


def test_a_rescue_is_chosen_once(house: Home, say: Say, capsys: pytest.CaptureFixture[str]) -> None:
    say("done sat-mix --at 15:20", "16:50")
    now = at(house, "16:55")
    at_once(lambda id_: later.take(house, "sat-shape", RESCUES[0], now, id_), "later-1", capsys)
    later.take(house, "sat-shape", RESCUES[0], now + timedelta(minutes=4), "later-1")
    with Ledger.open(house.folder / ".rotation", readonly=True) as ledger:
        assert [row.said for row in Happenings(ledger).standing() if row.what == "changed"] == [RESCUES[0].id]


def test_guests_are_written_once(house: Home, capsys: pytest.CaptureFixture[str]) -> None:
    now, asked = at(house, "09:00"), Asked(at(house, "19:00"), 6, 2.0, ())
    at_once(lambda id_: guests.write(house, asked, now, id_), "guests-1", capsys)
    assert len(list((house.folder / guests.FOLDER).glob("*.ics"))) == 1
    written = (house.folder / "household.toml").read_text(encoding="utf-8")
    assert (written.count("6 at the table"), written.count('name = "Guests"')) == (1, 1)
    with ThreadPoolExecutor(3) as pool:  # and different ones at once are all there
        list(pool.map(lambda heads: guests.write(house, Asked(asked.at, heads, 2.0, ()), now), (7, 8, 9)))
    assert len(list((house.folder / guests.FOLDER).glob("*.ics"))) == 4
    rules = [str(rule.summary) for rule in read_home(house.folder).settings.meals]
    assert all(any(f"{heads} at the table" in rule for rule in rules) for heads in (6, 7, 8, 9))


def test_of_two_who_publish_at_once_one_looks_again(tmp_path: Path, planned: Path) -> None:
    folder = lay_out(tmp_path / "home", '[entries]\npath = "calendars/bread"')
    (folder / "calendars" / "bread").mkdir()
    house = read_home(folder)
    now = datetime.fromisoformat(NOW).replace(tzinfo=house.zone)
    (folder / ".rotation").mkdir()
    with Ledger.open(planned / ".rotation", readonly=True) as old, Ledger.open(folder / ".rotation") as new:
        new.keep_plan(old.kept_plan() or "", now, old.whole_plan() or "")
    first, second = publishing.propose(house, now), publishing.propose(house, now)
    publishing.publish(first, now)
    with pytest.raises(BadInput, match="published meanwhile"):
        publishing.publish(second, now)
    publishing.publish(first, now)
    assert publishing.propose(house, now).writes == 0
