"""What all tests share: a browser for those who ask, and a heat model that is asked once a process for each loaf."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from rotation.heat import cache as kept
from rotation.units import read_clocks
from tests.browser import browser as browser


@pytest.fixture(autouse=True, scope="session")
def heat_is_worked_out_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kept, "_ask", cache(kept._ask))
        yield


@pytest.fixture(autouse=True)
def clocks_of_24_hours() -> Iterator[None]:
    """What one test reads of a household must not tell another the time."""
    yield
    read_clocks(24)
