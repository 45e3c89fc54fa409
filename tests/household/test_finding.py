"""Which household is meant, and how it is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from rotation.errors import BadInput
from rotation.household.finding import VARIABLE, find


def test_the_order(tmp_path: Path) -> None:
    here, usual, empty = tmp_path / "here", tmp_path / "usual", tmp_path / "empty"
    for folder in (here, usual, empty):
        folder.mkdir()
    for folder in (here, usual):
        (folder / "household.toml").write_text("", encoding="utf-8")
    env = {VARIABLE: "elsewhere"}
    assert str(find(Path("named"), env, here, usual)) == "household named (from --household)"
    assert str(find(None, env, here, usual)) == f"household elsewhere (from {VARIABLE})"
    assert str(find(None, {VARIABLE: "  "}, here, usual)) == f"household {here} (the current folder)"
    assert str(find(None, {}, empty, usual)) == f"household {usual} (the usual place)"
    with pytest.raises(BadInput, match="no household: none named"):
        find(None, {}, empty, empty)
