"""What all tests share: in one process the heat model is asked once for each loaf, however many homes bake it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import pytest

from rotation.heat import cache as kept


@pytest.fixture(autouse=True, scope="session")
def heat_is_worked_out_once() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kept, "_ask", cache(kept._ask))
        yield
