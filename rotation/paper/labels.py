"""Labels for the bags, in exact millimetres: as HTML pages whose paper and places are those of the settings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import segno
from markupsafe import Markup

from calendars.text import clean
from rotation.household.paper import PAPER_MM, Labels
from rotation.paper.fitting import POINT_MM, largest, lines_of, points
from rotation.paper.rendering import rendered
from rotation.show.labels import Label

LARGEST, SMALLEST = 12.0, 5.5
"""Sizes of the text, in points."""

LINE = 1.2
"""Height of a line, in ems, as in the style."""

INSIDE_MM, AT_EDGE_MM = 2.0, 5.0
"""What stays free within a label; where plain paper is divided, as much as printers leave at the edge of the paper."""

LEAST_WITH_CODE = 7.0
"""The smallest text beside a code: before it gets smaller, the code goes."""

CODE_MM = (22.0, 14.0)
"""The largest and the smallest QR code: of 14 mm a phone reads the modules of a long address."""


@dataclass(frozen=True)
class Set:
    """How a label is set: size of the text in points, sides of the letter's box and of the QR code in millimetres.

    label: it, less what there is no room for; code_mm: 0 where there is no room for a code.
    """

    points: float
    letter_mm: float
    code_mm: float
    label: Label


@dataclass(frozen=True)
class Placed:
    """A label in its place on a page: its left upper corner in millimetres, and its code as a picture."""

    set: Set
    left_mm: float
    top_mm: float
    code: Markup


def page(labels: Sequence[Label], settings: Labels, skip: int = 0) -> str:
    """Return HTML pages of labels. skip: places of the first sheet that are used up already."""
    wide, high = settings.label_mm
    each = settings.columns * settings.rows
    inside = AT_EDGE_MM if settings.divided else INSIDE_MM
    pages: list[list[Placed]] = []
    for place, label in enumerate(labels, skip):
        if place % each == 0 or not pages:
            pages.append([])
        row, column = divmod(place % each, settings.columns)
        left = settings.left_mm + column * (wide + settings.across_mm)
        top = settings.top_mm + row * (high + settings.down_mm)
        pages[-1].append(Placed(set_for(label, wide - 2 * inside, high - 2 * inside), left, top, _code(label)))
    paper = PAPER_MM[settings.size]
    return rendered(
        "labels.html", pages=pages, paper=paper, wide=wide, high=high, inside=inside, cuts=list(_cuts(settings))
    )


def _cuts(settings: Labels) -> Iterator[tuple[float, float, float, float]]:
    """Yield left, top, width and height of the lines along which plain paper is cut."""
    if not settings.divided:
        return
    (wide, high), (label_wide, label_high) = PAPER_MM[settings.size], settings.label_mm
    for column in range(1, settings.columns):
        yield settings.left_mm + column * (label_wide + settings.across_mm) - settings.across_mm / 2, 0, 0, high
    for row in range(1, settings.rows):
        yield 0, settings.top_mm + row * (label_high + settings.down_mm) - settings.down_mm / 2, wide, 0


def _code(label: Label) -> Markup:
    if not label.code:
        return Markup("")
    made = segno.make(label.code, error="m", micro=False)
    return Markup(made.svg_inline(omitsize=True, border=4, title=f"Bag {label.letter}"))


def set_for(label: Label, wide: float, high: float) -> Set:
    """Return how a label is set in so many millimetres: all of it in the largest text, else with less beside.

    What it is, its dates, its allergens and its warning are never left out.
    """
    most = min(CODE_MM[0], 0.34 * high, 0.26 * wide)
    codes = sorted({most, CODE_MM[1]}, reverse=True) if label.code and most >= CODE_MM[1] else []
    plain = replace(label, caution="")
    wanted = [
        *((label, code_mm) for code_mm in codes),
        *((less, 0.0) for less in (label, plain, replace(plain, ways=plain.ways[:1]), replace(plain, ways=()))),
        (replace(plain, ways=(), beside=""), 0.0),
        (replace(plain, ways=(), beside="", bread=clean(label.bread, 24), amount=clean(label.amount, 24)), 0.0),
    ]
    letter = _letter(high)
    for less, code_mm in wanted:
        least = LEAST_WITH_CODE if code_mm else SMALLEST
        size = largest(points(LARGEST, least), lambda size: _high(less, size, letter, code_mm, wide) <= 0.99 * high)  # noqa: B023 used at once
        if size is not None:
            return Set(size, letter, code_mm, less)
    return Set(SMALLEST, letter, 0.0, wanted[-1][0])


def _letter(high: float) -> float:
    return round(min(20.0, max(8.0, 0.28 * high)), 1)


def _high(label: Label, size: float, letter_mm: float, code_mm: float, wide: float) -> float:
    """Return the millimetres that a label takes in text of so many points."""
    em = size * POINT_MM
    beside = wide - letter_mm - 2 - (code_mm if code_mm else 0)
    title = 1.35 * lines_of(label.bread, beside / (1.35 * em), bold=True)
    title += lines_of(label.amount, beside / em, bold=True) + lines_of(label.frozen, beside / em)
    room = wide / em / 1.02
    contents = f"Contains {label.contains}. " if label.contains else ""
    bold = [label.dates, contents + label.beside, label.warning]
    below = sum(lines_of(text, room, bold=True) for text in bold if text)
    below += sum(lines_of(way, room - 0.8, bold=True) for way in label.ways)
    small = 0.9 * lines_of(label.caution, room / 0.9) if label.caution else 0
    return max(letter_mm, code_mm - 2, LINE * em * title) + 1.2 + em * (LINE * (below + small) + 0.3)
