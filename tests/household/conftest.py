"""A small household on disk, to be spoilt in one place at a time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from rotation.errors import BadInput, Mistake
from rotation.household.reading import read_home

SETTINGS = """\
name = "Home"
zone = "Europe/Berlin"

[[people]]
id = "jo"
bakes = true

[[people]]
id = "sam"
adult = false

[[calendars]]
name = "Family"
path = "calendars/family.ics"

[kitchen]
room_degc = 20
"""

BREAD = """\
name = "Country loaf"
portions = 14
piece_grams = 900

[formula]
flours = { "strong wheat flour" = 100 }
water_percent = 72
others = { salt = 2 }

[oven]
degc = 230
covered_minutes = 20
uncovered_minutes = 20

[forms.part-baked]

[[processes]]
id = "day"
pieces = [1, 2]
stages = [
  { name = "mix", hands_minutes = 15, then_minutes = [240, 300], warm = true },
  { name = "shape", hands_minutes = 10, then_minutes = [480, 1440] },
  { name = "oven", hands_minutes = 3 },
  { name = "bag", hands_minutes = 2 },
]
"""

STOCK = """\
[[lots]]
bread = "country"
form = "part-baked"
units = 2
bagged = 2027-02-13
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with a household that is right."""
    (tmp_path / "breads").mkdir()
    (tmp_path / "household.toml").write_text(SETTINGS, encoding="utf-8")
    (tmp_path / "breads" / "country.toml").write_text(BREAD, encoding="utf-8")
    (tmp_path / "stock.toml").write_text(STOCK, encoding="utf-8")
    return tmp_path


@pytest.fixture
def mistakes(folder: Path) -> Callable[..., tuple[Mistake, ...]]:
    """Return what is wrong after a piece of one file's text was put in the place of another, or added at the end."""

    def spoilt(file: str, old: str, new: str) -> tuple[Mistake, ...]:
        path = folder / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1) if old else text + new, encoding="utf-8")
        with pytest.raises(BadInput) as bad:
            read_home(folder)
        return bad.value.mistakes

    return spoilt
