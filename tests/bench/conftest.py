from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def _customs(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out the model of heat, which has tests of its own and takes seconds; a test marked otherwise asks it."""
    if "heated" not in request.fixturenames:
        monkeypatch.setattr("rotation.bench.making.with_waits", lambda home, *_: (home, ()))


@pytest.fixture
def heated() -> None:
    """Ask the model of heat."""
