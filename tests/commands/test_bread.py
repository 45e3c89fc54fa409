"""`rotation bread`: what a baker reads at the bench, as data too, in the units of the house; slips in one message."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from rotation.commands.schema import schema_of
from tests.commands.conftest import Ran, Run
from tests.commands.test_quick import loaded

AT = "2027-03-06T07:00"
SOAKER = '[[formula.soakers]]\nname = "s"\nwater_percent = 5\n'


@pytest.fixture(autouse=True)
def _customs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out the model of heat, which has tests of its own and takes seconds."""
    monkeypatch.setattr("rotation.bench.making.with_waits", lambda home, *_: (home, ()))


def told(rotation: Run, home: Path, *words: str) -> Ran:
    return rotation("bread", "country", "--household", home, "--at", AT, *words)


def refused(ran: Ran, *said: str) -> None:
    assert (ran.code, ran.out, len(ran.err.splitlines())) == (2, "", 1), ran.err
    assert all(words in ran.err for words in said), ran.err


def test_bench_notes_for_a_screen(rotation: Run, home: Path) -> None:
    ran = told(rotation, home, "--pieces", "2")
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "COUNTRY LOAF, by day, cold proof: 2 pieces, 900 g of dough each, 780 g baked"
    assert max(map(len, lines)) <= 110
    order = ["FRIDAY 5 MARCH", "FEED", "SATURDAY 6 MARCH", " 7:00  MIX", "SHAPE", "SUNDAY 7 MARCH", "OVEN ON", "  IN",
             "OUT", "KEEPS", "FROM THE FREEZER", "CONTAINS"]  # fmt: skip
    places = [ran.out.index(words) for words in order]
    assert places == sorted(places)
    for words in (
        "Put 20 g of it back", "Water ", "When up by 50 %", "Then into the fridge; while it cools", "core 96 to 97",
        "Golden, not dark", "wash hands", "Hot iron", "follow your local food-safety rules", "eat first from 4 Apr",
        "at the soonest",
        "On the list of the United States: wheat", "Same kitchen: milk (Small rolls and Tin loaf)",
    ):  # fmt: skip
        assert words in ran.out, words


def test_every_line_fits_a_narrow_screen(home: Path) -> None:
    from rotation.bench import bench
    from rotation.commands.options import moment
    from rotation.household.reading import read_home
    from rotation.show.bench_notes import lines
    from rotation.units import Display

    read = read_home(home)
    at = moment(AT, read.zone)
    for bread in read.breads:
        notes = bench(read, bread, None, None, at, at)
        assert max(len(line) for line in lines(notes, Display("lb", "degF"), 80)) <= 80


def test_bench_notes_as_data(rotation: Run, home: Path) -> None:
    ran = told(rotation, home, "--pieces", "2", "--json")
    said = json.loads(ran.out)
    assert said["schema"] == "rotation/bench/1"
    Draft202012Validator(schema_of("bench")).validate(said)
    assert (said["pieces"], said["dough_grams"], said["hydration_percent"]) == (2, 1800, 74)
    assert said["steps"][1] | {"weigh": []} == {
        "name": "mix", "at": "2027-03-06T07:00:00+01:00", "earliest": "2027-03-06T07:00:00+01:00",
        "latest": "2027-03-06T07:00:00+01:00", "hands": 15, "weigh": [], "cold_as": None, "risen": None,
        "caution": said["steps"][1]["caution"],
    }  # fmt: skip
    assert {way["place"] for way in said["ways"]} == {"worktop", "fridge", ""}
    assert told(rotation, home, "--pieces", "2", "--json").out == ran.out


def test_in_pounds_and_degf(rotation: Run, home: Path) -> None:
    path = home / "household.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('mass = "g"', 'mass = "lb"').replace('"degC"', '"degF"'), encoding="utf-8")
    ran = told(rotation, home, "--dough", "4 lb")
    assert "2 pieces, 2 lb 0 oz of dough each" in ran.out
    assert "OVEN ON 450 degF" in ran.out  # T11: the mark of 230 degC
    assert "room of 70 degF" in ran.out
    assert not re.search(r"\d g\b", ran.out)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--pieces", "0"], ["--pieces", "above nothing"]),
        (["--pieces", "-3"], ["--pieces", "above nothing"]),
        (["--pieces", "two"], ['"two" is not a number of pieces', "--pieces 2"]),
        (["--pieces", "99999999"], ["100 kg"]),
        (["--dough", "heaps"], ['"heaps" is not a mass', "2 lb"]),
        (["--dough", "-2 kg"], ["--dough", "above nothing"]),
        (["--tin", "a cup"], ["is not a volume"]),
        (["--pieces", "2", "--flour", "1 kg"], ["--pieces and --flour", "Give one"]),
        (["--process", "dawn"], ["no process", "day, overnight"]),
        (["--at", "soon"], ["--at", "2027-03-01"]),
    ],
)
def test_a_slip_is_refused_in_one_message(rotation: Run, home: Path, words: list[str], said: list[str]) -> None:
    refused(told(rotation, home, *words), *said)


def test_a_bread_there_is_not(rotation: Run, home: Path) -> None:
    refused(rotation("bread", "brick\x1b[2J", "--household", home), "no bread", "country, rolls, tin")


def test_a_room_nobody_knows_dough_in(rotation: Run, home: Path) -> None:
    path = home / "household.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("room_degc = 21.0", "room_degc = 9"), encoding="utf-8")
    refused(told(rotation, home), "9 degC is not known", "warm = false")


def test_bench_notes_need_no_solver_and_no_other_units(home: Path) -> None:
    code, names = loaded("bread", "tin", "--household", str(home), "--at", AT)
    assert code == 0
    assert not names & {"ortools", "highspy", "pandas", "pint", "icalendar"}


@pytest.mark.parametrize(("old", "new", "stands", "said"), [
    ('flours = { "strong wheat flour" = 80, "wholemeal wheat flour" = 15, "rye flour" = 5 }', "flours = {}",
     "flours = {}",
     ["formula.flours", "needs 1 or more", "Write flours = "]),
    ("water_percent = 74", "water_percent = -4", "water_percent = -4", ["formula.water_percent", "below the least"]),
    ("water_percent = 74", "water_percent = 3000", "water_percent = 3000", ["formula.water_percent", "above the most"]),
    ("others = { salt = 2 }", "others = { salt = 2, butter = 140, sugar = 140, milk = 140, egg = 140 }", "[formula]",
     ["formula", "seven times"]),
    ("piece_grams = 900", "piece_grams = -900", "piece_grams = -900", ["piece_grams", "below the least"]),
    ("seed_percent = 20", 'seed_percent = 20\nseed_from = "starter"', "seed_from",
     ["seed_from", "from itself", "kept starter"]),
    ("hold_back_grams = 20", f"hold_back_grams = 20\n{SOAKER}parts = {{ linseed = 3 }}", "parts = ",
     ["soakers.0.parts.linseed", "neither among the flours"]),
    ("hold_back_grams = 20", f'hold_back_grams = 20\n{SOAKER}parts = {{ "rye flour" = 30 }}', "parts = ",
     ["30 % soak", "has 5 %"]),
    ("others = { salt = 2 }", 'others = { salt = 2 }\ninclusions = { walnuts = 9 }\ninclusions_at = "bake"',
     "inclusions_at", ["inclusions_at", 'no step "bake"']),
])  # fmt: skip
def test_a_formula_that_makes_no_sense_names_file_and_line(
    rotation: Run, home: Path, old: str, new: str, stands: str, said: list[str]
) -> None:
    path = home / "breads" / "country.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    ran = told(rotation, home)
    assert (ran.code, ran.out) == (2, "")
    number = re.match(rf"{re.escape(str(path))}:(\d+): ", ran.err)
    assert number, ran.err
    assert path.read_text(encoding="utf-8").splitlines()[int(number[1]) - 1].startswith(stands), ran.err
    assert all(words in ran.err for words in said), ran.err
