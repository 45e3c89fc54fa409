"""Clocks of twelve hours, where the household reads them: in the plan, in entries, in every line that tells the time.

Noon is 12:00 pm and midnight 12:00 am, as the Unicode CLDR's English forms have it (from memory).
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from shutil import copytree

import pytest

from rotation.household.reading import read_home
from rotation.show.lines import lines_of
from rotation.show.text import day_by_day
from rotation.units import midnight, read_clocks
from rotation.words import clock
from tests.intake.test_time import BERLIN
from tests.show.sample import plan, problem

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.mark.parametrize(
    ("hour", "minute", "read"),
    [(0, 0, "12:00 am"), (0, 5, "12:05 am"), (9, 0, "9:00 am"), (12, 0, "12:00 pm"), (17, 30, "5:30 pm")],
)
def test_clocks_of_twelve_hours(hour: int, minute: int, read: str) -> None:
    at = datetime(2027, 3, 1, hour, minute, tzinfo=BERLIN)
    assert (clock(at), midnight()) == (f"{hour}:{minute:02}", "24:00")
    read_clocks(12)
    assert (clock(at), midnight()) == (read, "midnight")


def test_the_plan_tells_the_time_by_them() -> None:
    before = [line.times for line in lines_of(problem(), plan(), {}) if line.times]
    read_clocks(12)
    times = [line.times for line in lines_of(problem(), plan(), {}) if line.times]
    assert len(times) == len(before)
    assert all("m" in said for said in times)
    printed = [line for line in day_by_day(problem(), plan(), {}) if line[:8].strip()[-2:] in ("am", "pm")]
    assert len({line.index("m") for line in printed}) == 1, "the column is as wide as the longest time"


@pytest.mark.parametrize("hours", [24, 12])
def test_a_household_says_which_it_reads(hours: int, tmp_path: Path) -> None:
    copytree(EXAMPLES / "tight-week", tmp_path / "home")
    settings = tmp_path / "home" / "household.toml"
    settings.write_text(f"{settings.read_text(encoding='utf-8')}\n[shown]\nclock_hours = {hours}\n", encoding="utf-8")
    read_home(tmp_path / "home")
    assert clock(datetime(2027, 3, 1, 17, 30, tzinfo=BERLIN)) == {24: "17:30", 12: "5:30 pm"}[hours]
