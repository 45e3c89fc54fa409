"""What makes no sense in the settings of what is printed: labels that the paper does not hold."""

from __future__ import annotations

from collections.abc import Iterator

from rotation.household.mistakes import Wrong
from rotation.household.paper import PAPER_MM, Labels

SPARE = 0.5
"""Millimetres by which labels may reach beyond the paper: sheets are measured with a ruler."""

LEAST_MM = (50.0, 30.0)
"""Width and height below which a label cannot be read."""


def labels_wrong(labels: Labels) -> Iterator[Wrong]:
    """Yield which side of the paper is too short for the labels, and labels that would be too small."""
    sides = (
        ("width_mm", "columns", labels.columns, labels.left_mm, labels.across_mm),
        ("height_mm", "rows", labels.rows, labels.top_mm, labels.down_mm),
    )
    for side, (name, many, number, edge, gap) in enumerate(sides):
        paper, label = PAPER_MM[labels.size][side], labels.label_mm[side]
        taken = edge + number * label + (number - 1) * gap
        if label < LEAST_MM[side]:
            wrong = f"{number} {many} leave {label:.1f} mm for each label; it needs {LEAST_MM[side]:g}."
            yield Wrong(("labels", many), wrong, f"Write fewer {many}")
        elif taken > paper + SPARE:
            wrong = f"{number} {many} take {taken:.1f} mm, the paper has {paper:g}."
            yield Wrong(("labels", name), wrong, "Measure the label, the edge and the gap with a ruler")
