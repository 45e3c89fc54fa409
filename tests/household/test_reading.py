"""A household read from its folder: what is taken, and every mistake with its line and what to write instead."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rotation.errors import BadInput, Mistake, StorageError
from rotation.household import usual
from rotation.household.reading import read_home

Mistakes = Callable[[str, str, str], tuple[Mistake, ...]]
HOME, COUNTRY, STOCK = "household.toml", "breads/country.toml", "stock.toml"


def test_a_right_household(folder: Path) -> None:
    home = read_home(folder)
    assert home.settings.kitchen.room_degc == 20
    assert home.settings.kitchen.bowls == 1
    assert list(home.breads) == ["country"]
    assert home.stock.lots[0].units == 2
    assert str(home.zone) == "Europe/Berlin"


def test_stock_may_be_left_out(folder: Path) -> None:
    (folder / STOCK).unlink()
    assert read_home(folder).stock.lots == ()


@pytest.mark.parametrize(
    ("file", "old", "new", "line", "setting", "wrong", "instead"),
    [
        (HOME, "room_degc = 20", "rom_degc = 20", 17, "kitchen.rom_degc", "no setting", 'Do you mean "room_degc"?'),
        (HOME, "room_degc = 20", "room_degc = -300", 17, "kitchen.room_degc", "below the least",
         "Write room_degc = 21.0"),
        (HOME, "room_degc = 20", "room_degc = 1e9", 17, "kitchen.room_degc", "above the most",
         "Write room_degc = 21.0"),
        (HOME, "room_degc = 20", "room_degc = nan", 17, "kitchen.room_degc", "not a finite number", "21.0"),
        (HOME, "room_degc = 20", 'room_degc = "warm"', 17, "kitchen.room_degc", '"warm" is not a number', "21.0"),
        (HOME, "room_degc = 20", "bowls = 1.5", 17, "kitchen.bowls", "not a whole number", "Write bowls = 1"),
        (HOME, 'id = "sam"\n', "", 8, "people.1.id", "is missing", 'Write id = "jo"'),
        (HOME, 'id = "sam"', 'id = "jo"', 9, "people.1.id", "there twice", "its own"),
        (HOME, "bakes = true", "bakes = false", 4, "people", "nobody bakes", "bakes = true"),
        (HOME, "bakes = true", "bakes = true\nadult = false", 4, "people", "no adult", "adult = true"),
        (HOME, 'zone = "Europe/Berlin"', 'zone = "Europe/Berlino"', 2, "zone", "not a time zone", '"Europe/Berlin"?'),
        (HOME, "bakes = true", 'bakes = true\nquick = ["7-8"]', 7, "people.0.quick.0", "not a time", '"17:30"'),
        (HOME, "bakes = true", 'bakes = true\nquick = ["7:00-9:00", "8:00-10:00"]', 7, "people.0.quick", "overlap",
         "follow"),
        (HOME, "bakes = true", 'bakes = true\nidentity.names = ["Sam"]', None, "", "", ""),
        (HOME, 'path = "calendars/family.ics"', 'path = "x"\nwhose = "jon"', 15, "calendars.0.whose", "jon", '"jo"?'),
        (HOME, 'path = "calendars/family.ics"', 'path = "x"\nkind = "fil"', 15, "calendars.0.kind", "fil", '"file"?'),
        (HOME, "", '[[meals]]\nsummary = "x"\nbreads = ["contry"]\n', 20, "meals.0.breads.0", "contry", '"country"?'),
        (HOME, "", "[[meals]]\nstrict = true\n", 18, "meals.0", "which events", "summary"),
        (HOME, "", '[[meals]]\nsummary = "/(/"\n', 19, "meals.0.summary", "not a regular", "dinner"),
        (HOME, "", '[[meals]]\nsummary = "x"\nheads = "from txt"\n', 20, "meals.0.heads", "from txt", '"from text"?'),
        (HOME, "", '[[events]]\ncalendar = "Famly"\nmeans = "out"\n', 19, "events.0.calendar", "Famly", '"Family"?'),
        (HOME, "", '[[ovens]]\nvessels = 0\n', 18, "ovens", "no oven has a vessel", "vessels = 1"),
        (HOME, "", "[[ovens]]\nhot_gap_minutes = 90\n", 19, "ovens.0.hot_gap_minutes", "watched", "= 30"),
        (HOME, "", '[[bookings]]\nsummary = "x"\noven = "ovn"\n', 20, "bookings.0.oven", "ovn", '"oven"?'),
        (HOME, "", "[plan]\ndays = 3\n", 18, "plan.publish_days", "only 3 planned", "publish_days = 3"),
        (HOME, "", "[habits]\neaten = [{ name = 'x', at = '7:00', share = 0.5 }]\n", 19, "habits.eaten",
         "0.5, not 1", "share"),
        (HOME, "", 'nobody_eats = ["sesme"]\n', 18, "kitchen.nobody_eats", "no setting", ""),
        (HOME, 'name = "Home"', 'nobody_eats = ["sesme"]', 1, "nobody_eats.0", "not an allergen", "sesame"),
        (HOME, "", '[[wishes]]\nkind = "fixed"\nbread = "country"\nat = 2027-03-05T08:00:00\nstep = "mx"\n', 22,
         "wishes.0.step", "mx", '"mix"?'),
        (HOME, "",
         '[[wishes]]\nkind = "no bake"\nbread = "country"\nat = 2027-03-05T08:00:00\nuntil = 2027-03-05T07:00:00Z\n',
         22, "wishes.0.until", "before it begins", "after"),
        (HOME, "", '[[exceptions]]\nfrom = 2027-03-05\nuntil = 2027-03-04\nsetting = "away"\n', 20,
         "exceptions.0.until", "before it begins", "until"),
        (HOME, "", '[[exceptions]]\nfrom = 2027-03-05\nuntil = 2027-03-05\nsetting = "bowls"\n', 18,
         "exceptions.0", "needs a value", "value = 1"),
        (HOME, "", '[[exceptions]]\nfrom = 2027-03-05\nuntil = 2027-03-05\nsetting = "room_degc"\nvalue = 400\n', 22,
         "exceptions.0.value", "no sense", "21.0"),
        (HOME, "", '[[exceptions]]\nfrom = 20270305\nuntil = 2027-03-05\nsetting = "away"\n', 19,
         "exceptions.0.from", "not a date", "2027-03-05"),
        (COUNTRY, '= 100 }', '= 90 }', 6, "formula.flours", "90 %, not 100", "= 100"),
        (COUNTRY, "salt = 2", "salt = 20", 8, "formula.others.salt", "salty", '"salt" = 2'),
        (COUNTRY, "water_percent = 72", "water_percent = 250", 7, "formula.water_percent", "soup", "72"),
        (COUNTRY, "[oven]",
         '[[formula.preferments]]\nname = "a"\nflour_percent = 10\nseed_percent = 20\nseed_from = "a"\n[oven]',
         14, "formula.preferments.0.seed_from", "seeded from itself", "kept starter"),
        (COUNTRY, "[oven]", '[[formula.preferments]]\nname = "a"\nflour_percent = 110\n[oven]', 12,
         "formula.preferments.0.flour_percent", "above the most", "20"),
        (COUNTRY, "degc = 230", "degc = 2300", 11, "oven.degc", "above the most", "degc = 2"),
        (COUNTRY, "[forms.part-baked]", "[forms.part_baked]", 15, "forms.part_baked", "not one of", '"part-baked"?'),
        (COUNTRY, '"shape", hands_minutes = 10, then_minutes = [480, 1440]', '"shape", hands_minutes = 10', 22,
         "processes.0.stages.1", "how long to wait", "then_minutes"),
        (COUNTRY, "[480, 1440]", "[480, 240]", 22, "processes.0.stages.1.then_minutes", "above its longest", "["),
        (COUNTRY, '"oven", hands_minutes = 3 },', '"bake", hands_minutes = 3, then_minutes = [0, 5] },', 20,
         "processes.0.stages", 'called "oven"', '"oven"'),
        (COUNTRY, "pieces = [1, 2]", "pieces = [2, 1]", 19, "processes.0.pieces", "rising", "[1, 2, 3]"),
        (COUNTRY, 'id = "day"', 'id = "day"\nspans = [{ first = "mix", second = "shap", minutes = [1, 2] }]', 19,
         "processes.0.spans.0.second", "shap", '"shape"?'),
        (COUNTRY, 'id = "day"', 'id = "day"\nspans = [{ first = "mix", second = "oven", minutes = [60, 120] }]', 19,
         "processes.0.spans.0.minutes", "at least 745", "745"),
        (COUNTRY, 'id = "day"', 'id = "day"\nuses = [{ what = "bowl", since = "shape", until = "mix" }]', 19,
         "processes.0.uses.0.until", "not after", "earlier"),
        (COUNTRY, "", '[contains]\n"seed mix" = ["sesame"]\n', 27, "contains.seed mix", "not in the formula", ""),
        (COUNTRY, 'name = "Country loaf"', 'name = "x"\nkind = "filled"\nkeeps_hours = 5', 3, "keeps_hours",
         "two hours", "= 2"),
        (COUNTRY, "", '[[routes]]\nid = "r"\nform = "sliced"\ngives = "toast"\n', 28, "routes.0.form", "not kept",
         "forms.sliced"),
        (COUNTRY, "", '[[routes]]\nid = "r"\nform = "part-baked"\ngives = "finished"\n', 26, "routes.0.oven",
         "needs the oven", "220"),
        (STOCK, 'bread = "country"', 'bread = "contry"', 2, "lots.0.bread", "contry", '"country"?'),
        (STOCK, '"part-baked"', '"sliced"', 3, "lots.0.form", "not kept", "part-baked"),
        (STOCK, "units = 2", "units = 0", 4, "lots.0.units", "below the least", "units = 2"),
        (STOCK, "2027-02-13", "13.02.2027", 5, "", "not TOML", ""),
    ],
)  # fmt: skip
def test_a_mistake_names_its_line_and_what_is_right(
    mistakes: Mistakes,
    folder: Path,
    file: str,
    old: str,
    new: str,
    line: int | None,
    setting: str,
    wrong: str,
    instead: str,
) -> None:
    if not wrong:  # right: a name may be written for somebody who has none of their own
        path = folder / file
        path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
        assert read_home(folder).settings.people[0].identity.names == ("Sam",)
        return
    found = mistakes(file, old, new)
    assert len(found) == 1, "\n".join(map(str, found))
    assert found[0].file == str(folder / file)
    assert found[0].line == line
    assert found[0].setting == setting.replace("contains.seed mix", 'contains."seed mix"')
    assert wrong in found[0].wrong
    assert instead in found[0].instead


def test_all_mistakes_of_all_files_at_once(folder: Path, mistakes: Mistakes) -> None:
    (folder / "breads/country.toml").write_text('name = "x"\nportion = 3\n', encoding="utf-8")
    (folder / STOCK).write_text(
        '[[lots]]\nbread = "nix"\nform = "baked"\nunits = -1\nbagged = 2027-01-01\n', encoding="utf-8"
    )
    found = mistakes(
        HOME,
        "room_degc = 20",
        'room_degc = "x"\nfridge_degc = 90\n[[calendars]]\nname = "Family"\npath = "x"\nall_day_busy = "x"',
    )
    places = {(Path(mistake.file).name, mistake.setting) for mistake in found}
    assert places >= {
        ("household.toml", "kitchen.room_degc"),
        ("household.toml", "kitchen.fridge_degc"),
        ("household.toml", "calendars.1.all_day_busy"),
        ("household.toml", "calendars.1.name"),
        ("country.toml", "portion"),
        ("country.toml", "formula"),
        ("country.toml", "processes"),
        ("stock.toml", "lots.0.bread"),
        ("stock.toml", "lots.0.units"),
    }


def test_preferments_in_a_circle(mistakes: Mistakes) -> None:
    ring = "".join(
        f'[[formula.preferments]]\nname = "{a}"\nflour_percent = 5\nseed_percent = 20\nseed_from = "{b}"\n'
        for a, b in ("ab", "bc", "ca")
    )
    found = mistakes(COUNTRY, "[oven]", ring + "[oven]")
    assert all("circle" in mistake.wrong for mistake in found)
    assert len(found) == 3


FILLED = 'name = "Filled ring"\nkind = "filled"'
ROUTE = """
[[routes]]
id = "slow"
form = "part-baked"
gives = "finished"
place = "fridge"
thaw_hours = [10, 30]
oven = [{ degc = 220, minutes = 18 }]
"""


def test_filled_bread_is_cold_within_two_hours_and_thaws_in_the_fridge_only(folder: Path, mistakes: Mistakes) -> None:
    path = folder / COUNTRY
    path.write_text(path.read_text(encoding="utf-8").replace('name = "Country loaf"', FILLED) + ROUTE, encoding="utf-8")
    bread = read_home(folder).breads["country"]
    kept = usual.kept(bread, bread.processes[0], "part-baked")
    assert (kept.bag_by_minutes, usual.keeps_hours(bread), kept.strict_weeks) == (120, 2, 12)
    found = mistakes(COUNTRY, 'place = "fridge"', 'place = "worktop"')
    assert [(mistake.setting, mistake.line) for mistake in found] == [("routes.0.place", 32)]
    assert "fridge only" in found[0].wrong


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        (b"name = \n", 1, "not TOML"),
        (b'name = "a"\nname = "b"\n', 2, "not TOML"),
        (b'x: 3\n', 1, "equals sign"),
        (b"name = Home\n", 1, "in quotes"),
        (b'name = "Home\n', 1, "not TOML"),
        (b"[people\n", 1, "not TOML"),
        (b"a = [1,\n2,\n", 2, "not TOML"),
        (b'name = "x"\nnote = "\xe9"\n', 2, "UTF-8"),
        (b"SQLite format 3\0\x01", None, "not a text file"),
        (b"# x\n" * 3_000_000, None, "12.0 MB"),
        (b"a = " + b"[" * 50_000, None, ""),
        (b"", None, "missing"),
    ],
)  # fmt: skip
def test_files_that_are_no_settings(folder: Path, text: bytes, line: int | None, said: str) -> None:
    (folder / HOME).write_bytes(text)
    with pytest.raises(BadInput) as bad:
        read_home(folder)
    first = bad.value.mistakes[0]
    assert first.file == str(folder / HOME)
    assert said in str(first)
    assert line is None or first.line == line


def test_a_byte_order_mark_is_no_mistake(folder: Path) -> None:
    path = folder / HOME
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert read_home(folder).settings.name == "Home"


def test_escapes_never_reach_the_message(mistakes: Mistakes) -> None:
    found = mistakes(HOME, "", '[kitchen2]\n"\\u001b[31mred" = 1\n')
    assert not any("\x1b" in str(mistake) for mistake in found)


def test_folders_that_are_no_household(tmp_path: Path, folder: Path) -> None:
    file = folder / HOME
    empty = tmp_path / "empty"
    empty.mkdir()
    for path, said in ((tmp_path / "gone", "no such folder"), (file, "is a file"), (empty, "no household.toml")):
        with pytest.raises(BadInput, match=said):
            read_home(path)
    (folder / "breads/country.toml").unlink()
    with pytest.raises(BadInput, match="there is no bread"):
        read_home(folder)


def test_a_folder_in_the_place_of_a_file(folder: Path) -> None:
    (folder / STOCK).unlink()
    (folder / STOCK).mkdir()
    with pytest.raises(BadInput, match=r"stock\.toml: is a folder"):
        read_home(folder)


def test_a_file_that_cannot_be_read(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "read_bytes", refused)
    with pytest.raises(StorageError, match=r"cannot be read: Permission denied"):
        read_home(folder)


def test_a_bread_whose_name_cannot_be_referred_to(folder: Path) -> None:
    (folder / COUNTRY).rename(folder / "breads" / "Grandma's.toml")
    (folder / STOCK).unlink()
    with pytest.raises(BadInput, match="cannot be referred to"):
        read_home(folder)
