from __future__ import annotations

import io
import json
import re
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rotation.ledger import Ledger, NewLot, Note
from tests.commands.conftest import NOW, Ran, Run


def listed(rotation: Run, home: Path) -> dict[str, int]:
    """Return the pieces in each bag."""
    ran = rotation("freezer", "list", "--household", home, "--now", NOW, "--json")
    assert ran.code == 0, ran.err
    document = json.loads(ran.out)
    assert document["schema"] == "rotation/freezer/1"
    return {f"{lot['letter']} {lot['bread']}": lot["pieces"] for lot in document["lots"]}


def test_the_opening_stock_is_there_before_anything_is_recorded(rotation: Run, home: Path) -> None:
    assert listed(rotation, home) == {"A country": 2, "B tin": 16, "C rolls": 6}
    assert not (home / ".rotation").exists(), "listing writes nothing"


def test_take_add_count_discard_and_undo(rotation: Run, home: Path) -> None:
    def freezer(*words: str) -> str:
        ran = rotation("freezer", *words, "--household", home, "--now", NOW)
        assert ran.code == 0, ran.err
        return ran.out

    assert freezer("take", "country") == "1 out: 1 of bag A (country).\n"
    assert "Write on the bag: D" in freezer("add", "country", "3", "--form", "part-baked")
    assert freezer("take", "country", "2") == "2 out: 1 of bag A (country), 1 of bag D (country).\n"
    assert freezer("take", "Tin Loaf", "1").startswith("1 out: 1 of bag")
    assert freezer("take", "c", "4") == "4 out: 4 of bag C (rolls).\n"
    assert freezer("count", "tin", "14") == "1 out: 1 of bag B (tin).\n"
    assert freezer("count", "tin", "14") == "As we thought: nothing changed.\n"
    assert freezer("discard", "c", "--because", "freezer burn") == "2 out: 2 of bag C (rolls).\n"
    assert listed(rotation, home) == {"B tin": 14, "D country": 2}
    assert freezer("undo") == "2 in: 2 of bag C (rolls).\n"
    assert listed(rotation, home) == {"B tin": 14, "C rolls": 2, "D country": 2}


def test_undo_stops_at_the_opening_stock(rotation: Run, home: Path) -> None:
    rotation("freezer", "take", "country", "--household", home, "--now", NOW)
    assert rotation("freezer", "undo", "--household", home, "--now", NOW).code == 0
    ran = rotation("freezer", "undo", "--household", home, "--now", NOW)
    assert (ran.code, ran.out) == (2, "")
    assert "nothing to take back" in ran.err
    assert listed(rotation, home)["A country"] == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["take", "country", "9"], "9 asked for, and 2 there"),
        (["take", "Z"], "there is no bag 'Z'"),
        (["take", "country", "0"], "is not a count"),
        (["take", "country", "-3"], "-3 is not a count. Write a whole number"),
        (["add", "country", "-3"], "-3 is not a count. Write a whole number"),
        (["count", "tin", "-3"], "-3 is not a count. Write a whole number"),
        (["discard", "A", "-3", "--because", "burn"], "-3 is not a count. Write a whole number"),
        (["count", "tin", "99999999999999"], "is not a count. Write a whole number from 0 to 9999"),
        (["add", "brioche", "2"], 'there is no bread "brioche". There is: country, rolls, tin.'),
        (["add", "tin", "2", "--form", "whole"], 'tin is not kept "whole"'),
        (["add", "tin", "2", "--form", "sliced", "--bagged", "2027-03-20"], "is still to come"),
        (["add", "tin", "2", "--form", "sliced", "--bagged", "soon"], '"soon" is not a moment. Write 2027-03-01'),
        (["count", "tin", "--form", "whole", "3"], 'tin is not kept "whole"'),
        (["discard", "A", "5", "--because", "burn"], "5 asked for, and 2 there"),
        (["discard", "A"], "Say why in a few words"),
        (["undo", "tap-9"], "there is no movement 'tap-9'"),
        (["undo", "opening 0"], "the opening stock is what was there"),
        (["power-cut", "--hours", "9", "A=soggy"], "does not say how a bag was found. Write A=hard"),
        (["power-cut", "--hours", "9", "Z=hard"], "there is no bag 'Z'. There is: C"),
        (["open-lid", "Z=hard"], "there is no bag 'Z'"),
    ],
)
def test_a_slip_is_refused_in_one_message_and_nothing_is_lost(
    rotation: Run, home: Path, words: list[str], said: str
) -> None:
    before = listed(rotation, home)
    ran = rotation("freezer", *words, "--household", home, "--now", NOW)
    assert ran.code == 2
    assert said in ran.err
    assert ran.out == ""
    assert listed(rotation, home) == before


def test_a_clock_before_the_opening_stock_is_explained(rotation: Run, home: Path) -> None:
    ran = rotation("freezer", "take", "country", "--household", home, "--now", "2026-01-05")
    assert ran.code == 2
    assert str(home / "stock.toml") in ran.err
    assert "still to come" in ran.err


def test_people_read_bags_oldest_first(rotation: Run, home: Path) -> None:
    for units, bagged in (("1", "2027-02-20"), ("2", "2026-12-24"), ("3", "2026-10-01")):
        words = ["add", "country", units, "--form", "part-baked", "--bagged", bagged]
        assert rotation("freezer", *words, "--household", home, "--now", NOW).code == 0
    said = rotation("freezer", "list", "--household", home, "--now", NOW).out.splitlines()
    assert [line.split()[2:4] for line in said[:2]] == [["3", "country,"], ["2", "country,"]]
    assert said[0].endswith("for toast")
    assert said[1].endswith("eat first")


def plan_of(home: Path, *thaws: tuple[str, int, str]) -> None:
    """Keep a plan that takes units of lots out for a breakfast: `(lot, units, time)`."""
    meal = {"id": "m", "summary": "Breakfast \x1b[31m", "start": "2027-03-02T07:00+01:00"}
    document = {
        "schema": "rotation/plan/1",
        "meals": [meal],
        "discards": [],
        "thaws": [
            {"start": at, "lots": [{"id": lot, "pieces": units}], "meals": [{"id": "m", "portions": 1}]}
            for lot, units, at in thaws
        ],
    }
    (home / ".rotation").mkdir(exist_ok=True)
    with Ledger.open(home / ".rotation") as ledger:
        ledger.keep_plan(json.dumps(document), datetime(2027, 3, 1, 17, tzinfo=UTC))


def ids(rotation: Run, home: Path) -> dict[str, str]:
    ran = rotation("freezer", "list", "--household", home, "--now", NOW, "--json")
    return {lot["letter"]: lot["id"] for lot in json.loads(ran.out)["lots"]}


def test_the_list_says_which_meal_each_piece_is_planned_for(rotation: Run, home: Path) -> None:
    known = ids(rotation, home)
    plan_of(home, (known["A"], 1, "2027-03-02T06:45+01:00"), (known["A"], 1, "2027-03-01T06:45+01:00"),
            (known["C"], 7, "2027-03-02T06:45+01:00"))  # fmt: skip
    said = rotation("freezer", "list", "--household", home, "--now", NOW).out
    assert "1 for Breakfast (Tue 7:00); 1 free" in said, "what is past is no plan any more"
    assert "7 for Breakfast (Tue 7:00); 1 more than there is: plan again" in said
    assert "\x1b" not in said


def test_a_bag_baked_since_is_meant_for_what_the_plan_made_it_for(rotation: Run, home: Path) -> None:
    plan_of(home, ("tin-day-0301:sliced", 5, "2027-03-02T06:45+01:00"))
    noon = datetime(2027, 3, 1, 12, tzinfo=UTC)
    new = NewLot(id="tin-day-0301@2027:sliced", bread="tin", form="sliced", units=6, bagged=noon, through=noon,
                 eat_first=noon, toast_after=noon)  # fmt: skip
    with Ledger.open(home / ".rotation") as ledger:
        ledger.add(new, Note(now=noon), baked=True)
    said = rotation("freezer", "list", "--household", home, "--now", NOW).out
    assert "5 for Breakfast (Tue 7:00); 1 free" in said


def test_a_bag_is_taken_past_an_older_one_only_with_a_word(rotation: Run, home: Path) -> None:
    def freezer(*words: str) -> Ran:
        return rotation("freezer", *words, "--household", home, "--now", NOW)

    assert freezer("add", "country", "3", "--form", "part-baked", "--bagged", "2027-01-30").code == 0
    ran = freezer("take", "A")
    assert ran.code == 2
    assert "bag D of country, bagged 30 Jan, is older." in ran.err
    assert freezer("take", "D").code == 0
    assert freezer("take", "A", "--because", "the crust is better").out == "1 out: 1 of bag A (country).\n"
    assert "the crust is better" in freezer("history").out


def test_told_twice_under_one_id_counts_once(rotation: Run, home: Path) -> None:
    words = ["take", "country", "--id", "tap-1", "--household", home, "--now", NOW]
    assert [rotation("freezer", *words).out for _ in range(2)] == ["1 out: 1 of bag A (country).\n"] * 2
    assert listed(rotation, home)["A country"] == 1


def test_a_history_is_read_taken_back_and_carried_elsewhere(rotation: Run, home: Path, tmp_path: Path) -> None:
    def freezer(*words: str | Path, to: Path = home) -> Ran:
        return rotation("freezer", *words, "--household", to, "--now", NOW)

    freezer("take", "country", "--id", "tap-1")
    freezer("take", "tin", "3")
    assert freezer("undo", "tap-1").out == "1 in: 1 of bag A (country).\n"
    history = json.loads(freezer("history", "--json").out)
    assert history["schema"] == "rotation/freezer-history/1"
    assert [one["kind"] for one in history["movements"]] == ["added", "taken", "taken", "undone"]
    assert len(freezer("history", "--bag", "B", "--last", "1").out.splitlines()) == 1
    file = tmp_path / "history.csv"
    assert freezer("export", file).code == 0
    copy = tmp_path / "copy"
    shutil.copytree(home, copy, ignore=shutil.ignore_patterns(".rotation"))
    assert freezer("import", file, to=copy).out == "4 new, 0 known already.\n"
    assert freezer("import", file, to=copy).out == "0 new, 4 known already.\n"
    assert listed(rotation, copy) == listed(rotation, home) == {"A country": 2, "B tin": 13, "C rolls": 6}


@pytest.mark.parametrize("content", [b"\xff\xfe", b"", b"movement,kind\n1,2\n"])
def test_a_file_that_is_no_history_is_refused(rotation: Run, home: Path, tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "history.csv"
    file.write_bytes(content)
    ran = rotation("freezer", "import", file, "--household", home, "--now", NOW)
    assert ran.code in (2, 5)
    assert ran.err.startswith(str(file))
    assert listed(rotation, home) == {"A country": 2, "B tin": 16, "C rolls": 6}


def filled(home: Path) -> None:
    """Make the rolls a filled bread."""
    bread = home / "breads" / "rolls.toml"
    text = f'kind = "filled"\n{bread.read_text()}'
    for setting in ("keeps_hours", "bag_by_hours"):
        text = re.sub(rf"(?m)^{setting} = .*$", f"{setting} = 2", text)
    bread.write_text(text)


def test_after_a_power_cut_plain_and_filled_are_told_apart(rotation: Run, home: Path) -> None:
    filled(home)

    def cut(*words: str) -> Ran:
        return rotation("freezer", "power-cut", *words, "--household", home, "--now", NOW)

    short = json.loads(cut("--hours", "9", "--full", "50", "--json").out)
    assert {bag["verdict"] for bag in short["bags"]} == {"keep"}
    long = json.loads(cut("--hours", "25", "--full", "50", "--json").out)
    assert {bag["bread"]: bag["act"] for bag in long["bags"]} == {
        "country": "toast",
        "tin": "toast",
        "rolls": "discard",
    }
    assert "local food-safety rules" in long["caution"]
    whole = json.loads(cut("--hours", "47", "--full", "100", "--json").out)
    assert {bag["verdict"] for bag in whole["bags"]} == {"keep"}
    assert not (home / ".rotation").exists(), "nothing is recorded unasked"


def test_what_was_done_after_a_power_cut_is_recorded_once(rotation: Run, home: Path) -> None:
    filled(home)
    words = ["power-cut", "--hours", "30", "B=hard", "--record", "--household", home, "--now", NOW]
    ran = rotation("freezer", *words)
    assert "6 out: 6 of bag C (rolls)." in ran.out
    assert "2 of bag A (country): frozen again, for toast." in ran.out
    rotation("freezer", *words)
    ran = rotation("freezer", "list", "--household", home, "--now", NOW, "--json")
    standing = {lot["letter"]: (lot["pieces"], lot["standing"]) for lot in json.loads(ran.out)["lots"]}
    assert standing == {"A": (2, "for toast"), "B": (16, "still freezing")}


def test_an_open_lid_is_judged_bag_by_bag(rotation: Run, home: Path) -> None:
    filled(home)

    def lid(*words: str) -> dict[str, str]:
        ran = rotation("freezer", "open-lid", *words, "--json", "--household", home, "--now", NOW)
        assert ran.code == 0, ran.err
        return {bag["letter"]: bag["verdict"] for bag in json.loads(ran.out)["bags"]}

    assert lid("A=hard", "B=warm", "C=cold") == {"A": "keep", "B": "refreeze", "C": "discard"}
    assert lid("C=cold", "--hours-warm", "1") == {"C": "eat soon"}
    assert lid("C=icy") == {"C": "refreeze"}
    assert lid() == {}


class Keyboard(io.StringIO):
    """Somebody who answers at a terminal."""

    def isatty(self) -> bool:
        return True


def test_what_was_done_with_all_bags_at_once_is_taken_back_at_once(rotation: Run, home: Path) -> None:
    def freezer(*words: str) -> str:
        ran = rotation("freezer", *words, "--household", home, "--now", NOW)
        assert ran.code == 0, ran.err
        return ran.out

    before = listed(rotation, home)
    freezer("take", "country", "1", "--id", "my bag A")
    freezer("take", "c", "1", "--id", "my bag C")
    taken = freezer("list", "--json")
    assert freezer("open-lid", "A=cold", "B=warm", "C=cold", "--record").count("again") >= 2
    assert freezer("list", "--json") != taken
    assert len(freezer("undo", "--id", "tap").splitlines()) == 3
    assert freezer("list", "--json") == taken
    freezer("undo", "--id", "tap")
    assert freezer("list", "--json") == taken, "the same tap takes back no more"
    freezer("undo")
    assert listed(rotation, home) == before | {"A country": 1}, "names of a person's own make no act"
    freezer("undo")
    assert listed(rotation, home) == before


def test_bags_under_an_open_lid_are_asked_about(rotation: Run, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bags = list(ids(rotation, home))
    how = {"A": "cold", "B": "skip", "C": "hard"}
    monkeypatch.setattr("sys.stdin", Keyboard("".join(f"{how[bag]}\n" for bag in bags) + "y\n"))
    ran = rotation("freezer", "open-lid", "--household", home, "--now", NOW)
    assert ran.code == 0, ran.err
    assert "bag A   2 country, part-baked, 1 Mar (soft and cold): Refreeze it, for toast" in ran.out
    assert "bag B" not in ran.out.split("each bag has to be felt.")[1].split("Record that")[0]
    assert "2 of bag A (country): frozen again, for toast." in ran.out


def test_nothing_is_recorded_where_somebody_says_no(rotation: Run, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", Keyboard("n\n"))
    assert rotation("freezer", "power-cut", "--hours", "90", "--household", home, "--now", NOW).code == 0
    assert not (home / ".rotation").exists()
