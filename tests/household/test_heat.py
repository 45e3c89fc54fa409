"""What a bread says of its loaf and of what was measured: each mistake at its setting, with what to write instead."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rotation.errors import Mistake
from rotation.household.reading import read_home

COUNTRY, HOME = "breads/country.toml", "household.toml"
SIZE = "\n[loaf]\nlength_cm = 22\nwidth_cm = 21\nheight_cm = 10\n"


def measured(text: str) -> str:
    return f"\n[[loaf.measured]]\n{text}\n"


@pytest.mark.parametrize(("file", "old", "new", "setting", "wrong", "instead"), [
    (COUNTRY, "piece_grams = 900", "piece_grams = -900", "piece_grams", "-900", "10"),
    (COUNTRY, "piece_grams = 900", "piece_grams = 12000", "piece_grams", "12000", "10000"),
    (COUNTRY, "piece_grams = 900", "piece_grams = 9000", "piece_grams", "7.83 kg is beyond", "as 900"),
    (COUNTRY, "", "\n[loaf]\nlength_cm = 22\n", "loaf", "not all three sides", "width_cm = 12"),
    (COUNTRY, "", SIZE.replace("22", "70"), "loaf", "which is no bread", "measure one baked piece"),
    (COUNTRY, "", SIZE.replace("length_cm = 22", "length_cm = -2"), "loaf.length_cm", "-2", "above 0"),
    (COUNTRY, "", SIZE + "density_kg_per_m3 = 400\n", "loaf.density_kg_per_m3", "told by the sides", "Leave it out"),
    (COUNTRY, "", '\n[loaf]\nshape = "ball"\n', "loaf.shape", "ball", "round"),
    (COUNTRY, "", measured('what = "thaw"\ncore_degc = 12'), "loaf.measured.0", "after how long", "hours = 4.5"),
    (COUNTRY, "", measured('what = "finish"\ncore_degc = 40'), "loaf.measured.0", "which route", "part-baked-frozen"),
    (COUNTRY, "", measured('what = "finish"\ncore_degc = 40\nroute = "part-baked-frozn"'), "loaf.measured.0.route",
     "no finish is called", "part-baked-frozen"),
    (HOME, "room_degc = 20", "freezer_degc = 3", "kitchen.freezer_degc", "3", "-6"),
    (HOME, "room_degc = 20", "fridge_degc = 12", "kitchen.fridge_degc", "is no fridge", "4 is right"),
])  # fmt: skip
def test_what_makes_no_sense(
    mistakes: Callable[..., tuple[Mistake, ...]],
    file: str, old: str, new: str, setting: str, wrong: str, instead: str,
) -> None:  # fmt: skip
    (found,) = mistakes(file, old, new)
    assert (found.setting, found.file.endswith(file)) == (setting, True)
    assert found.line is not None
    assert wrong in str(found)
    assert instead in str(found)


def test_what_is_written_is_understood(folder: Path) -> None:
    text = SIZE.replace("[loaf]", '[loaf]\nshape = "round"\nwater_percent = 41') + measured(
        'what = "thaw"\nplace = "fridge"\nhours = 8\ncore_degc = 2\ndegc = 5'
    )
    path = folder / COUNTRY
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")
    loaf = read_home(folder).breads["country"].loaf
    assert (loaf.shape, loaf.sides_cm, loaf.water_percent) == ("round", (22, 21, 10), 41)
    (one,) = loaf.measured
    assert (one.what, one.place, one.hours, one.core_degc, one.degc) == ("thaw", "fridge", 8, 2, 5)
