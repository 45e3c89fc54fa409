"""The figures of others that tests hold the program against: rows of `data/references.csv` by id, with sources."""

from __future__ import annotations

import csv
import re
from pathlib import Path

with (Path(__file__).parent / "data" / "references.csv").open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}


def value(id_: str) -> float:
    """Return a row's value."""
    return float(ROWS[id_]["value"])


def low(id_: str) -> float:
    """Return the lower end of a row's range."""
    return float(ROWS[id_]["low"])


def high(id_: str) -> float:
    """Return the upper end of a row's range."""
    return float(ROWS[id_]["high"])


def figures(id_: str, column: str = "fact") -> list[float]:
    """Return all numbers in a row's words, in order and without signs."""
    return [float(found) for found in re.findall(r"\d*\.?\d+", ROWS[id_][column])]
