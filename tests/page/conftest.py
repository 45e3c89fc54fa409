from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from rotation.page.app import create_app
from rotation.page.guard import Access
from tests.commands.conftest import home

__all__ = ["home"]

NOW = datetime(2027, 3, 1, 17, 0, tzinfo=UTC)


class Clock:
    """The moment it is, until a test says otherwise."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


class Ticks:
    """Seconds that rise when a test says so."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def ticks() -> Ticks:
    return Ticks()


Open = Callable[..., TestClient]


@pytest.fixture
def opened(home: Path, ticks: Ticks, clock: Clock) -> Iterator[Open]:
    """Open the page of the household as a browser of this machine, or of the network, would."""
    clients = []

    def open_(
        access: Access | None = None, client: tuple[str, int] = ("127.0.0.1", 50000), at: Path = home
    ) -> TestClient:
        app = create_app(at, clock, access, ticks)
        made = TestClient(app, "http://localhost", client=client, follow_redirects=False)
        clients.append(made)
        return made

    yield open_
    for made in clients:
        made.close()


@pytest.fixture
def browser(opened: Open) -> TestClient:
    return opened()


def carried(page: str) -> dict[str, str]:
    """Return what the first form of a page carries: its token, and the id under which it counts."""
    found = dict(re.findall(r'name="(csrf|once)" value="([^"]+)"', page)[:2])
    assert set(found) == {"csrf", "once"}
    return found
