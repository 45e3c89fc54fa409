"""What all tests share: a browser for those who ask, and a heat model that is asked once a process for each loaf."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from rotation.heat import cache as kept
from tests.browser import browser as browser


@pytest.fixture(autouse=True, scope="session")
def heat_is_worked_out_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kept, "_ask", cache(kept._ask))
        yield
