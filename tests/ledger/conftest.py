"""A ledger in an empty folder, a frozen clock, and lots to put in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from rotation.ledger import Ledger, NewLot, Note

NOW = datetime(2027, 3, 1, 17, 30, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def note() -> Note:
    return Note(now=NOW)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / ".rotation"


@pytest.fixture
def ledger(folder: Path) -> Iterator[Ledger]:
    with Ledger.open(folder) as opened:
        yield opened


@pytest.fixture
def lot() -> Callable[..., NewLot]:
    """Return a maker of lots: so many units, bagged so many days ago."""

    def make(
        units: int = 4, days_ago: int = 3, bread: str = "sourdough", form: str = "part-baked", **given: object
    ) -> NewLot:
        bagged = NOW - timedelta(days=days_ago)
        values: dict[str, object] = {
            "bagged": bagged,
            "through": bagged + timedelta(hours=12),
            "eat_first": bagged + timedelta(days=28),
            "toast_after": bagged + timedelta(days=84),
        }
        return NewLot(bread=bread, form=form, units=units, **(values | given))  # type: ignore[arg-type] # keyword pass-through

    return make
