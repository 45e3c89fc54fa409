from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import NOW, Run


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
    assert freezer("take", "c", "4") == "4 out: 4 of bag C (rolls).\n"
    assert freezer("count", "tin", "15") == "1 out: 1 of bag B (tin).\n"
    assert freezer("count", "tin", "15") == "As we thought: nothing changed.\n"
    assert freezer("discard", "c", "--because", "freezer burn") == "2 out: 2 of bag C (rolls).\n"
    assert listed(rotation, home) == {"B tin": 15, "D country": 2}
    assert freezer("undo") == "2 in: 2 of bag C (rolls).\n"
    assert listed(rotation, home) == {"B tin": 15, "C rolls": 2, "D country": 2}


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
        (["add", "brioche", "2"], 'there is no bread "brioche". There is: country, rolls, tin.'),
        (["add", "tin", "2", "--form", "whole"], 'tin is not kept "whole"'),
        (["add", "tin", "2", "--form", "sliced", "--bagged", "2027-03-20"], "is still to come"),
        (["add", "tin", "2", "--form", "sliced", "--bagged", "soon"], '"soon" is not a moment. Write 2027-03-01'),
        (["count", "tin", "--form", "whole", "3"], 'tin is not kept "whole"'),
        (["discard", "A", "5"], "5 asked for, and 2 there"),
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
