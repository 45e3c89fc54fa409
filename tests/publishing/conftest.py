from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.calendars import servers
from tests.commands.conftest import rotation
from tests.publishing.clients import DavClient, Family, FolderClient

__all__ = ["rotation"]


@pytest.fixture(params=["folder", "radicale", "xandikos"])
def family(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Family]:
    """Return the family of each kind of calendar that can be written, with an event of its own in it."""
    monkeypatch.setenv("BREAD_PASSWORD", servers.PASSWORD)
    if request.param == "folder":
        folder = tmp_path / "bread"
        folder.mkdir()
        yield Family(FolderClient(folder))
        return
    home = tmp_path / request.param
    home.mkdir()
    with getattr(servers, request.param)(home) as server:
        yield Family(DavClient(server, server.make("bread")))
