"""`rotation publish`: shows, asks, writes, and refuses what it must."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from calendars.canonical import canonical
from calendars.folder import IcsFolder
from calendars.store import Refused
from rotation.ledger import Ledger, Told
from rotation.life import State
from tests.commands.conftest import Run
from tests.publishing.clients import Family, FolderClient
from tests.publishing.homes import NOW, lay_out

LATER = "2027-03-05T18:00"


class Killed(BaseException):
    """The program ended here."""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a household that is planned once for all tests; entries go to its folder calendars/bread."""
    from rotation.commands import run

    folder = tmp_path_factory.mktemp("made") / "home"
    entries = '[entries]\npath = "calendars/bread"\n[[entries.people]]\nperson = "jo"\npath = "calendars/jo"\n'
    lay_out(folder, f'{entries}[[entries.ovens]]\npath = "calendars/oven"')
    for name in ("bread", "jo", "oven"):
        (folder / "calendars" / name).mkdir()
    assert run(["plan", "--household", str(folder), "--from", NOW, "--work", "quick"]) == 0
    return folder


@pytest.fixture
def home(made: Path, tmp_path: Path) -> Path:
    """Return a copy of the planned household that writes into one calendar only."""
    folder = tmp_path / "home"
    shutil.copytree(made, folder)
    settings = folder / "household.toml"
    text = settings.read_text(encoding="utf-8")
    settings.write_text(text[: text.index("[[entries.people]]")], encoding="utf-8")
    return folder


@pytest.fixture
def publish(rotation: Run, home: Path) -> Callable[..., object]:
    return lambda *more, at=LATER: rotation("publish", "--household", home, "--now", at, *more)


def family(home: Path, name: str = "bread") -> Family:
    return Family(FolderClient(home / "calendars" / name))


def test_shows_what_would_change_and_changes_nothing(publish: Run, home: Path) -> None:
    ran = publish("--dry-run")
    assert (ran.code, ran.out.splitlines()) == (
        0,
        [
            "Bread: 3 to add.",
            "  add       Sat 6 Mar 7:45  Bread out: 1 Country loaf",
            "  add       Sat 6 Mar 15:20  Bread: 1 Milk loaf (Jo)",
            "  add       Sat 6 Mar 17:30  Oven 220: 1 Country loaf",
        ],
    )
    assert family(home).uids() == []
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert Told(ledger).last() is None


def test_off_a_terminal_it_writes_only_when_told(publish: Run, home: Path) -> None:
    ran = publish()
    assert ran.code == 2
    assert "there is nobody to ask here. Say --yes to write, or --dry-run to look." in ran.err
    assert family(home).uids() == []
    assert publish("--yes").out.endswith("Bread: 3 added.\n")
    assert len(family(home).uids()) == 3


def test_the_plan_kept_weighs_after_as_it_did_before(publish: Run, home: Path) -> None:
    def told() -> list[list[str]]:
        with Ledger.open(home / ".rotation", readonly=True) as ledger:
            return [one["text"] for one in json.loads(ledger.kept_plan() or "")["instructions"]]

    before = told()
    assert any(" g wheat flour" in line for lines in before for line in lines)
    publish("--yes")
    assert told() == before


def test_at_a_terminal_it_asks(publish: Run, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter([False, True])
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("typer.confirm", lambda *_, **__: next(answers))
    ran = publish()
    assert (ran.code, ran.out.splitlines()[-1]) == (0, "Nothing was written.")
    assert publish().out.endswith("Bread: 3 added.\n")


def test_nothing_new_writes_nothing_and_records_nothing(publish: Run, home: Path) -> None:
    publish("--yes")
    before = family(home).client.all()
    for _ in range(2):
        assert publish().out == "Bread: nothing to write.\n", "so nobody has to be asked"
    assert family(home).client.all() == before
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert len(list(Told(ledger).publications())) == 1


def test_as_few_entries_a_week_as_the_plan_allows(publish: Run, home: Path) -> None:
    settings = home / "household.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + "a_week = 2\n", encoding="utf-8")
    said = publish("--dry-run").out.splitlines()
    assert said[0] == "Bread: 2 to add."
    assert said[1] == "  add       Sat 6 Mar 7:45  Bread out, then oven: 1 Country loaf"
    assert said[-1] == "One finish stands in the entry of the thaw, to keep to 2 entries a week."
    settings.write_text(settings.read_text(encoding="utf-8").replace("a_week = 2", "a_week = 1"), encoding="utf-8")
    assert "2 entries in one week: so many bakes, thaws and finishes the plan has." in publish("--dry-run").out


def test_nowhere_to_write_and_no_plan_yet(rotation: Run, tmp_path: Path) -> None:
    home = lay_out(tmp_path / "home", "")
    ran = rotation("publish", "--household", home, "--now", NOW)
    assert ran.code == 2
    assert "entries: it is not said where entries are written. Make a calendar for bread" in ran.err
    home = lay_out(tmp_path / "other", '[entries]\npath = "bread"')
    ran = rotation("publish", "--household", home, "--now", NOW)
    assert ran.code == 2
    assert "there is no plan yet. Make a new one: rotation plan" in ran.err


@pytest.mark.parametrize("at", ["2027-03-06T17:35", "2027-03-04T17:00"])
def test_a_plan_of_another_day_is_not_written(publish: Run, home: Path, at: str) -> None:
    ran = publish("--yes", at=at)
    assert ran.code == 2
    assert "the plan begins on Fri 5 Mar 2027, more than a day from now" in ran.err
    assert family(home).uids() == []


def test_a_plan_that_no_longer_fits_is_not_written(publish: Run, home: Path) -> None:
    calendar = home / "calendars" / "family.ics"
    busy = "BEGIN:VEVENT\nUID:away\nDTSTART:20270306T060000Z\nDTEND:20270306T200000Z\nSUMMARY:Trip\nEND:VEVENT\n"
    text = calendar.read_bytes().decode().replace("END:VCALENDAR", busy.replace("\n", "\r\n") + "END:VCALENDAR")
    calendar.write_bytes(text.encode())
    ran = publish("--yes")
    assert ran.code == 2
    assert "the plan no longer fits: something it relies on was changed since" in ran.err
    assert ran.err.rstrip().endswith("Make a new one: rotation plan")
    assert family(home).uids() == []


def test_a_bag_eaten_since_makes_the_plan_unfit(rotation: Run, publish: Run, home: Path) -> None:
    assert rotation("freezer", "take", "A", "2", "--household", home, "--now", LATER).code == 0
    assert "no longer fits" in publish("--yes").err


def test_what_has_begun_is_not_written(publish: Run, home: Path) -> None:
    ran = publish("--yes", at="2027-03-06T15:30")
    assert ran.code == 0, ran.err
    assert "Bread: 1 added." in ran.out
    (entry,) = family(home).titles().values()
    assert entry.endswith("Oven 220: 1 Country loaf")


def test_edits_the_plan_does_not_know_are_not_written_over(publish: Run, home: Path) -> None:
    publish("--yes")
    jo = family(home)
    bake = jo.named("Milk loaf")
    jo.move(bake, "20270306T120000Z", "20270306T150000Z")
    before = jo.client.all()
    ran = publish("--yes")
    assert ran.code == 2
    assert "Against your change: Bread: 1 Milk loaf (Jo); you had put it at Sat 6 Mar 13:00." in ran.out
    assert "Take it into the plan: rotation plan. Or write over it: rotation publish --forget-edits" in ran.err
    assert jo.client.all() == before
    ran = publish("--forget-edits", "--yes")
    assert ran.code == 0, ran.err
    assert jo.value(bake, "DTSTART") == "20270306T142000Z"
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert not [wish for wish in Told(ledger).last_words().values() if not wish.over]


def test_a_calendar_that_reads_as_empty_is_asked_about(
    rotation: Run, publish: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish("--yes")
    for path in (home / "calendars" / "bread").glob("*.ics"):
        path.unlink()
    ran = publish("--yes")
    assert ran.code == 2
    assert "The calendar reads as empty, though 3 entries of ours should be in it." in ran.err
    assert "Say so at a terminal" in ran.err
    assert family(home).uids() == []
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("typer.confirm", lambda *_, **__: True)
    ran = publish()
    assert ran.out.count("Noted: ") == 3
    assert ran.out.endswith("Nothing was written. The next plan knows it: rotation plan\n")
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        kinds = sorted(wish.kind for wish in Told(ledger).last_words().values())
    assert kinds == ["no bake", "no finish", "no finish"]


def test_that_most_entries_go_is_asked_and_yes_answers_it(
    rotation: Run, publish: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish("--yes")
    calendar = home / "calendars" / "family.ics"
    trip = (
        b"BEGIN:VEVENT\r\nUID:t\r\nDTSTART:20270305T170000Z\r\nDTEND:20270308T170000Z\r\nSUMMARY:Trip\r\nEND:VEVENT\r\n"
    )
    calendar.write_bytes(calendar.read_bytes().replace(b"END:VCALENDAR", trip + b"END:VCALENDAR"))
    assert rotation("plan", "--household", home, "--from", LATER, "--work", "quick").code == 0
    ran = publish()
    assert ran.code == 2
    assert "3 of our 3 entries to come would be taken away" in ran.err
    assert ran.err.endswith(" first. Yes takes them away. Say --yes, or --dry-run to look.\n")
    asked: list[str] = []
    with monkeypatch.context() as terminal:
        terminal.setattr("sys.stdin.isatty", lambda: True, raising=False)
        terminal.setattr("typer.confirm", lambda text, **_: asked.append(text))
        assert publish().out.endswith("Nothing was written.\n")
    assert asked[0].endswith(" first. Yes takes them away.")
    assert len(family(home).uids()) == 3
    said = publish("--yes").out.splitlines()
    assert (said[0], len(said), said[-1]) == ("Bread: 3 to take away.", 5, "Bread: 3 taken away.")
    assert family(home).uids() == []


def test_a_folder_is_made_the_first_time_and_missed_ever_after(publish: Run, home: Path) -> None:
    folder = home / "calendars" / "bread"
    folder.rmdir()
    assert publish("--dry-run").out.startswith("Bread: 3 to add.")
    assert not folder.exists()
    assert publish("--yes").code == 0
    assert len(family(home).uids()) == 3
    shutil.rmtree(folder)
    ran = publish("--yes")
    assert ran.code == 2
    assert "bread: there is no such folder" in ran.err
    assert not folder.exists(), "it may be a disk that is not there today"


def test_an_edit_is_kept_to_the_planning_grid(rotation: Run, publish: Run, home: Path) -> None:
    publish("--yes")
    jo = family(home)
    finish = jo.named("Oven")
    jo.move(finish, "20270306T162200Z", "20270306T165500Z")
    ran = rotation("plan", "--household", home, "--from", LATER)
    assert "Kept: “Oven 220: 1 Country loaf” moved to Sat 6 Mar 17:22; it costs" in ran.out
    ran = publish("--yes")
    assert "Against your change" not in ran.out
    assert jo.value(finish, "DTSTART") == "20270306T162000Z"


def test_steps_go_to_a_person_and_reservations_to_the_oven(rotation: Run, made: Path, tmp_path: Path) -> None:
    home = tmp_path / "home"
    shutil.copytree(made, home)
    ran = rotation("publish", "--household", home, "--now", LATER, "--yes")
    assert ran.code == 0, ran.err
    assert "Bread, Jo: 5 added." in ran.out
    assert "Bread, Oven: 2 added." in ran.out
    titles = sorted(title.partition(" ")[2] for title in family(home, "jo").titles().values())
    assert titles == [
        "Bread out: 1 Country loaf",
        "Leave the oven on 190: 1 Milk loaf",
        "Mix: 1 Milk loaf",
        "Oven 220: 1 Country loaf",
        "Shape: 1 Milk loaf",
    ]
    assert all(
        " 1 " in title and ("Oven" in title or "Leave" in title) for title in family(home, "oven").titles().values()
    )


@pytest.mark.parametrize(
    ("title", "state"), [("Mix", State.BEGUN), ("on 190", State.COOLING), ("Bread out", State.CLOSED)]
)
def test_a_step_ticked_off_is_recorded(rotation: Run, made: Path, tmp_path: Path, title: str, state: State) -> None:
    home = Path(shutil.copytree(made, tmp_path / "home"))
    assert rotation("publish", "--household", home, "--now", LATER, "--yes").code == 0
    jo = family(home, "jo")
    jo.tick(jo.named(title))
    ran = rotation("publish", "--household", home, "--now", "2027-03-06T16:00", "--yes")
    assert ran.code == 0, ran.err
    with Ledger.open(home / ".rotation", readonly=True) as ledger:
        assert Told(ledger).states()[jo.named(title).partition("-")[0]] is state


def test_tasks_and_parts_if_the_settings_say_so(rotation: Run, made: Path, home: Path) -> None:
    settings = home / "household.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + 'tasks = true\neach = "part"\n', encoding="utf-8")
    ran = rotation("publish", "--household", home, "--now", LATER, "--yes")
    assert ran.code == 0, ran.err
    kinds = [part.name for data in family(home).client.all().values() for part in canonical(data)[0].parts]
    assert kinds == ["VTODO"] * 4


def test_entries_become_tasks_when_the_settings_change(publish: Run, home: Path) -> None:
    assert publish("--yes").code == 0
    uids = family(home).uids()
    settings = home / "household.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + "tasks = true\n", encoding="utf-8")
    assert "Bread: 3 to change." in publish("--yes").out
    assert family(home).uids() == uids
    kinds = [part.name for data in family(home).client.all().values() for part in canonical(data)[0].parts]
    assert kinds == ["VTODO"] * 3
    assert publish().out == "Bread: nothing to write.\n"


def test_a_calendar_that_takes_no_tasks_gets_events(publish: Run, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settings = home / "household.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + "tasks = true\n", encoding="utf-8")
    monkeypatch.setattr(IcsFolder, "components", lambda _: frozenset({"VEVENT"}), raising=False)
    ran = publish("--yes")
    assert "Bread: this calendar takes no tasks, so its entries are events." in ran.out
    kinds = [part.name for data in family(home).client.all().values() for part in canonical(data)[0].parts]
    assert kinds == ["VEVENT"] * 3


def test_our_own_entries_make_nobody_busy_and_feed_nobody(rotation: Run, home: Path) -> None:
    """A family calendar that shows the calendar of bread as well."""
    settings = home / "household.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + "blocking = true\n", encoding="utf-8")
    assert rotation("publish", "--household", home, "--now", LATER, "--yes").code == 0
    before = rotation("check", "--household", home, "--from", LATER)
    text = settings.read_text(encoding="utf-8")
    shown = '[[calendars]]\nname = "Bread too"\npath = "calendars/bread"\n\n[[ovens]]'
    settings.write_text(text.replace("[[ovens]]", shown, 1), encoding="utf-8")
    assert rotation("check", "--household", home, "--from", LATER).out == before.out
    theirs = family(home).client.all()
    name, data = next(iter(theirs.items()))
    (home / "calendars" / "bread" / "foreign.ics").write_bytes(re.sub(rb"UID:[^\r]+", b"UID:foreign", data, count=1))
    assert rotation("check", "--household", home, "--from", LATER).out != before.out, name


def test_what_could_not_be_written_is_said_and_tried_again(
    publish: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put = IcsFolder.put

    def full(self: IcsFolder, resource: str, data: bytes, etag: str | None) -> object:
        if b"Milk" in data:
            raise Refused("Bread: there is no room for it \x1b[31m")
        return put(self, resource, data, etag)

    with monkeypatch.context() as broken:
        broken.setattr(IcsFolder, "put", full)
        ran = publish("--yes")
    assert ran.code == 2
    assert "Bread: 2 added." in ran.out
    assert "Not written: Bread: 1 Milk loaf (Jo): Bread: there is no room for it." in ran.err
    assert "Not all was written: " in ran.err
    assert "Say rotation publish again to go on." in ran.err
    assert "\x1b" not in ran.err
    assert "Bread: 1 added." in publish("--yes").out
    assert len(family(home).uids()) == 3


@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("write", [0, 1, 2])
def test_killed_at_any_write_the_next_run_goes_on(
    publish: Run, home: Path, monkeypatch: pytest.MonkeyPatch, write: int, after: bool
) -> None:
    put, left = IcsFolder.put, iter(range(100))

    def killing(self: IcsFolder, *what: object) -> object:
        last = next(left) == write
        if last and not after:
            raise Killed
        held = put(self, *what)  # type: ignore[arg-type] # as given
        if last:
            raise Killed
        return held

    with monkeypatch.context() as killed:
        killed.setattr(IcsFolder, "put", killing)
        with pytest.raises(Killed):
            publish("--yes")
    assert publish("--yes").code == 0
    assert len(family(home).uids()) == len(set(family(home).uids())) == 3
    assert publish().out == "Bread: nothing to write.\n"
