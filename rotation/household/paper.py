"""What is printed on: the paper of the sheet, and labels in exact millimetres."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from rotation.household.values import Settings

PaperSize = Literal["A4", "Letter"]
PAPER_MM: dict[str, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height (ISO 216; Letter is 8.5 by 11 inches)."""

Side = Annotated[float, Field(ge=0, le=500, examples=[5])]


class Paper(Settings):
    """The sheet for the fridge door. days: how many, from today on; a week fills one side."""

    size: PaperSize = "A4"
    days: Annotated[int, Field(ge=1, le=84)] = 7


class Labels(Settings):
    """Labels for the bags, in columns and rows on a sheet of paper, all in millimetres.

    width_mm, height_mm: of one label; None: the paper is divided, all of it, and cut along lines. left_mm, top_mm: from
    the edges of the paper to the first label; across_mm, down_mm: between two labels. code: a QR code that leads to the
    bag. address: of the kitchen page, as phones reach it; without one the code holds the bag's own id.
    """

    size: PaperSize = "A4"
    columns: Annotated[int, Field(ge=1, le=6)] = 2
    rows: Annotated[int, Field(ge=1, le=12)] = 4
    width_mm: Annotated[float, Field(ge=50, le=300, examples=[99])] | None = None
    height_mm: Annotated[float, Field(ge=30, le=300, examples=[57])] | None = None
    left_mm: Side = 0.0
    top_mm: Side = 0.0
    across_mm: Side = 0.0
    down_mm: Side = 0.0
    code: bool = True
    address: Annotated[str, Field(max_length=200, pattern=r"^(https?://[^\s/]+(/[^\s]*)?)?$")] = ""

    @property
    def label_mm(self) -> tuple[float, float]:
        """Width and height of one label."""
        wide, high = PAPER_MM[self.size]
        across = wide - 2 * self.left_mm - (self.columns - 1) * self.across_mm
        down = high - 2 * self.top_mm - (self.rows - 1) * self.down_mm
        return self.width_mm or across / self.columns, self.height_mm or down / self.rows

    @property
    def divided(self) -> bool:
        """Whether plain paper is cut into labels."""
        return self.width_mm is None and self.height_mm is None
