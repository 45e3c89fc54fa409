"""A household laid out from six answers: it is read back, says every setting, and is never laid over anything."""

from __future__ import annotations

import tomllib
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import jsonschema
import pytest
import typer
from typer.testing import CliRunner

from calendars.store import open_store
from rotation.commands import new as command
from rotation.commands.schema import schema_of
from rotation.errors import BadInput
from rotation.household import usual
from rotation.household.kitchen import Kitchen, Oven
from rotation.household.meals import Guests, Habits, Shop
from rotation.household.paper import Labels, Paper
from rotation.household.people import Place
from rotation.household.reading import read_home
from rotation.household.settings import AgePrices, Entries, Planning, Reserve, Shown, Weights
from rotation.templates import Answers, laid_out

TODAY = date(2027, 2, 26)


@pytest.fixture
def program() -> typer.Typer:
    app = typer.Typer()
    app.command()(command.new)
    return app


def test_the_files_written_are_read_back(tmp_path: Path) -> None:
    folder = tmp_path / "home"
    command.write(folder, laid_out(Answers(TODAY)))
    home = read_home(folder)
    assert set(home.breads) == {"country", "rolls", "tin"}
    assert home.settings.people[0].called == "Jo"
    assert (folder / ".gitignore").read_text(encoding="utf-8").splitlines()[-1] == ".rotation/"
    assert {form for bread in home.breads.values() for form in bread.forms} == {"part-baked", "sliced"}
    assert len(home.breads["country"].processes) == 2
    for bread in home.breads.values():
        for process in bread.processes:
            assert all(usual.kept(bread, process, form).uncovered_minutes > 0 for form in bread.forms)


def test_every_setting_is_written_with_its_default() -> None:
    data = tomllib.loads(laid_out(Answers(TODAY))["household.toml"])
    asked = {("kitchen", "freezer_litres"), ("kitchen", "proof_box_degc"), ("weights", "unmet_portion")}
    asked |= {("labels", "width_mm"), ("labels", "height_mm")}
    asked |= {("entries", setting) for setting in (*Place.model_fields, "people", "ovens")}
    tables = {"kitchen": (Kitchen, data["kitchen"]), "oven": (Oven, data["ovens"][0]),
              "habits": (Habits, data["habits"]),
              "shop": (Shop, data["shop"]), "reserve": (Reserve, data["reserve"]),
              "weights": (Weights, data["weights"]),
              "age": (AgePrices, data["weights"]["age"]), "plan": (Planning, data["plan"]),
              "entries": (Entries, data["entries"]), "shown": (Shown, data["shown"]),
              "paper": (Paper, data["paper"]), "labels": (Labels, data["labels"]),
              "guests": (Guests, data["guests"])}  # fmt: skip
    for name, (model, written) in tables.items():
        read, default = model.model_validate(written), model()
        for setting in model.model_fields:
            if (name, setting) in asked or setting == "holidays":
                continue
            assert setting in written, f"{name}.{setting}"
            assert getattr(read, setting) == getattr(default, setting), f"{name}.{setting}"
    assert data["kitchen"]["freezer_litres"] == Kitchen().freezer_litres


def test_the_example_calendars_are_calendars(tmp_path: Path) -> None:
    command.write(tmp_path / "home", laid_out(Answers(TODAY)))
    zone = ZoneInfo("Europe/Berlin")
    window = (datetime(2027, 2, 26, tzinfo=UTC), datetime(2027, 3, 6, tzinfo=UTC))
    reading = open_store("file", str(tmp_path / "home/calendars/family.ics"), "Family").read(window, zone)
    assert [event.summary for event in reading.events] == ["Dinner with guests, 6 at table", "Evening class (Jo)"]
    assert reading.events[0].start.astimezone(zone).hour == 19
    assert reading.oddities == ()


def test_without_asking(tmp_path: Path, program: typer.Typer) -> None:
    result = CliRunner().invoke(program, [str(tmp_path / "home"), "--yes"], catch_exceptions=False)
    assert result.exit_code == 0
    assert "rotation check" in result.output
    assert read_home(tmp_path / "home").settings.habits.loaves_a_week == 3


def test_six_questions(tmp_path: Path, program: typer.Typer) -> None:
    said = ["country, cake", "country, tin", "3", "much", "5,5", "6", "Jo, jo", "Jo and Ana María",
            "Sam, sam", "Sam, Mia 5, Tom (11) and Kim 30", "17:00-16",
            '"18:00-21:00"', "", "six", "6", "2", "0", "2", "y", "", "sesam", "sesame"]  # fmt: skip
    result = CliRunner().invoke(program, [str(tmp_path / "home")], input="\n".join(said) + "\n", catch_exceptions=False)
    assert result.exit_code == 0, result.output
    assert result.output.count("A whole number from 0 to 400.") == 1
    home = read_home(tmp_path / "home")
    assert set(home.breads) == {"country", "tin"}
    assert home.breads["tin"].processes[0].pieces == (1, 2, 3)
    assert [(person.called, person.bakes) for person in home.settings.people] == [
        ("Jo", True),
        ("Ana María", True),
        ("Sam", False),
        ("Kim", False),
        ("Mia", False),
        ("Tom", False),
    ]
    assert home.settings.habits.loaves_a_week == 5.5
    mia, tom = home.settings.people[4:]
    assert [(who.adult, who.under_six, who.finishes) for who in (mia, tom)] == [
        (False, True, False),
        (False, False, False),
    ]
    assert all(not who.free.on(day) and not who.quick.on(day) for who in (mia, tom) for day in range(7))
    assert all(who.adult and who.finishes for who in home.settings.people[:4])
    assert home.settings.habits.lunch_slices_on_school_days == 6
    assert home.settings.people[0].free.on(0) == ((1080, 1260),)
    assert home.settings.kitchen.freezer_litres == 27
    assert [(lot.bread, lot.form, lot.units) for lot in home.stock.lots] == [("country", "part-baked", 2)]
    assert home.settings.ovens[0].fan
    assert home.settings.nobody_eats == ("sesame",)


def test_nothing_is_laid_over_anything(tmp_path: Path) -> None:
    kept = tmp_path / "kept.txt"
    kept.write_text("mine", encoding="utf-8")
    for taken in (tmp_path, kept):
        with pytest.raises(BadInput, match=r"is not empty|is a file"):
            command.write(taken, laid_out(Answers(TODAY)))
    assert [path.name for path in tmp_path.iterdir()] == ["kept.txt"]


def test_the_zone_of_the_machine(tmp_path: Path) -> None:
    link = tmp_path / "localtime"
    assert command.zone_here({"TZ": ":Asia/Tokyo"}, link) == "Asia/Tokyo"
    assert command.zone_here({"TZ": "UTC"}, link) == "Europe/Berlin"
    target = tmp_path / "zoneinfo" / "America" / "Lima"
    target.parent.mkdir(parents=True)
    target.write_text("", encoding="utf-8")
    link.symlink_to(target)
    assert command.zone_here({}, link) == "America/Lima"


def test_schemas_take_what_is_laid_out() -> None:
    written = laid_out(Answers(TODAY, in_freezer=(("country", 2),)))
    for kind, file in (
        ("household", "household.toml"),
        ("bread", "breads/country.toml"),
        ("bread", "breads/rolls.toml"),
    ):
        schema = schema_of(kind)
        jsonschema.Draft202012Validator.check_schema(schema)
        jsonschema.validate(tomllib.loads(written[file]), schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"people": [{"id": "jo", "ag": 3}]}, schema_of("household"))
    assert "$schema" in schema_of("plan")
    with pytest.raises(BadInput, match="no schema"):
        schema_of("x")
