"""How much room text takes on paper, before any browser has set it: so that a page is full, and nothing is cut.

Widths are those of the common sans-serif with the metrics of Liberation Sans (measured from the font, in ems), with
some room to spare; where other letters are set, a page has a little more or less air.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from unicodedata import combining, east_asian_width

_NARROW, _THIN, _WIDE, _WIDEST = set("ijl|'.,:;!/()[] tfIr-"), 0.29, set("mMWw%@—…"), 0.9
_CAPITAL, _DIGIT, _OTHER, _FULL = 0.69, 0.556, 0.54, 1.05

SPARE = 1.04
"""What text may take more than it is reckoned to."""

POINT_MM = 25.4 / 72


def width_em(text: str, bold: bool = False) -> float:
    """Return the width of a text in one line, in ems."""
    return SPARE * (1.07 if bold else 1.0) * sum(map(_character, text))


def _character(one: str) -> float:
    if combining(one):
        return 0.0
    if one in _NARROW:
        return _THIN
    if one in _WIDE:
        return _WIDEST
    if one.isascii():
        return _DIGIT if one.isdigit() else _CAPITAL if one.isupper() else _OTHER
    return _FULL if east_asian_width(one) in "WFA" or ord(one) > 0x2E7F else _CAPITAL


def lines_of(text: str, room_em: float, bold: bool = False) -> int:
    """Return the lines a text is broken into where each has so much room, breaking long words as a browser may."""
    lines, used, space = 1, 0.0, width_em(" ", bold)
    for word in text.split():
        wide = width_em(word, bold)
        if used and used + space + wide <= room_em:
            used += space + wide
            continue
        lines += bool(used)
        while wide > room_em:
            lines, wide = lines + 1, wide - max(room_em - _WIDEST, _WIDEST)  # a line ends with a whole letter
        used = wide
    return lines


def largest(sizes: Sequence[float], fits: Callable[[float], bool]) -> float | None:
    """Return the largest of some sizes, given in falling order, at which all fits; None where none does."""
    return next((size for size in sizes if fits(size)), None)


def points(start: float, end: float, step: float = 0.1) -> tuple[float, ...]:
    """Return sizes from the largest to the smallest, in points."""
    return tuple(round(start - step * number, 3) for number in range(round((start - end) / step) + 1))
