from __future__ import annotations

from pathlib import Path

import pytest

from rotation.household.reading import Home, read_home
from rotation.show.sheet import Sheet
from tests.commands.conftest import home as home
from tests.commands.conftest import rotation as rotation
from tests.paper.sample import told


@pytest.fixture
def house(home: Path) -> Home:
    """Return a household as it is first laid out."""
    return read_home(home)


@pytest.fixture
def weekend(house: Home) -> Sheet:
    """Return the sheet of the sample weekend."""
    found = told(house)
    assert found is not None
    return found
