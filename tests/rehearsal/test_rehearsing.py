"""A rehearsal of a household's own weeks: the same whether policies live one after the other or side by side."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from rotation.errors import NothingPlanned
from rotation.household.reading import Home, read_home
from rotation.rehearsal.habits import KINDS
from rotation.rehearsal.scenarios import scenario
from rotation.rehearsing import Asked, rehearse


@pytest.fixture
def mine(bakers: Home, tmp_path: Path) -> Home:
    """Return a copy that may be written to."""
    shutil.copytree(bakers.folder, tmp_path / "home", ignore=shutil.ignore_patterns(".rotation"))
    return read_home(tmp_path / "home")


@pytest.mark.long
def test_side_by_side_is_the_same(mine: Home) -> None:
    """The report does not hang on the number of processes; the planner comes first and every rule is there."""
    asked = Asked(datetime(2027, 3, 1, tzinfo=mine.zone), 1, scenario("usual"), warm=0)
    alone, together = (replace(rehearse(mine, asked, str, processes), seconds=0) for processes in (1, 2))
    assert alone == together
    assert alone.report.planner.name == "planner"
    assert alone.rules.keys() == set(KINDS)
    assert all(len(row.weeks) == 1 for row in alone.report.rows)


def test_where_nobody_bakes_nothing_is_rehearsed(mine: Home) -> None:
    """It is said before anything is lived."""
    nobody = tuple(person.model_copy(update={"bakes": False}) for person in mine.settings.people)
    home = replace(mine, settings=mine.settings.model_copy(update={"people": nobody}))
    with pytest.raises(NothingPlanned, match="Nobody of this household bakes"):
        rehearse(home, Asked(datetime(2027, 3, 1, tzinfo=mine.zone), 1, scenario("usual"), warm=0), str, 1)
