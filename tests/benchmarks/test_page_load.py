"""Fifty phones that look and tap for half a minute, on loopback: how long pages and taps take, reported only."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.page.program import served
from tests.page.test_load import full, lived, nothing_lost

pytestmark = pytest.mark.benchmark
__all__ = ["full"]


@pytest.mark.parametrize(("phones", "think_ms"), [(1, 0), (50, 2000), (50, 1000), (50, 500)])
def test_phones(full: Path, phones: int, think_ms: int) -> None:
    with served(full) as program:
        first = lived(program.port, 1, 1, 0, "first")
        said = lived(program.port, phones, 30, think_ms)
        assert said["wrong"] == []
    nothing_lost(full, first["taps"] + said["taps"])
    print(f"\n{phones} phones, {think_ms} ms between their taps, {len(said['pages']) / 30:.0f} pages a second")
    for name in ("pages", "sent"):
        took = sorted(1000 * float(one) for one in said[name])
        at = [took[round(share * (len(took) - 1))] for share in (0.5, 0.99, 1)]
        print(f"{name:6}{len(took):6}: median {at[0]:6.1f} ms, 99th {at[1]:6.1f} ms, longest {at[2]:6.1f} ms")
