"""Fits lines to a screen: what does not fit goes on beneath, set in."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

WIDTH = 110
"""Characters of a line where no screen says otherwise."""


def fit(line: str, indent: int, width: int = WIDTH) -> list[str]:
    """Return a line as lines of at most `width` characters, all but the first set in by `indent`."""
    room = max(width, indent + 20)
    return textwrap.wrap(line, room, subsequent_indent=" " * indent, break_on_hyphens=False) or [""]


def fit_all(lines: Iterable[str], indent: int, width: int = WIDTH) -> Iterator[str]:
    """Yield lines as `fit` returns them."""
    for line in lines:
        yield from fit(line, indent, width)
