from __future__ import annotations

from pathlib import Path

import pytest

from rotation.commands import run
from tests.commands.conftest import rotation
from tests.publishing.homes import NOW, lay_out

__all__ = ["rotation"]


@pytest.fixture(scope="session")
def lived(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a household with a plan kept."""
    home = lay_out(tmp_path_factory.mktemp("asked") / "home", "")
    assert run(["plan", "--household", str(home), "--from", NOW, "--work", "quick"]) == 0
    return home
